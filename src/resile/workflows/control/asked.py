"""Questions on production as a person asks them: tables in files, scatter in words."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from resile.errors import InputError
from resile.records.control.production import ProductionSeries, ProductionTable, WatchedProperty
from resile.records.control.surrogate import QuickProperty
from resile.records.control.target import PricesOfMargin
from resile.records.finding import Finding
from resile.workflows.control.answers import ControlAnswer
from resile.workflows.control.capability import capability
from resile.workflows.control.plant_scatter import plant_of_lots, scatter_of_lots
from resile.workflows.control.quick import fit_quick_tests
from resile.workflows.control.quick_samples import pair_quick_with_slow
from resile.workflows.control.scatter import BASES, scatter_on_scale
from resile.workflows.control.series import (
    ProductionFile,
    pick_series,
    watched_in,
    watched_property,
    with_usual_residue,
)
from resile.workflows.control.target import target_to_aim_at


def ask_capability(
    file: ProductionFile,
    watched: WatchedProperty,
    *,
    test: str = "",
    natural_limit: float | None = None,
    confidence: float = 0.95,
) -> ControlAnswer:
    """Say how far the lots of a table stay within a limit.

    Parameters
    ----------
    file : ProductionFile
        Table of lots.
    watched : WatchedProperty
        Property and limit; product, residue and temperature tell series apart where the table holds several.
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
    found = _found(file, watched)
    notes = list(found.notes)
    standard = None
    if test:
        standard, said = scatter_of_lots(test, found.series.results, found.watched)
        notes.append(f"scatter of the test: {said}")
    content = capability(
        found.series.results,
        found.watched,
        test_standard=standard,
        natural_limit=natural_limit,
        confidence=confidence,
    )
    return _answer(content, found.table, notes)


def ask_target(
    watched: WatchedProperty,
    *,
    plant: str = "",
    test: str,
    own_test: str = "",
    results: ProductionFile | None = None,
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
    own_test : str
        Scatter of the test within the results of the table, taken off what is found there; published
        repeatability where empty and `test` is a published one, else `test`.
    results : ProductionFile or None
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

    Notes
    -----
    Results of one laboratory do not hold what laboratories differ by: a reproducibility is not taken off
    them. Where the scatter of the test is as large as all that was found, plant and test cannot be told
    apart: the plant is given all of it, and a finding says so.
    """
    if bool(plant) is (results is not None):
        raise InputError("target: the scatter of the plant is needed, as --plant or from --results, not both")
    if own_test and results is None:
        raise InputError("target: --own-test is taken off the scatter of --results, which are not given")
    if results is None:
        named, said = with_usual_residue(watched)
        standard, of_test = scatter_on_scale(test, named, what="test")
        deviation, of_plant = scatter_on_scale(plant, named, what="plant")
        doubts: tuple[Finding, ...] = ()
        read: tuple[str, ...] = ()
    else:
        found = _found(results, watched)
        named, said = found.watched, found.notes
        standard, of_test = scatter_on_scale(test, named, what="test")
        own = own_test or ("repeatability" if test.strip() in BASES else test)
        of_lots = plant_of_lots(found.series.results, named, own)
        deviation, of_plant = of_lots.deviation, f"{of_lots.words} of {results.path}"
        doubts, read = (*found.table.findings, *of_lots.findings), (str(results.path),)
    statement = target_to_aim_at(
        named,
        plant_deviation=deviation,
        test_standard=standard,
        share=share,
        aim=aim,
        decision_rule=decision_rule,
        prices=prices,
    )
    notes = (*said, f"scatter of the test: {of_test}", f"scatter of the plant: {of_plant}")
    return ControlAnswer(replace(statement, findings=(*doubts, *statement.findings)), notes=notes, read=read)


def ask_quick_tests(
    file: ProductionFile,
    slow: WatchedProperty,
    quick: Sequence[str],
    *,
    anchored_until: str = "",
    least_probability: float = 0.95,
) -> ControlAnswer:
    """Fit quick tests on a table of lots and give hints for those without the slow result.

    Parameters
    ----------
    file : ProductionFile
        Table of lots with quick results, and the slow one where it was tested.
    slow : WatchedProperty
        What is predicted, with its limit.
    quick : sequence of str
        Quantities of the quick tests, each with its temperature behind ``@`` where the table holds several
        (``complex_modulus@64``).
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
    asked = [_quick_property(text, slow.product) for text in quick]
    if slow.quantity in {one.quantity for one in asked}:
        raise InputError(f"{slow.quantity} cannot stand in for itself")
    found = _found(file, slow)
    series = [pick_series(found.table, one) for one in asked]
    paired = pair_quick_with_slow(found.series, series)
    notes = list(found.notes)
    if paired.lacking:
        notes.append(f"passed over, a quick result is missing: {', '.join(paired.lacking)}")
    content = fit_quick_tests(
        paired.samples,
        QuickProperty(watched=found.watched, column=slow.quantity),
        [
            QuickProperty(watched=with_usual_residue(watched_in(one, watched))[0], column=one.quantity)
            for one, watched in zip(series, asked, strict=True)
        ],
        anchored_until=anchored_until,
        least_probability=least_probability,
    )
    return _answer(content, found.table, notes)


@dataclass(frozen=True, slots=True)
class _Found:
    """The series that is asked about, and what was taken."""

    table: ProductionTable
    series: ProductionSeries
    watched: WatchedProperty
    notes: tuple[str, ...]


def _found(file: ProductionFile, asked: WatchedProperty) -> _Found:
    table = file.read(days_needed=False)
    series = pick_series(table, asked)
    watched, notes = with_usual_residue(watched_in(series, asked))
    named = replace(watched, product=watched.product or Path(file.path).stem)
    return _Found(table, series, named, (*table.account.remarks, *notes))


def _quick_property(text: str, product: str) -> WatchedProperty:
    name, at, temperature = text.partition("@")
    try:
        return watched_property(name, product=product, temperature_c=float(temperature) if at else None)
    except ValueError:
        raise InputError(
            f"quick property '{text}' found; a name of the glossary is needed, with its temperature behind @ "
            "where the table holds several, such as complex_modulus@64"
        ) from None


def _answer(content: Any, table: ProductionTable, notes: Sequence[str]) -> ControlAnswer:
    """Give an answer with the doubts about its table before its own."""
    return ControlAnswer(
        replace(content, findings=(*table.findings, *content.findings)),
        notes=tuple(notes),
        read=(table.source.path,),
    )
