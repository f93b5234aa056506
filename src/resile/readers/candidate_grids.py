"""The grids in which a table may stand: the sheets of a workbook, or a text cut by each separator in turn."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from resile.readers.grids.grid import Grid
from resile.readers.layout import Layout
from resile.readers.text.encodings import decode
from resile.readers.text.separated_words import SEPARATORS, grids_by_separator
from resile.readers.workbooks.workbook import read_workbook

WORKBOOK = "workbook"
TEXT = "delimited text"
_WORKBOOK_STARTS = (b"PK", b"\xd0\xcf\x11\xe0")
"""A zip archive, and the old office document, which the reader of workbooks refuses with advice."""


@dataclass(frozen=True, slots=True)
class CandidateGrids:
    """A file opened, with no table chosen yet.

    Attributes
    ----------
    form : str
        ``"workbook"`` or ``"delimited text"``.
    grids : iterable of (str, Grid)
        Name of the separator (empty for a sheet) and the cells; to be gone through once.
    encoding : str
        Of a text.
    remark : str
        What was noticed while it was decoded.
    """

    form: str
    grids: Iterable[tuple[str, Grid]]
    encoding: str = ""
    remark: str = ""


def is_workbook(data: bytes) -> bool:
    """Tell from its first bytes whether a file is opened as a workbook."""
    return data.startswith(_WORKBOOK_STARTS)


def candidate_grids(
    data: bytes, path: str, *, layout: Layout | None = None, separators: Sequence[str] = SEPARATORS
) -> CandidateGrids:
    """Open a file by what its first bytes say it is.

    Parameters
    ----------
    data : bytes
        The file.
    path : str
        Path for messages.
    layout : Layout, optional
        What is known of it: encoding, separator, sheet.
    separators : sequence of str
        Those to try where none is known.

    Returns
    -------
    CandidateGrids
        Whoever knows the words of the table tells which grid makes sense.

    Raises
    ------
    RecordNotFoundError
        No such sheet.
    FileFormatError
        Neither a workbook nor a text.
    """
    given = layout or Layout()
    if is_workbook(data):
        sheets = read_workbook(data, path, sheet=given.sheet or None)
        return CandidateGrids(WORKBOOK, [("", grid) for grid in sheets])
    decoded = decode(data, path, encoding=given.encoding)
    cut = grids_by_separator(decoded.text, (given.separator,) if given.separator else separators)
    return CandidateGrids(TEXT, cut, decoded.encoding, decoded.remark)
