"""The cells of one sheet of a workbook, looked through for what a fast library would read as blank."""

from __future__ import annotations

import re
from xml.parsers import expat

from resile.errors import FileFormatError

MAX_CELLS = 10_000_000
RESAVE = "open it and save it as .xlsx"
_PLAIN_CELL = re.compile(rb'<c r="([A-Z]{1,3})([0-9]{1,7})"')
# Formulas, errors, tabs and line ends inside a cell's tag, prefixed names, references, zero bytes of UTF-16.
_NEEDS_A_WALK = (
    b"<f",
    b't="e"',
    b"t='e'",
    b"<c\t",
    b"<c\n",
    b"<c\r",
    b"<c>",
    b":c ",
    b":row",
    b"&#",
    b"\0",
    b"t =",
)
_CELL = re.compile(r"([A-Z]{1,3})([0-9]{1,7})")


def refuse_blind_cells(content: bytes, path: str, sheet: str, *, stale: bool) -> None:
    """Refuse a sheet that holds an error, or a formula whose result was never stored.

    Parameters
    ----------
    content : bytes
        XML of the sheet.
    path, sheet : str
        File and sheet for messages.
    stale : bool
        The workbook asks to be computed when opened: a stored result of 0 is then no result.

    Raises
    ------
    FileFormatError
        Names the first such cell, and how many there are; or the sheet spans too many cells, or is damaged.
    """
    where = f"sheet {sheet}"
    extent = _extent_without_formulas(content)
    if extent is not None and extent[0] * extent[1] <= MAX_CELLS:
        parse_xml(content, path, where)  # damage is told with the sheet's name
        return
    scan = _SheetScan(stale=stale)
    parse_xml(content, path, where, start=scan.start, end=scan.end, text=scan.text)
    if scan.last_row * scan.last_column > MAX_CELLS:
        raise FileFormatError(
            f"{path}, {where}: cells reach to row {scan.last_row}, column {scan.last_column}, "
            f"more than {MAX_CELLS:,} cells; delete what lies far outside the table, "
            "or save the table as text (.csv)"
        )
    if scan.blind:
        cell, reason = scan.blind
        more = f" (and {scan.blind_count - 1} more such cells)" if scan.blind_count > 1 else ""
        raise FileFormatError(f"{path}, sheet {sheet}, cell {cell}: {reason}{more}")


def _extent_without_formulas(content: bytes) -> tuple[int, int] | None:
    """Give last row and column of a sheet that plainly holds no formula and no error, else None.

    Walking through every cell takes four times as long as reading them; most sheets of numbers need no walk.
    Another encoding, prefixed names, or cells that do not say where they stand get the walk.
    """
    if any(mark in content for mark in _NEEDS_A_WALK):
        return None
    cells = _PLAIN_CELL.findall(content)
    if len(cells) != content.count(b"<c "):
        return None
    columns, rows = {letters for letters, _ in cells}, {number for _, number in cells}
    return (
        max((int(number) for number in rows), default=0),
        max((_column_number(letters.decode()) for letters in columns), default=0),
    )


def parse_xml(content: bytes, path: str, where: str, **handlers: object) -> None:
    """Run through one XML part.

    Parameters
    ----------
    content : bytes
        The part.
    path, where : str
        File and place in it, for messages.
    **handlers : callable
        ``start(tag, attributes)``, ``end(tag)`` and ``text(text)``.

    Raises
    ------
    FileFormatError
        The part is damaged, or declares a document type (in which entities could hide).
    """
    parser = expat.ParserCreate()
    parser.buffer_text = True

    def refuse_declaration(*_: object) -> None:
        raise FileFormatError(f"{path}, {where}: holds a document type declaration, which no workbook has")

    parser.StartDoctypeDeclHandler = refuse_declaration
    parser.StartElementHandler = handlers.get("start")  # type: ignore[assignment]
    parser.EndElementHandler = handlers.get("end")  # type: ignore[assignment]
    parser.CharacterDataHandler = handlers.get("text")  # type: ignore[assignment]
    try:
        parser.Parse(content, True)
    except (expat.ExpatError, ValueError) as error:
        raise FileFormatError(
            f"{path}, {where}: the workbook is damaged ({error}); fetch it again, or {RESAVE}"
        ) from error


class _SheetScan:
    """Walks through the cells of one sheet: how far they reach, and the first that cannot be trusted."""

    def __init__(self, *, stale: bool) -> None:
        self.stale = stale
        self.last_row = self.last_column = 0
        self.blind: tuple[str, str] | None = None
        self.blind_count = 0
        self._row = self._column = 0
        self._name = self._kind = ""
        self._formula = self._has_value = self._in_value = False
        self._value: list[str] = []

    def start(self, tag: str, row: dict[str, str]) -> None:
        name = tag.rpartition(":")[2]
        if name == "c":
            self._open_cell(row)
        elif name == "v":
            self._in_value = self._has_value = True
        elif name == "f":
            self._formula = True
        elif name == "is":
            self._has_value = True
        elif name == "row":
            self._row = int(row["r"]) if row.get("r", "").isdigit() else self._row + 1
            self._column = 0

    def text(self, text: str) -> None:
        if self._in_value:
            self._value.append(text)

    def end(self, tag: str) -> None:
        name = tag.rpartition(":")[2]
        if name == "v":
            self._in_value = False
        elif name == "c" and (self._has_value or self._formula):
            self.last_row = max(self.last_row, self._row)
            self.last_column = max(self.last_column, self._column)
            self._judge_cell("".join(self._value).strip())

    def _open_cell(self, row: dict[str, str]) -> None:
        self._name, self._kind = row.get("r", ""), row.get("t", "n")
        self._formula = self._has_value = self._in_value = False
        self._value.clear()
        match = _CELL.fullmatch(self._name)
        self._column = _column_number(match[1]) if match else self._column + 1
        if match:
            self._row = int(match[2])
        else:
            self._name = f"in row {self._row}, column {self._column}"

    def _judge_cell(self, value: str) -> None:
        reason = ""
        if self._kind == "e":
            reason = f"holds the error {value or 'of a formula'}; mend it or clear the cell"
        elif self._formula and self._is_uncomputed(value):
            reason = "formula without a stored result; open and save the workbook once, or paste values"
        if reason:
            self.blind = self.blind or (self._name, reason)
            self.blind_count += 1

    def _is_uncomputed(self, value: str) -> bool:
        if self._kind == "str":  # a formula may well give an empty text
            return not self._has_value
        return value == "" or (self.stale and value == "0")


def _column_number(letters: str) -> int:
    number = 0
    for letter in letters:
        number = 26 * number + ord(letter) - ord("A") + 1
    return number
