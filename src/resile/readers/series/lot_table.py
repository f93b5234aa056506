"""A table of lots, from separated text or a workbook: results of production in the order of time."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import datetime
from functools import cache
from pathlib import Path

from resile.errors import FileFormatError
from resile.readers.candidate_grids import candidate_grids
from resile.readers.grids.vocabulary import fold, vocabulary
from resile.readers.layout import Layout
from resile.readers.named_rows import NamedRow, NamedTable, read_named_rows
from resile.readers.series.production import read_production_table
from resile.readers.source_file import read_source
from resile.readers.summaries.columns import gives_one_result_a_row
from resile.readers.word_lists import load_words
from resile.records.control.lot_table import LotRow, LotTable
from resile.records.control.production import ProductionSeries, ProductionTable
from resile.records.quantity import QUANTITIES, RESULT_QUANTITIES, WORD_QUANTITIES
from resile.records.reading import HeldFile
from resile.units import Unit, convert, find_unit

MAX_BYTES = 50_000_000
WHAT = "table of lots (.csv, .xlsx)"
_PACKAGE, _WORDS = "resile.readers.series", "lot_words.toml"
_SHARED = {"lot": "lot", "taken": "day", "product": "product", "tank": "tank"}
_SHARED |= {"operator": "operator", "instrument": "instrument"}
"""Columns whose words are those of a table of production, by the name of these words."""
_TEXTS = ("product", "sample", "tank", "operator", "instrument")
_LEVELLED = {
    "jnr_0.1": ("Jnr0.1", "Jnr 0.1", "Jnr,0.1"),
    "jnr_3.2": ("Jnr3.2", "Jnr 3.2", "Jnr,3.2", "Jnr"),
    "percent_recovery_0.1": ("R0.1", "R 0.1", "%R0.1", "recovery 0.1"),
    "percent_recovery_3.2": ("R3.2", "R 3.2", "%R3.2", "recovery 3.2", "recovery"),
    "softening_point": ("softening point", "R&B", "ring and ball", "T(R&B)", "Erweichungspunkt"),
    "elastic_recovery_percent": ("elastic recovery", "ER", "elastische Rückstellung"),
}


def read_lot_table(path: Path | HeldFile, *, needs_lot: bool = True) -> LotTable:
    """Read a table of lots.

    Parameters
    ----------
    path : Path or HeldFile
        Separated text or a workbook with a row of headings: ``lot``, ``taken``, results by the names or
        symbols of the glossary with their unit in brackets, and what else is known.
        A table with one result a row, under ``quantity`` and ``value``, is read as a table of production.
    needs_lot : bool
        False for a list of loads, which has their numbers and masses and no lots yet.

    Returns
    -------
    LotTable
        In the order of the file; lines that begin with ``#`` are comments.

    Raises
    ------
    RecordNotFoundError
        No such file.
    FileFormatError
        No table of lots; a heading, a unit, a day or a number that cannot be read, with its place.
    """
    if needs_lot and _has_one_result_a_row(path):
        return _lots_of(read_production_table(path), path)
    table, source = read_named_rows(
        path,
        _headings(),
        needed=("lot",) if needs_lot else ("load", "tonnes"),
        what=WHAT,
        max_bytes=MAX_BYTES,
        thousands=False,
    )
    names = [name for name in table.rows[0].cells if name in QUANTITIES]
    units = {name: _units(path, name, table.brackets.get(name, "")) for name in names}
    rows = tuple(_row(path, row, at, units) for at, row in enumerate(table.rows, start=1))
    return LotTable(rows=rows, quantities=tuple(names), source=source, notes=_notes(table, names))


def _has_one_result_a_row(path: Path | HeldFile) -> bool:
    data, _ = read_source(path, WHAT, MAX_BYTES)
    grids = candidate_grids(data, str(path), layout=Layout()).grids if data.strip() else ()
    return any(gives_one_result_a_row(grid) for _, grid in grids)


def _lots_of(table: ProductionTable, path: Path | HeldFile) -> LotTable:
    """Put results of one lot beside each other: the first of each property, the second, and so on."""
    _refuse_two_of_one_property(table.series, path)
    rows: dict[tuple[str, str, int], LotRow] = {}
    for series in table.series:
        counts: dict[str, int] = {}
        for one in series.results:
            number = counts[one.lot] = counts.get(one.lot, 0) + 1
            key = (series.product, one.lot, number)
            first = rows.get(key) or LotRow(
                lot=one.lot,
                taken=one.taken,
                product=series.product,
                sample=one.sample,
                tank=one.tank,
                operator=one.operator,
                instrument=one.instrument,
                place=one.place,
            )
            rows[key] = replace(first, values={**first.values, series.quantity: one.value})
    return LotTable(
        rows=tuple(rows.values()),
        quantities=tuple(dict.fromkeys(series.quantity for series in table.series)),
        source=table.source,
        notes=("one result a row: those of a lot are put beside each other", *_left(table)),
    )


def _left(table: ProductionTable) -> tuple[str, ...]:
    count = table.account.rows_refused_count
    return (
        (f"rows not used: {count}, the first because {table.account.rows_refused[0].reason}",)
        if count
        else ()
    )


def _refuse_two_of_one_property(series: Sequence[ProductionSeries], path: Path | HeldFile) -> None:
    seen: dict[tuple[str, str], ProductionSeries] = {}
    for one in series:
        other = seen.setdefault((one.product, one.quantity), one)
        if other is not one:
            found = " and ".join(
                str(each.condition) + ("" if each.temperature_c is None else f" at {each.temperature_c:g} °C")
                for each in (other, one)
            )
            raise FileFormatError(
                f"{path}: {one.quantity} stands there for {found}; a table with one of them is needed"
            )


def _row(
    path: Path | HeldFile, row: NamedRow, at: int, units: Mapping[str, tuple[Unit, Unit] | None]
) -> LotRow:
    lot = row.text("lot") or row.text("load")
    if not lot:
        raise FileFormatError(f"{path}, {row.place}: the lot is empty; each row needs its lot")
    values = {}
    for name, pair in units.items():
        if row.text(name) in ("", "-", "–"):
            continue
        values[name] = _kept(_number(path, row, name), pair)
    mass = None if not row.text("tonnes") else _number(path, row, "tonnes")
    day = "taken" if row.text("taken") else "tested"
    return LotRow(
        lot=lot,
        taken=_day(path, row, day) if row.text(day) else f"{at:06d}",
        values=values,
        outcome=_outcome(path, row),
        opened=_day(path, row, "opened") if row.text("opened") else "",
        quantity_t=mass,
        number=row.text("load"),
        extra=_is_yes(row.text("extra")),
        added=_is_yes(row.text("added")),
        place=f"{path}, {row.place}",
        **{name: row.text(name) for name in _TEXTS},
    )


def _number(path: Path | HeldFile, row: NamedRow, name: str) -> float:
    value = row.numbers.get(name)
    if value is None or not math.isfinite(value):
        raise FileFormatError(f"{path}, {row.place}: '{row.text(name)}' under {name} is no number")
    return value


def _day(path: Path | HeldFile, row: NamedRow, name: str) -> str:
    text = row.text(name)
    try:
        moment = datetime.fromisoformat(text)
    except ValueError:
        raise FileFormatError(
            f"{path}, {row.place}: '{text}' under {name} is no day; 2026-04-01 or 2026-04-01T06:30 is needed"
        ) from None
    plain = (moment.hour, moment.minute, moment.second) == (0, 0, 0)
    return moment.date().isoformat() if plain else moment.isoformat(timespec="minutes")


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


def _units(path: Path | HeldFile, name: str, printed: str) -> tuple[Unit, Unit] | None:
    """Give the unit printed in a heading and the one that is kept; None where they are the same."""
    kept_name = QUANTITIES[name].unit
    if not printed or printed == kept_name:
        return None
    unit, kept = find_unit(printed), find_unit(kept_name)
    if unit is None or kept is None or unit.dimension != kept.dimension:
        raise FileFormatError(
            f"{path}: the heading of {name} prints the unit '{printed}'; {kept_name or 'no unit'} or another "
            "unit of the same kind is needed"
        )
    return unit, kept


def _kept(value: float, pair: tuple[Unit, Unit] | None) -> float:
    if pair is None:
        return value
    return (convert(value, pair[0]) - pair[1].offset) / pair[1].factor


def _notes(table: NamedTable, names: list[str]) -> tuple[str, ...]:
    notes = [
        f"column '{name}' read in {table.brackets[name]}, kept in {QUANTITIES[name].unit}"
        for name in names
        if table.brackets.get(name) not in (None, QUANTITIES[name].unit)
    ]
    bare = [name for name in names if name not in table.brackets and QUANTITIES[name].unit]
    if bare:
        taken = ", ".join(f"{name} in {QUANTITIES[name].unit}" for name in bare)
        notes.append(f"no unit in the heading, taken as: {taken}")
    if not {"taken", "tested"} & table.rows[0].cells.keys():
        notes.append("no column of days: the rows are taken in their order")
    if table.unused:
        notes.append(f"columns not used: {', '.join(table.unused)}")
    return tuple(notes)


@cache
def _headings() -> dict[str, tuple[str, ...]]:
    """Give the spellings of every column; a spelling belongs to one column."""
    own = load_words(_PACKAGE, _WORDS)["lot_table"]
    found = {name: tuple(words) for name, words in own.items()}
    taken = {fold(word) for words in found.values() for word in words}
    shared = load_words(_PACKAGE, "words.toml")
    for name, kept in _SHARED.items():
        found[name] = tuple(word for word in shared[kept]["words"] if fold(word) not in taken)
        taken |= {fold(word) for word in found[name]}
    known = vocabulary()
    for name in RESULT_QUANTITIES:
        if name in WORD_QUANTITIES or name.startswith("reported_"):
            continue
        words = [name, QUANTITIES[name].symbol, QUANTITIES[name].title, *_LEVELLED.get(name, ())]
        words += [word for word, quantity in known.words.items() if quantity == name]
        words += [symbol for symbol, quantity in known.symbols.items() if quantity == name]
        fresh = [word for word in words if word and fold(word) not in taken]
        taken |= {fold(word) for word in fresh}
        found[name] = tuple(fresh)
    return found
