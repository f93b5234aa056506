"""A file to the tables in it, whatever test they record: bytes, hash, text or workbook."""

from __future__ import annotations

from pathlib import Path

from resile.errors import FileFormatError
from resile.readers.grids.table import Table, join_segments, table_of
from resile.readers.layout import Layout
from resile.readers.missing_columns import refuse_unknown_columns
from resile.readers.source_file import read_source
from resile.readers.text.text_record import read_text
from resile.records.reading import HeldFile, SourceFile

MOST_BYTES = 256_000_000
_ZIP = b"PK\x03\x04"


def read_tables(
    path: Path | HeldFile, *, layout: Layout, max_bytes: int = MOST_BYTES
) -> tuple[list[Table], SourceFile]:
    """Read the tables of a text file or workbook.

    Parameters
    ----------
    path : Path or HeldFile
        A text file (.csv, .txt, …) or a workbook (.xlsx).
    layout : Layout
        What the user said of the file.
    max_bytes : int
        A larger file is refused before it is read [bytes].

    Returns
    -------
    tuple of (list of Table, SourceFile)
        Tables in file order, at least one, and the identity of the bytes.

    Raises
    ------
    RecordNotFoundError
        There is no such file.
    InputError
        It is a folder, or cannot be opened.
    FileFormatError
        It is empty, binary, too large, or has no headings above numbers.
    AmbiguousFileError
        It can be read in two ways.
    """
    data, source = read_source(path, "record of one test (.csv, .txt, .xlsx)", max_bytes)
    tables = (
        _workbook_tables(data, str(path), layout)
        if data.startswith(_ZIP)
        else read_text(data, str(path), layout)
    )
    if layout.columns:
        refuse_unknown_columns(tables, layout, str(path))
    return tables, source


def _workbook_tables(data: bytes, path: str, layout: Layout) -> list[Table]:
    """Read the tables of a workbook, sheet by sheet."""
    from resile.readers.grids.grid import find_blocks
    from resile.readers.workbooks.workbook import read_workbook

    tables: list[Table] = []
    for grid in read_workbook(data, path, sheet=layout.sheet or None):
        blocks = find_blocks(
            grid,
            rules=layout.rules,
            heading_row=layout.heading_row,
            units_row=layout.units_row,
            first_data_row=layout.first_data_row,
        )
        for group in join_segments(blocks):
            tables.append(table_of(group, form="workbook", sheet=grid.name, remarks=grid.remarks))
    if not tables:
        raise FileFormatError(
            f"{path}: no sheet has known headings above columns of numbers; "
            "headings for time, stress and strain are needed, or name the columns (--column)"
        )
    return tables
