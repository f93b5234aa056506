"""A table of sites, from separated text, a workbook or TOML: what is asked of each, and nothing computed."""

from __future__ import annotations

import math
import tomllib
from collections.abc import Iterator, Mapping, Sequence
from functools import cache
from importlib import resources
from pathlib import Path
from typing import Any

from resile.errors import FileFormatError, SpecificationError
from resile.readers.candidate_grids import candidate_grids
from resile.readers.grids.cells import Cell, cell_text, is_blank
from resile.readers.grids.grid import Grid
from resile.readers.grids.number_text import parse_number
from resile.readers.grids.vocabulary import fold
from resile.readers.layout import Layout
from resile.readers.source_file import read_source
from resile.records.demand_request import DemandRequest

MAX_BYTES = 50_000_000
_ROWS_SEARCHED = 30
_TEXTS = ("name", "station", "layer", "remark")
_FILES = ("weather", "vehicles")
NEEDED = "a heading 'latitude' is needed, and 'weather' or means of the air (high mean c, low mean c, ...)"


def read_site_table(path: Path, *, layout: Layout | None = None) -> tuple[DemandRequest, ...]:
    """Read a table of sites.

    Parameters
    ----------
    path : Path
        Separated text or a workbook with a row of headings, or TOML with ``[[site]]`` tables.
    layout : Layout, optional
        What is known of the file.

    Returns
    -------
    tuple of DemandRequest
        In the order of the file; names of weather files are taken from the folder of the table.

    Raises
    ------
    RecordNotFoundError
        No such file.
    FileFormatError, SpecificationError
        No table of sites; a heading or a number that cannot be read, with its place.
    """
    data, _ = read_source(path, "table of sites (.csv, .xlsx, .toml)", MAX_BYTES)
    if path.suffix.lower() == ".toml":
        return _of_toml(path, data)
    given = layout or Layout()
    best: tuple[Grid, int, dict[str, int]] | None = None
    for _, grid in candidate_grids(data, str(path), layout=given).grids:
        found = _headings(grid)
        if found is not None and (best is None or len(found[1]) > len(best[2])):
            best = (grid, *found)
    if best is None:
        raise FileFormatError(f"{path}: no row of headings of a table of sites was found; {NEEDED}")
    grid, row, columns = best
    requests = [
        _request(path, grid.place(index), dict(_cells(grid.rows[index], columns)), given.decimal_mark)
        for index in range(row + 1, len(grid.rows))
        if any(not is_blank(cell) for cell in grid.rows[index])
    ]
    if not requests:
        raise FileFormatError(f"{path}: there is no site below the headings")
    return tuple(requests)


def _of_toml(path: Path, data: bytes) -> tuple[DemandRequest, ...]:
    try:
        tables = tomllib.loads(data.decode("utf-8-sig")).get("site")
    except (UnicodeDecodeError, tomllib.TOMLDecodeError) as error:
        raise FileFormatError(f"{path}: the table of sites is not TOML: {error}") from error
    if not isinstance(tables, list) or not all(isinstance(one, dict) for one in tables):
        raise FileFormatError(f"{path}: a [[site]] table for each site is needed")
    known = set(_words().values())
    for number, table in enumerate(tables, start=1):
        unknown = sorted(set(table) - known)
        if unknown:
            raise SpecificationError(
                f"{path}: site {number}: key '{unknown[0]}' is not known; "
                f"known are {', '.join(sorted(known))}"
            )
    return tuple(
        _request(path, f"site {number}", {key: _as_cell(value) for key, value in table.items()}, "")
        for number, table in enumerate(tables, start=1)
    )


def _as_cell(value: object) -> Cell:
    number = isinstance(value, int | float) and not isinstance(value, bool)
    return float(value) if number else str(value)  # type: ignore[arg-type]


def _headings(grid: Grid) -> tuple[int, dict[str, int]] | None:
    for index, row in enumerate(grid.rows[:_ROWS_SEARCHED]):
        found: dict[str, int] = {}
        for place, cell in enumerate(row):
            name = _words().get(_bare(cell_text(cell)))
            if name is not None:
                found.setdefault(name, place)
        if "latitude_deg" in found and len(found) > 1:
            return index, found
    return None


def _bare(text: str) -> str:
    """Give a heading without its unit in brackets."""
    for opening in "([":
        text = text.partition(opening)[0]
    return fold(text)


def _cells(row: Sequence[Cell], columns: Mapping[str, int]) -> Iterator[tuple[str, Cell]]:
    for name, place in columns.items():
        if place < len(row) and not is_blank(row[place]):
            yield name, row[place]


def _request(path: Path, place: str, cells: Mapping[str, Cell], decimal_mark: str) -> DemandRequest:
    given: dict[str, Any] = {}
    for name, cell in cells.items():
        text = cell_text(cell).strip()
        if name in _TEXTS:
            given[name] = text
        elif name in _FILES:
            given[name] = path.parent / text
        else:
            given[name] = _number(path, place, name, cell, decimal_mark)
    if "n_years" in given:
        given["n_years"] = int(given["n_years"])
    given.setdefault("name", place)
    return DemandRequest(**given)


def _number(path: Path, place: str, name: str, cell: Cell, decimal_mark: str) -> float:
    if isinstance(cell, float):
        number: float | None = cell
    else:
        text = cell_text(cell)
        # No number of a site needs thousands: a comma alone is a decimal mark.
        mark = decimal_mark or ("," if "," in text and "." not in text else ".")
        number = parse_number(text, mark)
    if number is None or not math.isfinite(number):
        raise FileFormatError(f"{path}, {place}: '{cell_text(cell)}' under {name} is no number")
    return number


@cache
def _words() -> dict[str, str]:
    raw = resources.files("resile.readers.sites").joinpath("words.toml").read_text(encoding="utf-8")
    headings = tomllib.loads(raw)["heading"]
    return {fold(word): name for name, words in headings.items() for word in (*words, name)} | {
        name: name for name in headings
    }
