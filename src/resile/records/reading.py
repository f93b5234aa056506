"""How a file was understood: the account that travels with everything read from it."""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import PurePosixPath


@dataclass(frozen=True, slots=True)
class SourceFile:
    """The bytes a number hangs on.

    Attributes
    ----------
    path : str
        Path as the user gave it.
    sha256 : str
        SHA-256 of the bytes, 64 hexadecimal digits.
    size_bytes : int
        Length of the file.
    """

    path: str
    sha256: str
    size_bytes: int


@dataclass(frozen=True, slots=True)
class HeldFile:
    """A file that is held as bytes and not on a disk: it is read as one that was opened.

    Attributes
    ----------
    name : str
        Name of the file, for messages and as its path.
    content : bytes
        The bytes.
    beside : tuple of HeldFile
        Files that it may name as standing beside it.
    """

    name: str
    content: bytes = field(repr=False)
    beside: tuple[HeldFile, ...] = field(default=(), repr=False)

    def __str__(self) -> str:
        return self.name

    @property
    def stem(self) -> str:
        """Its name without the ending."""
        return PurePosixPath(self.name).stem

    @property
    def suffix(self) -> str:
        """The ending of its name, with the dot."""
        return PurePosixPath(self.name).suffix


@dataclass(frozen=True, slots=True)
class ColumnReading:
    """How one column was understood.

    Attributes
    ----------
    position : int
        Column number counted from 1, as a person counts in the file.
    heading : str
        Heading as printed in the file (rows joined with a blank); empty where there was none.
    quantity : str or None
        Name of the quantity taken (see the glossary), or None where the column is not used.
    unit_found : str
        Unit as printed; empty where none was found.
    factor : float
        Number by which the printed values were multiplied.
    unit_taken : str
        Unit of the values after conversion.
    remark : str
        A sentence for a person, for example ``"strain in %, divided by 100"``.
    """

    position: int
    heading: str
    quantity: str | None
    unit_found: str = ""
    factor: float = 1.0
    unit_taken: str = ""
    remark: str = ""


@dataclass(frozen=True, slots=True)
class RefusedRow:
    """One row that was not used, and why.

    Attributes
    ----------
    place : str
        ``"line 41"`` or ``"sheet MSCR, row 7"``.
    text : str
        The row as printed, shortened.
    reason : str
        Why it was not used.
    """

    place: str
    text: str
    reason: str


@dataclass(frozen=True, slots=True)
class FileRow:
    """One row of a file as it stands there.

    Attributes
    ----------
    place : str
        ``"line 41"`` or ``"sheet MSCR, row 7"``.
    number : int
        Row or line number, counted from 1.
    cells : tuple of str
        Cells as printed, from the first column on.
    text : str
        The line as it stands in a text; empty for a workbook.
    sheet : str
        Name of the sheet; empty for a text.
    """

    place: str
    number: int
    cells: tuple[str, ...]
    text: str = ""
    sheet: str = ""


@dataclass(frozen=True, slots=True)
class ReadingAccount:
    """How a file, or one block of it, was understood.

    Attributes
    ----------
    form : str
        ``"delimited text"`` or ``"workbook"``.
    encoding : str
        Encoding taken; empty for a workbook.
    separator : str
        ``"comma"``, ``"semicolon"``, ``"tab"``, ``"blanks"``; empty for a workbook.
    decimal_mark : str
        ``"."`` or ``","``.
    heading_rows : tuple of int
        Row numbers, counted from 1, that were taken as headings and units.
    first_data_row : int
        Row number of the first data row, counted from 1.
    columns : tuple of ColumnReading
        One entry a column.
    rows_kept : int
        Data rows that became part of the signal.
    rows_converted : int
        Rows kept after a repair (decimal comma, text to number, re-ordering, repeated rows dropped).
    rows_refused : tuple of RefusedRow
        Rows that were not used, each with its reason (at most 50 listed; see `rows_refused_count`).
    rows_refused_count : int
        How many rows were not used.
    remarks : tuple of str
        Sentences in reading order: what was assumed, rebuilt or corrected.
    sheet : str
        Sheet name in a workbook; empty for text.
    layout : str
        Name of the saved layout that was applied; empty where none was.
    """

    form: str
    encoding: str = ""
    separator: str = ""
    decimal_mark: str = "."
    heading_rows: tuple[int, ...] = ()
    first_data_row: int = 0
    columns: tuple[ColumnReading, ...] = ()
    rows_kept: int = 0
    rows_converted: int = 0
    rows_refused: tuple[RefusedRow, ...] = ()
    rows_refused_count: int = 0
    remarks: tuple[str, ...] = ()
    sheet: str = ""
    layout: str = ""
