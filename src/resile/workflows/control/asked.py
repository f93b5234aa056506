"""Questions on production as a person asks them: tables in files, scatter in words."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from resile.errors import InputError
from resile.records.control.production import WatchedProperty
from resile.records.control.surrogate import QuickProperty
from resile.records.control.target import PricesOfMargin
from resile.specifications.sampling import load_sampling_plan
from resile.workflows.control.answers import ControlAnswer, LotsAnswer
from resile.workflows.control.capability import capability
from resile.workflows.control.quick import fit_quick_tests
from resile.workflows.control.sampling import lots_from_loads, sampling_now
from resile.workflows.control.scatter import scatter_on_scale
from resile.workflows.control.tables import (
    outcomes_of_lots,
    quick_samples_of_lots,
    read_loads,
    read_lots,
    results_of_lots,
    watched_property,
)
from resile.workflows.control.target import target_to_aim_at


def ask_capability(
    path: str | Path,
    watched: WatchedProperty,
    *,
    test: str = "",
    natural_limit: float | None = None,
    confidence: float = 0.95,
) -> ControlAnswer:
    """Say how far the lots of a table stay within a limit.

    Parameters
    ----------
    path : str or Path
        Table of lots.
    watched : WatchedProperty
        Property and limit; its product picks rows where the table holds several.
    test : str
        Scatter of the test: ``5%``, ``0.02``, ``repeatability`` or ``reproducibility``; not told apart where
        empty.
    natural_limit : float or None
        Bound by nature on the other side, in the unit of the property.
    confidence : float
        Of the intervals.

    Returns
    -------
    ControlAnswer
        With the statement.

    Raises
    ------
    ResileError
        Where the table, the limit or the scatter cannot be used.
    """
    table, product = read_lots(path, product=watched.product, quantity=watched.quantity)
    named = _named(watched, product, path)
    notes = list(table.notes)
    standard = None
    if test:
        standard, said = scatter_on_scale(test, named, what="test")
        notes.append(f"scatter of the test: {said}")
    content = capability(
        results_of_lots(table.rows, watched.quantity),
        named,
        test_standard=standard,
        natural_limit=natural_limit,
        confidence=confidence,
    )
    return ControlAnswer(content, notes=tuple(notes), read=(str(path),))


def ask_target(
    watched: WatchedProperty,
    *,
    plant: str = "",
    test: str,
    results: str | Path | None = None,
    share: float = 0.95,
    aim: str = "both",
    decision_rule: str = "simple",
    prices: PricesOfMargin | None = None,
) -> ControlAnswer:
    """Give the mean to aim at.

    Parameters
    ----------
    watched : WatchedProperty
        Property and limit.
    plant : str
        Scatter of the plant without that of the test: ``12%`` or ``0.05``.
    test : str
        Scatter of the result that decides: the same, or ``repeatability`` or ``reproducibility``.
    results : str, Path or None
        Table of lots from which the scatter of the plant is taken, where `plant` is empty.
    share : float
        Of the loads.
    aim : str
        ``conforms``, ``passes`` or ``both``.
    decision_rule : str
        Name or file.
    prices : PricesOfMargin or None
        For cost of margin.

    Returns
    -------
    ControlAnswer
        With the statement.

    Raises
    ------
    ResileError
        Where scatter is given twice or not at all, or something cannot be used.
    """
    if bool(plant) is (results is not None):
        raise InputError("target: the scatter of the plant is needed, as --plant or from --results, not both")
    standard, said = scatter_on_scale(test, watched, what="test")
    notes = [f"scatter of the test: {said}"]
    named = watched
    if results is not None:
        table, product = read_lots(results, product=watched.product, quantity=watched.quantity)
        named = _named(watched, product, results)
        content = capability(results_of_lots(table.rows, watched.quantity), named, test_standard=standard)
        deviation = content.plant_deviation or 0.0
        notes.append(
            f"scatter of the plant: from {len(content.lots)} lots of {results}, without that of the test"
        )
    else:
        deviation, told = scatter_on_scale(plant, watched, what="plant")
        notes.append(f"scatter of the plant: {told}")
    statement = target_to_aim_at(
        named,
        plant_deviation=deviation,
        test_standard=standard,
        share=share,
        aim=aim,
        decision_rule=decision_rule,
        prices=prices,
    )
    return ControlAnswer(statement, notes=tuple(notes), read=() if results is None else (str(results),))


def ask_quick_tests(
    path: str | Path,
    slow: WatchedProperty,
    quick: Sequence[str],
    *,
    anchored_until: str = "",
    least_probability: float = 0.95,
) -> ControlAnswer:
    """Fit quick tests on a table of lots and give hints for those without the slow result.

    Parameters
    ----------
    path : str or Path
        Table of lots with quick results, and the slow one where it was tested.
    slow : WatchedProperty
        What is predicted, with its limit.
    quick : sequence of str
        Quantities of the quick tests.
    anchored_until : str
        Last day of the lots that are fitted; all with both results where empty.
    least_probability : float
        Asked for before a hint says that a lot is likely within its limit.

    Returns
    -------
    ControlAnswer
        With model, hints and warnings.

    Raises
    ------
    ResileError
        Where the table lacks a property, or has too few lots.
    """
    if not quick:
        raise InputError("quick tests: name at least one quick property, such as complex_modulus")
    table, product = read_lots(path, product=slow.product, quantity=slow.quantity)
    missing = [name for name in quick if name not in table.quantities]
    if missing:
        raise InputError(
            f"{path}: no column of {', '.join(missing)}; found are {', '.join(table.quantities)}"
        )
    if slow.quantity in quick:
        raise InputError(f"{slow.quantity} cannot stand in for itself")
    named = QuickProperty(watched=_named(slow, product, path), column=slow.quantity)
    properties = [
        QuickProperty(watched=watched_property(name, product=product), column=name) for name in quick
    ]
    samples, lacking = quick_samples_of_lots(table.rows, named, properties)
    notes = list(table.notes)
    if lacking:
        notes.append(f"passed over, a quick result is missing: {', '.join(lacking)}")
    content = fit_quick_tests(
        samples,
        named,
        properties,
        anchored_until=anchored_until,
        least_probability=least_probability,
    )
    return ControlAnswer(content, notes=tuple(notes), read=(str(path),))


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
    table, name = (None, product) if path is None else read_lots(path, product=product)
    lots = () if table is None else outcomes_of_lots(table.rows)
    strange = [one for one in consented if one not in {lot.lot for lot in lots}]
    if strange:
        raise InputError(f"consent after lot '{strange[0]}': {path or 'no table given'} has no such lot")
    state = sampling_now(plan, lots, today=today, begins_at=begins_at, consented=consented)
    notes = () if table is None else table.notes
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


def _named(watched: WatchedProperty, product: str, path: str | Path) -> WatchedProperty:
    return replace(watched, product=product or Path(path).stem)
