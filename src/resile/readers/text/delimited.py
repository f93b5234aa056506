"""Separated text: which mark separates cells, which is decimal, what is a comment; cells in a grid."""

from __future__ import annotations

import csv
import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from resile.errors import AmbiguousFileError, FileFormatError
from resile.readers.grids.cells import Cell
from resile.readers.grids.grid import Grid
from resile.readers.grids.headings import read_heading
from resile.readers.grids.number_marks import decide_marks, looks_like_number
from resile.readers.grids.number_text import MISSING_WORDS
from resile.readers.layout import SEPARATORS, Layout

_SNIFFED_LINES = 300
_MANY_BLANKS = re.compile(r"\t+|\s{2,}")
_AFTER_BRACKET = re.compile(r"(?<=[\])])\s+")
_MOST_WORDS = 40
_MOST_BROKEN = 24


@dataclass(frozen=True, slots=True)
class Dialect:
    """How a text is cut into cells.

    Attributes
    ----------
    separator : str
        ``comma``, ``semicolon``, ``tab`` or ``blanks``.
    decimal_mark, thousands_mark : str
        How its numbers are printed.
    quoted : bool
        Cells may stand in double quotes.
    width : int
        Cells in most data lines.
    """

    separator: str
    decimal_mark: str
    thousands_mark: str
    quoted: bool
    width: int


def split_lines(text: str) -> list[str]:
    """Give the lines of a text, whatever ends them."""
    return text.replace("\r\n", "\n").replace("\r", "\n").rstrip("\x1a").split("\n")


def join_quoted(lines: list[str]) -> list[str]:
    """Put together lines between which a quoted cell is broken.

    Parameters
    ----------
    lines : list of str
        All lines of the file.

    Returns
    -------
    list of str
        As many lines: the whole stands where its last line stood, and blank lines before it. A quote that is
        not closed soon is no broken cell (an inch sign, for example) and is left alone.
    """
    odd = [number for number, line in enumerate(lines) if '"' in line and line.count('"') % 2]
    joined = lines if not odd else list(lines)
    while len(odd) > 1:
        begin, end = odd[0], odd[1]
        if end - begin > _MOST_BROKEN:
            odd = odd[1:]
            continue
        joined[end] = " ".join(lines[begin : end + 1])
        joined[begin:end] = [""] * (end - begin)
        odd = odd[2:]
    return joined


def _bare(line: str, mark: str) -> str:
    """Give a line without its comment sign; a lone '#' in the first cell is a heading."""
    stripped = line.lstrip()
    if stripped.startswith("#") and not stripped[1:].lstrip(" ").startswith(mark if mark.strip() else "\0"):
        return stripped.lstrip("#").strip("\n")
    return line


def split_cells(line: str, separator: str, *, quoted: bool) -> list[str]:
    """Cut one line into cells.

    Parameters
    ----------
    line : str
        The line without its end.
    separator : str
        ``comma``, ``semicolon``, ``tab`` or ``blanks``.
    quoted : bool
        Cells may stand in double quotes.

    Returns
    -------
    list of str
        The cells, not stripped.
    """
    if separator == "blanks":
        return line.split()
    mark = SEPARATORS[separator]
    if quoted and '"' in line:
        return next(csv.reader([line], delimiter=mark, skipinitialspace=True), [])
    return line.split(mark)


def _is_missing(cell: str) -> bool:
    return cell.strip().casefold() in MISSING_WORDS


def _fit(lines: Sequence[str], separator: str, quoted: bool) -> tuple[float, int]:
    """Give how well a separator cuts the lines into numbers, and the usual number of cells."""
    shares: list[tuple[int, float]] = []
    for line in lines:
        cells = split_cells(line, separator, quoted=quoted)
        numbers = sum(looks_like_number(cell) for cell in cells)
        if len(cells) >= 2 and numbers >= 2:
            missing = sum(_is_missing(cell) for cell in cells)
            shares.append((len(cells), (numbers + 0.5 * missing) / len(cells)))
    if not shares:
        return 0.0, 0
    width = Counter(count for count, _ in shares).most_common(1)[0][0]
    return sum(share for count, share in shares if count == width), width


def _find_separator(lines: Sequence[str], path: str, quoted: bool) -> tuple[str, int]:
    fits = {name: _fit(lines, name, quoted) for name in ("tab", "semicolon", "comma", "blanks")}
    best = max(fits, key=lambda name: fits[name][0])
    if best == "blanks" and fits["tab"][0] > 0.5 * fits["blanks"][0]:
        best = "tab"
    if fits[best][0] <= 0:
        raise FileFormatError(
            f"{path}: no line holds two numbers side by side; "
            "a record with columns for time, stress and strain is needed"
        )
    return best, fits[best][1]


def data_lines(lines: Sequence[str], separator: str, quoted: bool) -> list[list[str]]:
    """Give the cells of the lines that hold at least two numbers."""
    cut = (split_cells(line, separator, quoted=quoted) for line in lines if line and not line.isspace())
    return [cells for cells in cut if sum(looks_like_number(cell) for cell in cells) >= 2]


def _refuse_double_comma(lines: Sequence[str], width: int, data: list[list[str]], path: str) -> None:
    """Refuse text in which the comma separates and marks decimals at once."""
    if any("." in cell for cells in data[:50] for cell in cells):
        return
    headings = [
        len(line.split(","))
        for line in lines[:60]
        if line.strip() and not looks_like_number(line.split(",")[0])
    ]
    if headings and max(headings) < width and width - max(headings) >= max(headings) - 1:
        raise AmbiguousFileError(
            f"{path}: {width} numbers stand under {max(headings)} headings, "
            "so the comma seems to be both separator and decimal mark; "
            "save the file with semicolons or tabs, or with the numbers in quotes",
            option="--separator",
        )


def sniff(lines: Sequence[str], path: str, layout: Layout) -> Dialect:
    """Find out how a text is cut into cells.

    Parameters
    ----------
    lines : sequence of str
        All lines of the file.
    path : str
        Named in a refusal.
    layout : Layout
        What is given is not looked for.

    Returns
    -------
    Dialect
        Separator, marks and width.

    Raises
    ------
    FileFormatError
        There are no columns of numbers.
    AmbiguousFileError
        The marks can be read in two ways.
    """
    filled = [line for line in lines if line and not line.isspace()]
    quoted = any('"' in line for line in filled)
    sample = filled[:_SNIFFED_LINES] if len(filled) <= 2 * _SNIFFED_LINES else _spread(filled)
    if layout.separator:
        separator = layout.separator
        width = _fit(sample, separator, quoted)[1]
    else:
        separator, width = _find_separator(sample, path, quoted)
    data = data_lines(filled, separator, quoted)
    if separator == "comma" and not quoted:
        _refuse_double_comma(filled, width, data, path)
    if layout.decimal_mark:
        return Dialect(separator, layout.decimal_mark, layout.thousands_mark, quoted, width)
    decimal, thousands = decide_marks((cell for cells in data for cell in cells), path)
    return Dialect(separator, decimal, layout.thousands_mark or thousands, quoted, width)


def _spread(lines: list[str]) -> list[str]:
    """Give the opening lines and as many from the middle, so that a long preamble hides nothing."""
    half = len(lines) // 2
    return [*lines[:_SNIFFED_LINES], *lines[half : half + _SNIFFED_LINES]]


def _partition(words: list[str], width: int) -> list[str] | None:
    """Group words into `width` headings such that the most are known."""
    if len(words) > _MOST_WORDS:
        return None
    best: dict[tuple[int, int], tuple[int, list[str]]] = {(0, 0): (0, [])}
    for groups in range(1, width + 1):
        for end in range(groups, len(words) + 1):
            choices = []
            for begin in range(max(groups - 1, end - 6), end):
                before = best.get((groups - 1, begin))
                if before is not None:
                    text = " ".join(words[begin:end])
                    reading = read_heading([text])
                    worth = 2 * (reading.quantity is not None) + (
                        reading.unit is not None and not reading.candidates
                    )
                    choices.append((before[0] + worth, [*before[1], text]))
            if choices:
                best[groups, end] = max(choices, key=lambda choice: choice[0])
    found = best.get((width, len(words)))
    return found[1] if found is not None and found[0] >= 4 else None


def split_words(line: str, width: int) -> list[str]:
    """Cut a line of words above columns that blanks separate.

    Parameters
    ----------
    line : str
        The line.
    width : int
        Number of columns of the data lines.

    Returns
    -------
    list of str
        `width` headings where the line can be cut into so many; else the line as one cell.
    """
    stripped = line.strip()
    for cut in (_MANY_BLANKS.split(stripped), stripped.split(), _AFTER_BRACKET.split(stripped)):
        if len(cut) == width:
            return cut
    words = stripped.split()
    found = _partition(words, width) if 2 <= width <= 12 and len(words) > width else None
    return found or [part for part in _MANY_BLANKS.split(stripped) if part]


def to_grid(lines: Sequence[str], dialect: Dialect) -> Grid:
    """Cut all lines into cells; the grid has one row a line, so row numbers are line numbers.

    Parameters
    ----------
    lines : sequence of str
        All lines of the file.
    dialect : Dialect
        How to cut them.

    Returns
    -------
    Grid
        Cells as text.
    """
    rows: list[list[Cell]] = []
    mark = SEPARATORS[dialect.separator]
    for line in lines:
        bare = _bare(line, mark)
        cells: Sequence[Cell] = split_cells(bare, dialect.separator, quoted=dialect.quoted)
        if dialect.separator == "blanks" and not any(looks_like_number(str(cell)) for cell in cells[:2]):
            cells = split_words(bare, dialect.width)
        rows.append(list(cells) if bare.strip() else [])
    return Grid("", rows, 1, dialect.decimal_mark, dialect.thousands_mark)
