"""Sheets of a workbook that together hold one run: a sheet for each cycle, or for each stress level."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from resile.readers.grids.grid import Column
from resile.readers.grids.table import Table, identity_of

_LOADS = ("stress_kpa", "set_stress_kpa", "torque_nm")
_TIMES = ("time_s", "segment_time_s")
_NUMBERED = re.compile(r"^(.*?)(\d+)\s*$")
_SAME = 0.9
_NEXT_LEVEL = 1.5
_LONGEST_BREAK = 0.5


@dataclass(frozen=True, slots=True)
class _Stretch:
    """What one sheet holds, in the units printed."""

    begin: float
    end: float
    level: float
    pushes: int
    one_level: bool


def join_sheets(tables: Sequence[Table]) -> list[Table]:
    """Put together the sheets that are parts of one run.

    Parameters
    ----------
    tables : sequence of Table
        The records of a workbook, in the order of its tabs.

    Returns
    -------
    list of Table
        One table where every sheet has the same columns, holds one stress level, the stress never falls from
        sheet to sheet, and either the clock runs on, or each sheet is one cycle, or each a higher level.
        Otherwise the tables as given: sheets are specimens of their own.
    """
    ordered = _in_order(tables)
    if len({table.sheet for table in ordered}) != len(ordered) or len(ordered) < 2:
        return list(tables)
    first = ordered[0]
    alike = all(_signature(table) == _signature(first) for table in ordered[1:])
    if not alike or any(identity_of(t.details) != identity_of(first.details) for t in ordered[1:]):
        return list(tables)
    stretches = [_stretch(table) for table in ordered]
    whole = [stretch for stretch in stretches if stretch is not None]
    if len(whole) < len(stretches) or not _follow_one_another(whole):
        return list(tables)
    return [_joined(ordered)]


def _in_order(tables: Sequence[Table]) -> list[Table]:
    """Give the tables by the number at the end of their sheets' names, where only that differs."""
    found = [_NUMBERED.match(table.sheet) for table in tables]
    if len({match[1] if match else None for match in found}) != 1 or found[0] is None:
        return list(tables)
    numbers = [int(match[2]) for match in found if match]
    return [tables[place] for place in np.argsort(numbers, kind="stable")]


def _signature(table: Table) -> tuple[object, ...]:
    return tuple((c.position, c.reading.quantity, c.reading.unit) for c in table.columns)


def _first_of(table: Table, quantities: Sequence[str]) -> Column | None:
    return next((column for name in quantities for column in table.columns_of(name)), None)


def _stretch(table: Table) -> _Stretch | None:
    time, load = _first_of(table, _TIMES), _first_of(table, _LOADS)
    if time is None or load is None:
        return None
    good = np.isfinite(time.values) & np.isfinite(load.values)
    times, loads = time.values[good], np.abs(load.values[good])
    if not len(times):
        return None
    level = float(loads.max())
    on = loads > 0.01 * level
    half = loads > 0.5 * level
    pushes = int(np.count_nonzero(half[1:] & ~half[:-1])) + int(half[0] and level > 0)
    one_level = bool(level == 0.0 or np.count_nonzero(half) >= 0.8 * np.count_nonzero(on))
    return _Stretch(float(times.min()), float(times.max()), level, pushes, one_level)


def _follow_one_another(stretches: Sequence[_Stretch]) -> bool:
    loaded = [stretch for stretch in stretches if stretch.pushes]
    if not loaded or not all(stretch.one_level for stretch in stretches):
        return False
    if any(after.level < _SAME * before.level for before, after in pairwise(loaded)):
        return False
    runs_on = all(
        0.0
        <= after.begin - before.end
        <= _LONGEST_BREAK * max(before.end - before.begin, after.end - after.begin)
        for before, after in pairwise(stretches)
    )
    rising = all(after.level > _NEXT_LEVEL * before.level for before, after in pairwise(loaded))
    return runs_on or all(stretch.pushes <= 1 for stretch in stretches) or rising


def _joined(tables: Sequence[Table]) -> Table:
    lengths = np.cumsum([len(table.row_numbers) for table in tables])
    columns = tuple(
        replace(
            column,
            values=np.concatenate([table.columns[place].values for table in tables]),
            texts=tuple(text for table in tables for text in table.columns[place].texts),
        )
        for place, column in enumerate(tables[0].columns)
    )
    names = tuple(table.sheet for table in tables)
    remarks = tuple(dict.fromkeys(remark for table in tables for remark in table.remarks))
    return replace(
        tables[0],
        columns=columns,
        row_numbers=np.concatenate([table.row_numbers for table in tables]),
        starts=tuple(int(length) for length in lengths[:-1]),
        sheet=f"{names[0]} to {names[-1]}",
        sheets=names,
        remarks=(*remarks, f"{len(names)} sheets ({names[0]} to {names[-1]}) were joined into one run"),
    )
