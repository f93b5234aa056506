"""What would become of the choice, were a grade, the reliability, a price or a stock different."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from statistics import NormalDist

import numpy as np
from numpy.typing import NDArray

from resile.compute.choice.serving import NOBODY
from resile.records.choice import SiteNeed, Supposition
from resile.records.site import SiteDemand
from resile.records.specification import Specification
from resile.records.standing import AskedGrade
from resile.workflows.choosing.matched import Matching

DEARER = 1.10
PROBABILITIES = (0.5, 0.9, 0.95, 0.99)
RELIABILITIES = (90.0, 95.0, 98.0, 99.0)
Integers = NDArray[np.int64]


def suppositions(
    matching: Matching, needs: Sequence[SiteNeed], specification: Specification
) -> tuple[Supposition, ...]:
    """Work out the choice again with one thing different each time.

    Parameters
    ----------
    matching : Matching
        The choice as it is.
    needs : sequence of SiteNeed
        Its sites.
    specification : Specification
        Gives the steps of the grades.

    Returns
    -------
    tuple of Supposition
        Grade one step hotter or colder; other reliability of the climate where a demand is known; other
        probability asked of the binder; every chosen binder dearer, and not to be had.
    """
    told = [_told(words, matching, changed) for words, changed in _demands(matching, needs, specification)]
    for probability in PROBABILITIES:
        if probability != matching.required:
            words = f"{probability * 100:g} % sure of the binder is enough"
            told.append(_told(words, matching, replace(matching, required=probability)))
    names = [binder.name for binder in matching.standings.range.binders]
    for b in np.unique(matching.cheapest[matching.cheapest != NOBODY]).tolist():
        price, available = matching.price.copy(), matching.available.copy()
        price[b] *= DEARER
        available[b] = False
        told.append(_told(f"{names[b]} 10 % dearer", matching, replace(matching, price=price)))
        told.append(_told(f"{names[b]} not to be had", matching, replace(matching, available=available)))
    return tuple(told)


def _told(words: str, before: Matching, after: Matching) -> Supposition:
    both = (before.cheapest != NOBODY) & (after.cheapest != NOBODY)
    both &= np.isfinite(before.cost) & np.isfinite(after.cost)  # without a price there is no cost to change
    return Supposition(
        change=words,
        served=int((after.cheapest != NOBODY).sum()),
        switched=int((before.cheapest != after.cheapest).sum()),
        cost_change=float(np.sum(after.cost[both] - before.cost[both])) if both.any() else 0.0,
    )


def _demands(
    matching: Matching, needs: Sequence[SiteNeed], specification: Specification
) -> Iterator[tuple[str, Matching]]:
    """Give the choice with other grades asked for."""
    grades = matching.standings.grades
    steps = list(specification.high_temperatures_c)
    for words, hotter, colder in (
        ("every site one grade step hotter", 1, 0),
        ("every site one grade step colder", 0, 1),
    ):
        table = np.array(
            [_shifted(grade, steps, matching.standings.places, grades, hotter, colder) for grade in grades]
        )
        yield words, _asking(matching, np.append(table, NOBODY)[matching.needs.demand])
    demands = [need.demand for need in needs]
    if not any(demands):
        return
    for reliability in RELIABILITIES:
        asked = np.array(
            [
                place if demand is None else _at_reliability(demand, reliability, grades, specification)
                for place, demand in zip(matching.needs.demand.tolist(), demands, strict=True)
            ]
        )
        if (asked != matching.needs.demand).any():
            yield f"climate at {reliability:g} % reliability", _asking(matching, asked)


def _asking(matching: Matching, demand: Integers) -> Matching:
    return replace(matching, needs=replace(matching.needs, demand=demand))


def _shifted(
    grade: AskedGrade,
    steps: list[float],
    places: dict[str, int],
    grades: tuple[AskedGrade, ...],
    hotter: int,
    colder: int,
) -> int:
    """Give the place of the grade some steps away; -1 where there is none."""
    at = steps.index(grade.high_temperature_c) + hotter
    if at >= len(steps):
        return NOBODY
    same = [
        other
        for other in grades
        if other.high_temperature_c == steps[at] and other.service_class == grade.service_class
    ]
    lows = sorted((o for o in same), key=lambda o: -o.low_temperature_c)
    enough = [o for o in lows if o.low_temperature_c <= grade.low_temperature_c]
    return places[enough[colder].label] if len(enough) > colder else NOBODY


def _at_reliability(
    demand: SiteDemand, reliability: float, grades: tuple[AskedGrade, ...], specification: Specification
) -> int:
    """Give the place of the grade asked for at another reliability, by the same model and traffic."""
    z = NormalDist().inv_cdf(reliability / 100.0)
    hot = demand.high.mean_c + z * demand.high.sd_c
    cold = demand.low.mean_c - z * demand.low.sd_c
    steps = [step for step in specification.high_temperatures_c if step >= hot]
    if len(steps) <= demand.raised_by:
        return NOBODY
    high = steps[demand.raised_by]
    lows = [low for low in specification.low_temperatures_c.get(high, ()) if low <= cold]
    if not lows:
        return NOBODY
    wanted = demand.service_class or specification.classes[0].name
    return next(
        place
        for place, grade in enumerate(grades)
        if (grade.high_temperature_c, grade.low_temperature_c, grade.service_class)
        == (high, max(lows), wanted)
    )
