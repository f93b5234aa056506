"""An ageing record kept as a table: name/value lines, then one row a bottle or a pan."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field

from resile.errors import FileFormatError
from resile.readers.ageing.ageing_words import LONG, SHORT, Word, kind_of_method, word_of
from resile.readers.grids.cells import Cell, cell_text, exact_text, is_blank
from resile.readers.grids.grid import Grid
from resile.readers.grids.number_marks import decide_marks
from resile.readers.grids.number_text import parse_number, why_no_number
from resile.readers.grids.printed_units import read_unit
from resile.records.ageing import Bottle, Pan
from resile.units import Unit, convert, find_unit

MASSES = {SHORT: ("empty_g", "before_g", "after_g"), LONG: ("mass_g",)}
_LINES = {SHORT: ("common", "line"), LONG: ("common", "pressure")}
_COLUMNS = {SHORT: "column", LONG: "pan"}
_OTHER_MARK = {".": ",", ",": "."}
_VALUE_AND_UNIT = re.compile(r"([+-]?[\d.,' ]*\d)\s*(\D.*)?")
_MISSING = frozenset({"", "-", "–", "—", "n/a"})


@dataclass(slots=True)
class AgeingTable:
    """Fields, bottles and pans as read; `unused` names lines that mean nothing to us."""

    kind: str = SHORT

    numbers: dict[str, float] = field(default_factory=dict)
    texts: dict[str, str] = field(default_factory=dict)
    bottles: list[Bottle] = field(default_factory=list)
    pans: list[Pan] = field(default_factory=list)
    unused: list[str] = field(default_factory=list)


def find_heading(grid: Grid, kind: str) -> int | None:
    """Give the index of the row that heads the bottles or pans.

    Parameters
    ----------
    grid : Grid
        The rows.
    kind : str
        ``"short-term"``: a row that names at least two of the three masses of a bottle; ``"long-term"``: one
        that names pan and binder.

    Returns
    -------
    int or None
        None where there is no such row.
    """
    asked = {*MASSES[SHORT]} if kind == SHORT else {"name", "mass_g"}
    for index, row in enumerate(grid.rows):
        found = {word.name for cell in row if (word := word_of((_COLUMNS[kind],), cell_text(cell)))}
        if len(found & asked) >= 2:
            return index
    return None


def kind_of_grid(grid: Grid, path: str) -> str:
    """Tell whether a table holds short-term or long-term ageing, from what it names.

    Parameters
    ----------
    grid : Grid
        The rows.
    path : str
        Path for messages.

    Returns
    -------
    str
        ``"short-term"`` or ``"long-term"``; by the method where nothing else tells.

    Raises
    ------
    FileFormatError
        Names of both kinds occur.
    """
    heads = [cell_text(cells[0]) for row in grid.rows if (cells := [c for c in row if not is_blank(c)])]
    heads = [re.split(r"[:=]", head)[0] for head in heads]
    named: dict[str, list[str]] = {SHORT: [], LONG: []}
    for head in heads:
        # A remark or a residue may stand in either; only numbers tell.
        meant = [k for k in named if (word := word_of((_LINES[k][1],), head)) is not None and word.unit]
        if len(meant) == 1:
            named[meant[0]].append(head)
    for kind, listed in named.items():
        if find_heading(grid, kind) is not None:
            listed.append("bottles" if kind == SHORT else "pans")
    if named[SHORT] and named[LONG]:
        raise FileFormatError(
            f"{path}: names of short-term ageing ({', '.join(named[SHORT])}) and of long-term ageing "
            f"({', '.join(named[LONG])}) stand in one record; keep the two in files of their own"
        )
    if named[SHORT] or named[LONG]:
        return SHORT if named[SHORT] else LONG
    kinds = {kind_of_method(cell_text(cell)) for row in grid.rows for cell in row}
    return LONG if LONG in kinds else SHORT


def read_ageing_table(grid: Grid, path: str) -> AgeingTable:
    """Read an ageing record from the rows of a text or a sheet.

    Parameters
    ----------
    grid : Grid
        The rows.
    path : str
        Path for messages.

    Returns
    -------
    AgeingTable
        Numbers in the units of the records in `resile.records.ageing`.

    Raises
    ------
    FileFormatError
        A number cannot be read, with its line, or a mass column is missing.
    AmbiguousFileError
        The decimal mark can be read in two ways.
    """
    kind = kind_of_grid(grid, path)
    heading = find_heading(grid, kind)
    table = AgeingTable(kind)
    stop = len(grid.rows) if heading is None else heading
    columns = {} if heading is None else _columns(grid, heading, kind, path)
    reader = _Reader(grid, path, kind, *_marks(grid, columns, stop, kind, path))
    for index in range(stop):
        reader.read_line(index, table)
    for index in range(stop + 1, len(grid.rows)):
        reader.read_row(index, columns, table)
    return table


def _columns(grid: Grid, heading: int, kind: str, path: str) -> dict[int, Word]:
    columns = {}
    for place, cell in enumerate(grid.rows[heading]):
        word = word_of((_COLUMNS[kind],), cell_text(cell))
        if word:
            columns[place] = word
    missing = set(MASSES[kind]) - {word.name for word in columns.values()}
    if missing:
        raise FileFormatError(
            f"{path}, {grid.place(heading)}: no column for {' and '.join(sorted(missing))}; "
            "the mass of each bottle is needed empty, before and after ageing"
        )
    return columns


def _marks(grid: Grid, columns: dict[int, Word], stop: int, kind: str, path: str) -> tuple[str, str]:
    """Give decimal and thousands mark: a mark in a mass is decimal, for no bottle or pan weighs 100 kg."""
    masses = [
        cell
        for row in grid.rows[stop + 1 :]
        for place, cell in enumerate(row)
        if place in columns and columns[place].name in MASSES[kind] and isinstance(cell, str)
    ]
    marks = {mark for cell in masses for mark in ".," if mark in cell}
    if len(marks) == 1:
        decimal = marks.pop()
        return decimal, _OTHER_MARK[decimal]
    others = [cell for row in grid.rows[:stop] for cell in row[1:2] if isinstance(cell, str)]
    return decide_marks([*masses, *others], path)


@dataclass(frozen=True, slots=True)
class _Reader:
    """Reads lines and rows of one grid."""

    grid: Grid
    path: str
    kind: str
    decimal_mark: str
    thousands_mark: str

    def read_line(self, index: int, table: AgeingTable) -> None:
        """Read a name/value line: two or three cells, or one cell with a colon between."""
        cells = [cell_text(cell) for cell in self.grid.rows[index] if not is_blank(cell)]
        cells = list(dict.fromkeys(cells))  # a merged cell stands in every cell it covers
        if len(cells) == 1:
            name, _, value = cells[0].partition(":" if ":" in cells[0] else "=")
            cells = [name, value.strip()] if value.strip() else cells
        if not cells:
            return
        word = word_of(_LINES[self.kind], cells[0])
        if word is None or len(cells) < 2:
            table.unused.append(f"{self.grid.place(index)}: {' '.join(cells)[:60]}")
        elif not word.unit:
            table.texts[word.name] = " ".join(cells[1:])
        else:
            unit = cells[2] if len(cells) > 2 else word.unit_text
            table.numbers[word.name] = self._number(index, cells[0], cells[1], unit, word)

    def read_row(self, index: int, columns: dict[int, Word], table: AgeingTable) -> None:
        """Read one row below the heading of the bottles or pans."""
        row = self.grid.rows[index]
        cells: dict[str, Cell] = {
            word.name: row[place] if place < len(row) else None for place, word in columns.items()
        }
        if all(is_blank(cell) for cell in cells.values()):
            if any(not is_blank(cell) for cell in row):
                table.unused.append(self.grid.place(index))
            return
        words = {word.name: word for word in columns.values()}
        masses = {
            name: self._number(index, name, exact_text(cells[name]), words[name].unit_text, words[name])
            for name in MASSES[self.kind]
            if exact_text(cells[name]) not in _MISSING
        }
        if not masses:  # a foot note, or a unit below the heading
            table.unused.append(f"{self.grid.place(index)}: {' '.join(map(exact_text, row))[:60].strip()}")
            return
        note = exact_text(cells.get("note"))
        note = "" if note in _MISSING else note
        number = len(table.bottles) + len(table.pans) + 1
        name = exact_text(cells.get("name")) or str(number)
        if self.kind == LONG:
            table.pans.append(Pan(name, masses["mass_g"], note=note))
        else:
            empty, before, after = (masses.get(one) for one in MASSES[SHORT])
            table.bottles.append(Bottle(name, empty, before, after, note=note))

    def _number(self, index: int, name: str, text: str, unit_text: str, word: Word) -> float:
        where = f"{self.path}, {self.grid.place(index)}, {name!r}"
        split = _VALUE_AND_UNIT.fullmatch(text.strip())
        number = parse_number(split[1], self.decimal_mark, self.thousands_mark) if split else None
        if split is None or number is None:
            raise FileFormatError(f"{where}: {why_no_number(text)}; a number in {word.unit} is needed")
        kept = find_unit(word.unit)
        printed = (split[2] or unit_text).strip()
        unit = read_unit(printed)[0] if printed else kept
        if unit is None and split[2]:
            raise FileFormatError(f"{where}: {text!r} is not a number; a number in {word.unit} is needed")
        if kept is None or unit is None or unit.dimension != kept.dimension:
            raise FileFormatError(
                f"{where}: {printed!r} is not a unit of it; a number in {word.unit} is needed"
            )
        return _brought(number, unit, kept)


def _brought(number: float, unit: Unit, kept: Unit) -> float:
    """Give a number in the unit of the record; untouched where it stands in it already."""
    return number if unit == kept else (convert(number, unit) - kept.offset) / kept.factor


def texts_of(rows: Sequence[Sequence[Cell]]) -> int:
    """Count the cells of some rows that are names or headings of an ageing record."""
    sections = ("common", "line", "pressure", "column", "pan")
    return sum(bool(word_of(sections, cell_text(cell))) for row in rows for cell in row)
