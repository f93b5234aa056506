"""What a table of sites says for a choice: name, grade where it is known already, place, tonnes."""

from __future__ import annotations

import tomllib
from functools import cache
from importlib import resources
from pathlib import Path

from resile.errors import FileFormatError
from resile.readers.named_rows import NamedRow, read_named_rows
from resile.records.choice import SiteNeed
from resile.records.reading import SourceFile

MAX_BYTES = 50_000_000
_EDGES = {"latitude": 90.0, "longitude": 180.0}


def read_site_grades(path: Path) -> tuple[tuple[SiteNeed, ...], SourceFile]:
    """Read a table of sites with the grades they ask for, where it states them.

    Parameters
    ----------
    path : Path
        Separated text or a workbook (.xlsx), one site a row.

    Returns
    -------
    tuple of (tuple of SiteNeed, SourceFile)
        In the order of the table, with an empty grade where none is stated; and the file.

    Raises
    ------
    RecordNotFoundError, FileFormatError, AmbiguousFileError
        No such file, no headings, a site without a name, or a number that cannot be used.
    """
    table, source = read_named_rows(
        path, site_words(), needed=("name",), what="table of sites (.csv, .xlsx)", max_bytes=MAX_BYTES
    )
    return tuple(_need(row, path) for row in table.rows), source


@cache
def site_words() -> dict[str, list[str]]:
    """Give the spellings of the headings of a table of sites."""
    text = (resources.files(__package__) / "range_words.toml").read_text(encoding="utf-8")
    words: dict[str, list[str]] = tomllib.loads(text)["site"]
    return words


def _need(row: NamedRow, path: Path) -> SiteNeed:
    name = row.text("name")
    if not name:
        raise FileFormatError(f"{path}, {row.place}: this row names no site")
    amount = _number(row, "amount_t", path)
    if amount is not None and not 0.0 < amount < 1e9:
        raise FileFormatError(f"{path}, {row.place}: {amount:g} t of binder: needed is a number above zero")
    return SiteNeed(
        name=name,
        grade=row.text("grade"),
        latitude_deg=_number(row, "latitude", path),
        longitude_deg=_number(row, "longitude", path),
        amount_t=1.0 if amount is None else amount,
        remark=row.text("remark"),
    )


def _number(row: NamedRow, name: str, path: Path) -> float | None:
    text = row.text(name)
    if not text:
        return None
    value = row.numbers.get(name)
    edge = _EDGES.get(name, float("inf"))
    if value is None or abs(value) > edge:
        within = f" from −{edge:g} to {edge:g}" if name in _EDGES else ""
        raise FileFormatError(
            f"{path}, {row.place}: {name} is {text!r}; needed is a number{within}, or nothing"
        )
    return value
