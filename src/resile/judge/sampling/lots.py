"""Lots from loads: by size, by tank, by time."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from resile.errors import InputError
from resile.records.control.sampling import Load, LotOfLoads, SamplingPlan


def lots_of_loads(plan: SamplingPlan, loads: Sequence[Load], *, severity: str) -> tuple[LotOfLoads, ...]:
    """Gather loads into lots.

    Parameters
    ----------
    plan : SamplingPlan
        Size of a lot, how long it lasts, whether added product ends it.
    loads : sequence of Load
        In order of time.
    severity : str
        The size of a lot depends on it.

    Returns
    -------
    tuple of LotOfLoads
        In order; the newest may still grow.

    Raises
    ------
    InputError
        Where a mass is not above 0, or a day cannot be read.

    Notes
    -----
    A load belongs to one lot: where it would make a lot too large, it begins the next. A single load larger
    than a lot is a lot of its own. Tanks have lots of their own where a lot is the content of a tank.
    """
    size = plan.level(severity).lot_t if plan.lot_is == "tonnage" else None
    done: list[tuple[list[Load], str]] = []
    open_lots: dict[str, list[Load]] = {}  # by tank, where a lot is the content of one
    for load in loads:
        if not load.quantity_t > 0.0:
            raise InputError(f"load {load.number}: {load.quantity_t:g} t found; a mass above 0 is needed")
        running = open_lots.setdefault(load.tank if plan.lot_is == "tank" else "", [])
        reason = _ends(plan, running, load, size) if running else ""
        if reason:
            done.append((list(running), reason))
            running.clear()
        running.append(load)
    done += [(running, "") for running in open_lots.values()]
    place = {load.number: at for at, load in enumerate(loads)}
    done.sort(key=lambda lot: place[lot[0][0].number])
    return tuple(_lot(at, members, reason) for at, (members, reason) in enumerate(done, start=1))


def _ends(plan: SamplingPlan, running: Sequence[Load], load: Load, size: float | None) -> str:
    """Say why a load begins a new lot; empty where it does not."""
    if plan.ends_when_added and load.added:
        return "added"
    if plan.lot_days is not None and (_day(load) - _day(running[0])).days > plan.lot_days:
        return "days"
    if size is not None and sum(one.quantity_t for one in running) + load.quantity_t > size * (1 + 1e-9):
        return "size"
    return ""


def _lot(number: int, loads: Sequence[Load], reason: str) -> LotOfLoads:
    return LotOfLoads(
        lot=str(number),
        loads=tuple(one.number for one in loads),
        opened=loads[0].sent,
        quantity_t=sum(one.quantity_t for one in loads),
        ended_by=reason,
    )


def _day(load: Load) -> date:
    try:
        return date.fromisoformat(load.sent[:10])
    except ValueError:
        raise InputError(f"load {load.number}: '{load.sent}' is no day; YYYY-MM-DD is needed") from None
