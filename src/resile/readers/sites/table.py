"""A table of sites, from separated text, a workbook or TOML: what is asked of each, and nothing computed."""

from __future__ import annotations

import math
import tomllib
from collections.abc import Mapping
from functools import cache
from importlib import resources
from pathlib import Path
from typing import Any

from resile.errors import FileFormatError, SpecificationError
from resile.readers.grids.vocabulary import fold
from resile.readers.named_rows import NamedRow, read_named_rows
from resile.readers.source_file import file_beside, read_source
from resile.records.demand_request import DemandRequest, SiteTable
from resile.records.reading import HeldFile, SourceFile

MAX_BYTES = 50_000_000
WHAT = "table of sites (.csv, .xlsx, .toml)"
_TEXTS = ("name", "station", "layer", "remark", "grade")
_FILES = ("weather", "vehicles")
_EDGES = {"latitude_deg": (-90.0, 90.0), "longitude_deg": (-180.0, 180.0), "amount_t": (1e-9, 1e9)}
_AS_PRINTED = (0.0, 1.0)


def read_site_table(path: Path | HeldFile) -> SiteTable:
    """Read a table of sites.

    Parameters
    ----------
    path : Path or HeldFile
        Separated text or a workbook with a row of headings, or TOML with ``[[site]]`` tables.

    Returns
    -------
    SiteTable
        In the order of the file; names of weather files are taken from the folder of the table. Lines that
        begin with ``#`` are comments.

    Raises
    ------
    RecordNotFoundError
        No such file.
    FileFormatError, SpecificationError
        No table of sites; a heading, a unit or a number that cannot be read, with its place.
    """
    if path.suffix.lower() == ".toml":
        return _of_toml(path)
    table, source = read_named_rows(
        path,
        _headings(),
        needed=(),
        one_of=("latitude_deg", "grade"),
        what=WHAT,
        max_bytes=MAX_BYTES,
        thousands=False,
    )
    units = {name: _unit(path, name, printed) for name, printed in table.brackets.items()}
    return SiteTable(tuple(_request(path, row, units) for row in table.rows), source, table.unused)


def _of_toml(path: Path | HeldFile) -> SiteTable:
    data, source = read_source(path, WHAT, MAX_BYTES)
    try:
        tables = tomllib.loads(data.decode("utf-8-sig")).get("site")
    except (UnicodeDecodeError, tomllib.TOMLDecodeError) as error:
        raise FileFormatError(f"{path}: the table of sites is not TOML: {error}") from error
    if not isinstance(tables, list) or not tables or not all(isinstance(one, dict) for one in tables):
        raise FileFormatError(f"{path}: a [[site]] table for each site is needed")
    return _of_tables(path, tables, source)


def _of_tables(path: Path | HeldFile, tables: list[dict[str, Any]], source: SourceFile) -> SiteTable:
    known = set(_headings())
    requests = []
    for number, table in enumerate(tables, start=1):
        unknown = sorted(set(table) - known)
        if unknown:
            raise SpecificationError(
                f"{path}: site {number}: key '{unknown[0]}' is not known; "
                f"known are {', '.join(sorted(known))}"
            )
        numbers = {
            name: float(value)
            for name, value in table.items()
            if isinstance(value, int | float) and not isinstance(value, bool)
        }
        texts = {name: str(value) for name, value in table.items()}
        requests.append(_request(path, NamedRow(f"site {number}", texts, numbers), {}))
    return SiteTable(tuple(requests), source)


def _request(path: Path | HeldFile, row: NamedRow, units: Mapping[str, tuple[float, float]]) -> DemandRequest:
    given: dict[str, Any] = {}
    for name, text in row.cells.items():
        if not text:
            continue
        if name in _TEXTS:
            given[name] = text
        elif name in _FILES:
            given[name] = file_beside(path, text)
        else:
            given[name] = _number(path, row, name, units.get(name, _AS_PRINTED))
    if "n_years" in given:
        given["n_years"] = int(given["n_years"])
    given.setdefault("name", row.place)
    return DemandRequest(**given)


def _number(path: Path | HeldFile, row: NamedRow, name: str, unit: tuple[float, float]) -> float:
    printed = row.numbers.get(name)
    if printed is None or not math.isfinite(printed):
        raise FileFormatError(f"{path}, {row.place}: '{row.text(name)}' under {name} is no number")
    value = (printed + unit[0]) * unit[1]
    low, high = _EDGES.get(name, (-math.inf, math.inf))
    if not low <= value <= high:
        needed = f"{low:g} to {high:g}" if low < 0.0 else "a number above zero"
        raise FileFormatError(f"{path}, {row.place}: {value:g} under {name}: needed is {needed}")
    return value


def _unit(path: Path | HeldFile, name: str, printed: str) -> tuple[float, float]:
    """Give what is added to a printed number, and what the sum is multiplied by; texts have no unit."""
    units = _words()["unit"].get(name)
    if units is None:
        return _AS_PRINTED
    for spelling, (added, times) in units.items():
        if fold(spelling) == fold(printed):
            return float(added), float(times)
    raise FileFormatError(
        f"{path}: the heading of {name} prints the unit '{printed}', which is not known there; "
        f"known are {', '.join(units)}"
    )


@cache
def _words() -> dict[str, Any]:
    raw = resources.files("resile.readers.sites").joinpath("words.toml").read_text(encoding="utf-8")
    return tomllib.loads(raw)


@cache
def _headings() -> dict[str, list[str]]:
    """Give the spellings of each heading, the name of the key among them."""
    return {name: [*words, name] for name, words in _words()["heading"].items()}
