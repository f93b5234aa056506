"""Many sites and many binders at once: who serves whom, at what cost, and what would change it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

import numpy as np

from resile.compute.choice.serving import NOBODY
from resile.errors import InputError
from resile.records.choice import Choice, SiteNeed
from resile.records.finding import Finding, Severity
from resile.records.prediction import Standing
from resile.records.range import BinderRange
from resile.records.standing import GradeStanding
from resile.workflows.choosing.matched import Matching
from resile.workflows.choosing.needs import named_as_written, need_arrays
from resile.workflows.choosing.next_tests import next_tests
from resile.workflows.choosing.offers import offers_of
from resile.workflows.choosing.plans import product_plans
from resile.workflows.choosing.standings import RangeStandings, stand
from resile.workflows.choosing.suppositions import suppositions
from resile.workflows.judging.agreement import Yardstick
from resile.workflows.predictions.prediction import REQUIRED_PROBABILITY


def match_binders(
    needs: Sequence[SiteNeed],
    binder_range: BinderRange,
    yardstick: Yardstick,
    *,
    required_probability: float = REQUIRED_PROBABILITY,
    without: Sequence[str] = (),
    prices: Mapping[str, float] | None = None,
    measured_with_uncertainty: bool = False,
) -> tuple[Choice, RangeStandings]:
    """Choose a binder for every site.

    Parameters
    ----------
    needs : sequence of SiteNeed
        Sites and the grades they ask for.
    binder_range : BinderRange
        Binders with results and prices.
    yardstick : Yardstick
        Specification and rules.
    required_probability : float
        Probability that a binder holds all requirements, above 0 and below 1.
    without : sequence of str
        Binders that cannot be had.
    prices : mapping of str to float, optional
        Other prices per tonne than the range has.
    measured_with_uncertainty : bool
        Ask the probability of measured results too; as they were judged where False.

    Returns
    -------
    choice : Choice
        Ranked by cost, with reasons and what would change it.
    standings : RangeStandings
        How every binder stands to every grade.

    Raises
    ------
    InputError
        Where the probability cannot be used, or a binder or grade is not known.
    """
    if not 0.0 < required_probability < 1.0:
        raise InputError(f"probability {required_probability:g}: needed is one above 0 and below 1")
    binder_range = _changed(binder_range, without, prices or {})
    standings = stand(binder_range, yardstick, measured_with_uncertainty=measured_with_uncertainty)
    matching = Matching(
        standings=standings,
        needs=need_arrays(needs, yardstick.specification, standings.places),
        required=required_probability,
        price=standings.price,
        available=np.array([binder.stock_t != 0.0 for binder in binder_range.binders]),
    )
    names = [binder.name for binder in binder_range.binders]
    chosen = tuple(names[b] if b != NOBODY else "" for b in matching.cheapest.tolist())
    choice = Choice(
        specification=yardstick.specification.identifier,
        required_probability=required_probability,
        measured_with_uncertainty=measured_with_uncertainty,
        currency=binder_range.currency,
        sites=named_as_written(needs, matching.needs, standings.grades),
        grades=offers_of(matching),
        chosen=chosen,
        labels=carried_labels(standings, required_probability),
        never_needed=tuple(name for name in names if name not in set(chosen)),
        idle_grades=_idle(matching),
        unserved=tuple(need.name for need, name in zip(needs, chosen, strict=True) if not name),
        next_tests=next_tests(matching),
        plans=product_plans(matching),
        suppositions=suppositions(matching, needs, yardstick.specification),
        findings=(
            *binder_range.findings,
            *_findings(binder_range),
            *_stock_short(needs, chosen, binder_range),
        ),
    )
    return choice, standings


def carried_labels(
    standings: RangeStandings, required_probability: float
) -> tuple[tuple[GradeStanding, ...], ...]:
    """Give for each binder the labels it carries and no other label of its own covers.

    Parameters
    ----------
    standings : RangeStandings
        Binders by grades.
    required_probability : float
        A label counts from this probability on.

    Returns
    -------
    tuple of tuple of GradeStanding
        By binder; hottest first.
    """
    every = []
    for row in standings.standings:
        carried = np.array([_carries(one, required_probability) for one in row])
        # Two different grades never cover each other, so what remains is what nothing else covers.
        beaten = (standings.covers & carried[:, None] & ~np.eye(carried.size, dtype=bool)).any(axis=0)
        kept = [one for one, own, lesser in zip(row, carried, beaten, strict=True) if own and not lesser]
        every.append(tuple(sorted(kept, key=lambda one: -one.grade.high_temperature_c)))
    return tuple(every)


def _carries(one: GradeStanding, required: float) -> bool:
    passing = one.standing in (Standing.MEASURED_PASS, Standing.PREDICTED_PASS)
    return passing and (one.counted_probability or 0.0) >= required


def _changed(binder_range: BinderRange, without: Sequence[str], prices: Mapping[str, float]) -> BinderRange:
    """Apply what was said on availability and price."""
    names = {binder.name.casefold(): binder.name for binder in binder_range.binders}
    for name in (*without, *prices):
        if name.casefold() not in names:
            raise InputError(f"binder '{name}' is not in the range; there are {', '.join(names.values())}")
    gone = {name.casefold() for name in without}
    new = {name.casefold(): price for name, price in prices.items()}
    return replace(
        binder_range,
        binders=tuple(
            replace(
                binder,
                stock_t=0.0 if binder.name.casefold() in gone else binder.stock_t,
                price_per_tonne=new.get(binder.name.casefold(), binder.price_per_tonne),
            )
            for binder in binder_range.binders
        ),
    )


def _idle(matching: Matching) -> tuple[str, ...]:
    """Give the labels that the range carries and no asked grade is covered by."""
    standings = matching.standings
    sites, _ = matching.needs.per_grade(len(standings.grades))
    useful = np.any(standings.covers[:, sites > 0], axis=1)
    carried = {one.grade.label for row in carried_labels(standings, matching.required) for one in row}
    return tuple(
        grade.label
        for grade, needed in zip(standings.grades, useful, strict=True)
        if grade.label in carried and not needed
    )


def _stock_short(
    needs: Sequence[SiteNeed], chosen: Sequence[str], binder_range: BinderRange
) -> Iterable[Finding]:
    """Tell where the sites of one binder together take more than its stock; the choice does not ration it."""
    if all(need.amount_t == 1.0 for need in needs):
        return  # no amount was stated: each site counts as one tonne
    short = []
    for binder in binder_range.binders:
        taken = sum(need.amount_t for need, name in zip(needs, chosen, strict=True) if name == binder.name)
        if binder.stock_t is not None and taken > binder.stock_t:
            short.append(f"{binder.name}: {taken:.0f} t asked for, {binder.stock_t:.0f} t in stock")
    if short:
        yield Finding(
            code="stock-short",
            severity=Severity.CAUTION,
            message=f"The sites together take more than there is of {'; '.join(short)}.",
            rule="the stock of a binder covers the sites it is cheapest for",
            source="own rule",
            advice="Order more, or match once more without that binder and see who else serves these sites. "
            "Only a binder with no stock at all is left out by itself.",
        )


def _findings(binder_range: BinderRange) -> list[Finding]:
    untested = [binder.name for binder in binder_range.binders if not binder.determinations]
    unpriced = [binder.name for binder in binder_range.binders if binder.price_per_tonne is None]
    told = []
    if untested:
        told.append(
            Finding(
                code="binder-without-results",
                severity=Severity.CAUTION,
                message=f"Without a single test result: {', '.join(untested)}. Nothing can be said of them.",
                rule="a binder is offered on its test results",
                source="own rule",
                advice="Name the file of their results in the range.",
            )
        )
    if unpriced:
        told.append(
            Finding(
                code="binder-without-price",
                severity=Severity.NOTE,
                message=f"Without a price: {', '.join(unpriced)}. They stand behind every binder with one.",
                rule="binders are ranked by price",
                source="own rule",
                advice="State a price to rank them.",
            )
        )
    return told
