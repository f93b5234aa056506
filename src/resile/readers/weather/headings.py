"""Which row of a grid heads a weather record, and which column is the date, the maximum and the minimum."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any

from resile.readers.grids.cells import Cell, cell_text, is_blank
from resile.readers.grids.grid import Grid
from resile.readers.grids.number_marks import looks_like_number
from resile.readers.grids.printed_units import read_unit
from resile.readers.grids.vocabulary import fold
from resile.readers.word_lists import load_words
from resile.units import Unit

_ROWS_SEARCHED = 60


@dataclass(frozen=True, slots=True)
class WeatherHeadings:
    """Where the columns of a weather record stand.

    Attributes
    ----------
    row : int
        Index of the heading row, from 0.
    first_data_row : int
        Index of the first row of data.
    columns : mapping of str to int
        Index of the column of ``date``, ``year``, ``month``, ``day``, ``day_of_year``, ``maximum``,
        ``minimum``, ``site``.
    units : mapping of str to Unit
        Units printed for maximum and minimum.
    texts : mapping of str to str
        Headings as printed.
    """

    row: int
    first_data_row: int
    columns: Mapping[str, int]
    units: Mapping[str, Unit]
    texts: Mapping[str, str]

    @property
    def complete(self) -> bool:
        """Whether both temperatures have a column: no other cut of the file could say more."""
        return {"maximum", "minimum"} <= self.columns.keys()


def find_headings(grid: Grid, rules: Mapping[str, str], row: int | None = None) -> WeatherHeadings | None:
    """Give the columns of a weather record.

    Parameters
    ----------
    grid : Grid
        Rows of cells.
    rules : mapping of str to str
        What the user said of columns: heading or number from 1, to one of the names of the words.
    row : int or None
        Row number of the headings, as a person counts; found where None.

    Returns
    -------
    WeatherHeadings or None
        None where no row names a date and a temperature.
    """
    searched = range(min(len(grid.rows), _ROWS_SEARCHED)) if row is None else (row - grid.first_row,)
    for index in searched:
        if not 0 <= index < len(grid.rows):
            continue
        found = _columns(grid.rows[index], rules)
        if _has_date(found) and ("maximum" in found or "minimum" in found):
            return _with_units(grid, index, found)
    return None


def _has_date(columns: Mapping[str, object]) -> bool:
    return "date" in columns or (
        "year" in columns and ("day_of_year" in columns or {"month", "day"} <= columns.keys())
    )


def _columns(row: Sequence[Cell], rules: Mapping[str, str]) -> dict[str, tuple[int, str, Unit | None]]:
    found: dict[str, tuple[int, str, Unit | None]] = {}
    for place, cell in enumerate(row):
        text = cell_text(cell)
        told = rules.get(text) or rules.get(str(place + 1))
        name, unit = (told, _unit_in(text)) if told else _meaning(text)
        if name and name != "ignore" and name not in found:
            found[name] = (place, text, unit)
    if "day" in found and not {"date", "year"} & found.keys():
        # Without a year beside it, a column headed "Day" can only hold whole dates.
        found["date"] = found.pop("day")
    return found


def _meaning(text: str) -> tuple[str, Unit | None]:
    """Give what a heading names, and the unit printed in it."""
    known, folded = _words(), fold(text)
    if folded in known:
        return known[folded], None
    bare = "".join(" " if letter in "[](){}" else letter for letter in text).replace(",", " ")
    parts = fold(bare).split()
    for cut in range(len(parts) - 1, 0, -1):
        unit, _ = read_unit(" ".join(parts[cut:]))
        if unit is not None and " ".join(parts[:cut]) in known:
            return known[" ".join(parts[:cut])], unit
    return "", None


def _unit_in(text: str) -> Unit | None:
    for part in reversed(
        text.replace("[", " ").replace("]", " ").replace("(", " ").replace(")", " ").split()
    ):
        unit, _ = read_unit(part)
        if unit is not None and unit.dimension == "temperature":
            return unit
    return None


def _with_units(grid: Grid, index: int, found: Mapping[str, tuple[int, str, Unit | None]]) -> WeatherHeadings:
    units = {
        name: unit
        for name, (_, _, unit) in found.items()
        if name in ("maximum", "minimum") and unit is not None and unit.dimension == "temperature"
    }
    # Columns told by number over a file without headings: the row found is the first of the data.
    places = [place for name, (place, _, _) in found.items() if name in ("maximum", "minimum")]
    headless = any(looks_like_number(cell_text(grid.rows[index][place])) for place in places)
    first = index if headless else index + 1
    below = grid.rows[first] if first < len(grid.rows) else []
    if any(not is_blank(cell) for cell in below) and all(
        is_blank(cell) or (isinstance(cell, str) and read_unit(cell)[0]) for cell in below
    ):
        first += 1
        for name in ("maximum", "minimum"):
            place = found[name][0] if name in found else len(below)
            unit = read_unit(cell_text(below[place]))[0] if place < len(below) else None
            if unit is not None and unit.dimension == "temperature":
                units[name] = unit
    return WeatherHeadings(
        index,
        first,
        {name: place for name, (place, _, _) in found.items()},
        units,
        {name: "" if headless else text for name, (_, text, _) in found.items()},
    )


def vocabulary() -> dict[str, Any]:
    """Give the words and bounds of ``words.toml``."""
    return load_words("resile.readers.weather", "words.toml")


@cache
def _words() -> dict[str, str]:
    return {fold(word): name for name, entry in vocabulary()["heading"].items() for word in entry["words"]}
