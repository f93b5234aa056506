"""The binders for each grade that is asked for: what governs, and what stands in the way of the others."""

from __future__ import annotations

import math

import numpy as np

from resile.records.choice import BinderOffer, GradeOffers
from resile.records.prediction import Standing
from resile.records.standing import GradeStanding, PropertyStanding
from resile.workflows.choosing.matched import Matching

_PASSING = (Standing.MEASURED_PASS, Standing.PREDICTED_PASS)


def offers_of(matching: Matching) -> tuple[GradeOffers, ...]:
    """Give every binder for each grade that is asked for.

    Parameters
    ----------
    matching : Matching
        Standings and needs.

    Returns
    -------
    tuple of GradeOffers
        In the order of the specification.
    """
    standings = matching.standings
    sites, tonnes = matching.needs.per_grade(len(standings.grades))
    order, count = matching.ranking
    serving, label = standings.serving
    offers = []
    for g in np.flatnonzero(sites).tolist():
        serve = order[: count[g], g].tolist()
        others = sorted(
            (b for b in range(len(standings.range.binders)) if b not in set(serve)),
            key=lambda b: (-serving[b, g], matching.price[b]),
        )
        offers.append(
            GradeOffers(
                grade=standings.grades[g].label,
                sites=int(sites[g]),
                amount_t=float(tonnes[g]),
                offers=tuple(
                    _offer(matching, b, g, int(label[b, g]), serves=b in set(serve))
                    for b in (*serve, *others)
                ),
            )
        )
    return tuple(offers)


def _offer(matching: Matching, binder: int, asked: int, label: int, *, serves: bool) -> BinderOffer:
    standings = matching.standings
    one = standings.standings[binder][label]
    if not serves and one.standing not in _PASSING:
        # No label of its own is good enough to name: the demanded grade itself tells why.
        one = standings.standings[binder][asked]
    probability = one.counted_probability or 0.0
    price = matching.price[binder]
    return BinderOffer(
        binder=standings.range.binders[binder].name,
        price_per_tonne=None if math.isinf(price) else float(price),
        serves=serves,
        counted_probability=probability,
        probability=one.probability,
        under=one.grade.label,
        standing=one.standing,
        available=bool(matching.available[binder]),
        governs_high=one.weakest("high"),
        governs_low=one.weakest("low"),
        obstacles=() if serves else obstacles_of(one),
    )


def obstacles_of(one: GradeStanding) -> tuple[PropertyStanding, ...]:
    """Give the requirements that stand in the way of a grade.

    Parameters
    ----------
    one : GradeStanding
        One binder and one grade.

    Returns
    -------
    tuple of PropertyStanding
        Measured to fail; where there is none, those not known; else the one least sure.
    """
    failed = tuple(p for p in one.properties if p.standing is Standing.MEASURED_FAIL)
    if failed or one.standing is Standing.UNKNOWN:
        return failed or one.not_known
    return tuple(sorted(one.properties, key=_counted)[:1])


def _counted(one: PropertyStanding) -> float:
    return 1.0 if one.counted_probability is None else one.counted_probability
