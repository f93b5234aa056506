"""Questions on sampling plans as a person asks them: plans by name, lists of lots and loads in files."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from resile.errors import InputError
from resile.specifications.sampling import load_sampling_plan
from resile.workflows.control.answers import ControlAnswer, LotsAnswer
from resile.workflows.control.lot_lists import read_loads, read_outcomes
from resile.workflows.control.sampling import lots_from_loads, sampling_now


def ask_sampling(
    plan: str,
    path: str | Path | None,
    *,
    product: str = "",
    today: str = "",
    begins_at: str = "",
    consented: Sequence[str] = (),
) -> ControlAnswer:
    """Say where sampling stands and what is due.

    Parameters
    ----------
    plan : str
        Name or file of the plan.
    path : str, Path or None
        Table of lots with their outcomes; None before the first lot.
    product : str
        Rows of this product alone.
    today : str
        Day, YYYY-MM-DD; lots are not asked for their age where empty.
    begins_at : str
        Severity of the first lot; that of the plan where empty.
    consented : sequence of str
        Lots after which somebody agreed to a change that needs consent.

    Returns
    -------
    ControlAnswer
        With the state.

    Raises
    ------
    ResileError
        Where plan or table cannot be used.
    """
    lots, listed, name = ((), None, product) if path is None else read_outcomes(path, product=product)
    strange = [one for one in consented if one not in {lot.lot for lot in lots}]
    if strange:
        raise InputError(f"consent after lot '{strange[0]}': {path or 'no table given'} has no such lot")
    state = sampling_now(plan, lots, today=today, begins_at=begins_at, consented=consented)
    notes = () if listed is None else listed.notes
    return ControlAnswer(state, product=name, notes=notes, read=() if path is None else (str(path),))


def ask_lots(plan: str, loads: str | Path, *, severity: str = "") -> LotsAnswer:
    """Gather a list of loads into lots.

    Parameters
    ----------
    plan : str
        Name or file of the plan.
    loads : str or Path
        List of loads: number, day, mass.
    severity : str
        That with which the plan begins where empty.

    Returns
    -------
    LotsAnswer
        Lots in order.

    Raises
    ------
    ResileError
        Where plan or list cannot be used.
    """
    found = load_sampling_plan(plan)
    at = severity or found.begins_at
    title = f"{found.title}, {at} sampling"
    return LotsAnswer(lots_from_loads(found, read_loads(loads), severity=at), title)
