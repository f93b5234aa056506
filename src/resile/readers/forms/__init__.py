"""The results form: a workbook filled in by hand."""
