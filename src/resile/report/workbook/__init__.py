"""The same numbers as an XLSX workbook, in full precision, with formulas where a person would write one."""

from resile.report.workbook.book import workbook_bytes

__all__ = ["workbook_bytes"]
