"""A list of lots with what became of each, or of loads: from separated text or a workbook.

Results are no part of it: `production` reads them.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import cache
from pathlib import Path

from resile.errors import FileFormatError
from resile.readers.grids.vocabulary import fold
from resile.readers.named_rows import NamedRow, NamedTable, read_named_rows
from resile.readers.series.moments import read_moments
from resile.readers.word_lists import load_words
from resile.records.control.lot_list import ListedLot, LotList
from resile.records.reading import HeldFile

MAX_BYTES = 50_000_000
WHAT = "list of lots (.csv, .xlsx)"
_PACKAGE, _WORDS = "resile.readers.series", "lot_words.toml"
_SHARED = {"lot": "lot", "taken": "day", "product": "product", "tank": "tank"}
"""Columns whose words are those of a table of production, by the name of these words."""
_DAYS = ("taken", "tested", "opened")
_NEED = "2026-04-01, 2026-04-01T06:30 or 01.04.2026 is needed"


def read_lot_list(path: Path | HeldFile, *, of_loads: bool = False, date_order: str = "") -> LotList:
    """Read a list of lots, or of loads.

    Parameters
    ----------
    path : Path or HeldFile
        Separated text or a workbook with a row of headings: ``lot`` and ``outcome``, perhaps ``opened``,
        ``taken``, ``tank``, ``extra``, ``product``; of loads ``load`` and ``tonnes``, perhaps ``date``,
        ``tank``, ``added``.
    of_loads : bool
        True for a list of loads, which has their numbers and masses and no lots yet.
    date_order : str
        ``day-first`` or ``month-first`` for days such as 03/04/2026; found where empty.

    Returns
    -------
    LotList
        In the order of the file; lines that begin with ``#`` are comments.

    Raises
    ------
    RecordNotFoundError
        No such file.
    AmbiguousFileError
        The order of day and month can be read in two ways.
    FileFormatError
        No such list; a day, a number or an outcome that cannot be read, with its place.
    """
    table, source = read_named_rows(
        path,
        _headings(),
        needed=("load", "tonnes") if of_loads else ("lot", "outcome"),
        what=WHAT,
        max_bytes=MAX_BYTES,
        thousands=False,
    )
    days = {name: _moments(path, table.rows, name, date_order) for name in _DAYS}
    rows = tuple(_row(path, row, *(days[name][at] for name in _DAYS)) for at, row in enumerate(table.rows))
    return LotList(rows=rows, source=source, notes=_notes(table))


def _row(path: Path | HeldFile, row: NamedRow, taken: str, tested: str, opened: str) -> ListedLot:
    lot = row.text("lot") or row.text("load")
    if not lot:
        raise FileFormatError(f"{path}, {row.place}: the lot is empty; each row needs its lot")
    return ListedLot(
        lot=lot,
        taken=taken or tested,
        opened=opened,
        outcome=_outcome(path, row),
        product=row.text("product"),
        tank=row.text("tank"),
        number=row.text("load"),
        quantity_t=_mass(path, row),
        extra=_is_yes(row.text("extra")),
        added=_is_yes(row.text("added")),
        place=f"{path}, {row.place}",
    )


def _mass(path: Path | HeldFile, row: NamedRow) -> float | None:
    text = row.text("tonnes")
    if not text:
        return None
    value = row.numbers.get("tonnes")
    if value is None or not math.isfinite(value) or value <= 0.0:
        raise FileFormatError(
            f"{path}, {row.place}: '{text}' under tonnes is no mass; a number above 0 is needed"
        )
    return value


def _moments(path: Path | HeldFile, rows: Sequence[NamedRow], name: str, order: str) -> list[str]:
    texts = [row.text(name) for row in rows]
    moments = read_moments(texts, str(path), order)
    for row, text, moment in zip(rows, texts, moments, strict=True):
        if text and not moment:
            raise FileFormatError(f"{path}, {row.place}: '{text}' under {name} is no day; {_NEED}")
    return moments


def _outcome(path: Path | HeldFile, row: NamedRow) -> str:
    text = row.text("outcome")
    if not text:
        return ""
    for kept, words in load_words(_PACKAGE, _WORDS)["outcome"].items():
        if fold(text) in {fold(word) for word in words} or text.strip() in words:
            return str(kept)
    raise FileFormatError(
        f"{path}, {row.place}: '{text}' under outcome; accepted, not accepted, open or nothing is needed"
    )


def _is_yes(text: str) -> bool:
    return fold(text) in {fold(word) for word in load_words(_PACKAGE, _WORDS)["yes"]["words"]}


def _notes(table: NamedTable) -> tuple[str, ...]:
    return (f"columns not used: {', '.join(table.unused)}",) if table.unused else ()


@cache
def _headings() -> dict[str, tuple[str, ...]]:
    """Give the spellings of every column; a spelling belongs to one column."""
    own = load_words(_PACKAGE, _WORDS)["lot_list"]
    found = {name: tuple(words) for name, words in own.items()}
    taken = {fold(word) for words in found.values() for word in words}
    shared = load_words(_PACKAGE, "words.toml")
    for name, kept in _SHARED.items():
        found[name] = tuple(word for word in shared[kept]["words"] if fold(word) not in taken)
        taken |= {fold(word) for word in found[name]}
    return found
