"""Which single test would most change the choice."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from resile.compute.choice.next_test import value_of_test
from resile.compute.choice.serving import NOBODY
from resile.records.choice import ValuedTest
from resile.records.prediction import Standing
from resile.records.standing import GradeStanding, PropertyStanding
from resile.workflows.choosing.matched import Matching
from resile.workflows.choosing.properties import EVEN

MOST = 8
_OPEN = (Standing.PREDICTED_PASS, Standing.PREDICTED_FAIL, Standing.UNKNOWN)
Floats = NDArray[np.float64]
TestKey = tuple[str, float | None]


def next_tests(matching: Matching, *, most: int = MOST) -> tuple[ValuedTest, ...]:
    """Rank the tests that are not done yet by what they may be worth.

    Parameters
    ----------
    matching : Matching
        Standings and needs.
    most : int
        At most so many are given.

    Returns
    -------
    tuple of ValuedTest
        Those that may serve a site that nobody serves first, then by expected saving; only tests that are
        worth something.

    Notes
    -----
    For every binder that can be had and every requirement that was not tested at its temperature: what the
    choice would save, outcome by outcome, times the probability of the outcome
    (`resile.compute.choice.next_test`). Even odds where nothing is known.
    """
    sites, _ = matching.needs.per_grade(len(matching.standings.grades))
    found = []
    for b, row in enumerate(matching.standings.standings):
        if not matching.available[b] or np.isinf(matching.price[b]):
            continue
        saving, unserved = _at_stake(matching, b)
        if saving.any() or unserved.any():
            found += [_valued(matching, row, test, saving, unserved) for test in _open_tests(row)]
    worth = [one for one in found if one.expected_saving > 0.0 or one.expected_sites > 0.0]
    worth.sort(key=lambda one: (-round(one.expected_sites, 6), -one.expected_saving, one.binder))
    return tuple(worth[:most]) if sites.any() else ()


def _at_stake(matching: Matching, binder: int) -> tuple[Floats, Floats]:
    """Give by grade what its sites would save with this binder, and how many of them nobody serves."""
    grades = len(matching.standings.grades)
    asked = matching.needs.demand != NOBODY
    served = asked & (matching.cheapest != NOBODY)
    own = matching.price[binder] * matching.needs.amount_t
    gain = np.where(served, np.maximum(np.nan_to_num(matching.cost) - own, 0.0), 0.0)
    demand = matching.needs.demand
    saving = np.bincount(demand[asked], weights=gain[asked], minlength=grades)
    nobody = np.bincount(demand[asked], weights=(~served)[asked].astype(float), minlength=grades)
    return np.asarray(saving, dtype=float), np.asarray(nobody, dtype=float)


def _open_tests(row: tuple[GradeStanding, ...]) -> Iterator[TestKey]:
    seen = set()
    for grade in row:
        for one in grade.properties:
            key = one.requirement, one.temperature_c
            if one.standing in _OPEN and key not in seen:
                seen.add(key)
                yield key


def _valued(
    matching: Matching, row: tuple[GradeStanding, ...], test: TestKey, saving: Floats, unserved: Floats
) -> ValuedTest:
    single = np.full(len(row), np.nan)
    others = np.zeros(len(row))
    asked: dict[int, PropertyStanding] = {}
    for g, grade in enumerate(row):
        tested = next((p for p in grade.properties if (p.requirement, p.temperature_c) == test), None)
        if tested is not None and tested.standing in _OPEN:
            single[g] = EVEN if tested.probability is None else tested.probability
            asked[g] = tested
        others[g] = _others(grade, test if tested is not None else None)
    example = _deciding(matching, asked, single, others, saving + 1e9 * unserved)
    won, reached = value_of_test(
        single, others, matching.standings.covers, saving, unserved, required=matching.required
    )
    return ValuedTest(
        binder=row[0].binder,
        requirement=test[0],
        quantity=example.quantity,
        temperature_c=test[1],
        limit=example.limit,
        bound=example.bound,
        unit=example.unit,
        probability=example.probability,
        expected_saving=won,
        expected_sites=reached,
    )


def _deciding(
    matching: Matching, asked: dict[int, PropertyStanding], single: Floats, others: Floats, stake: Floats
) -> PropertyStanding:
    """Give the requirement whose limit opens most: what a pass would win, times its probability."""

    def won(g: int) -> float:
        if others[g] < matching.required or others[g] * single[g] >= matching.required:
            return 0.0
        return float(single[g] * (stake @ matching.standings.covers[g]))

    return asked[max(asked, key=won)]


def _others(grade: GradeStanding, test: TestKey | None) -> float:
    """Give the probability of all requirements but the tested one; 0 where another one is not known."""
    total = 1.0
    for one in grade.properties:
        if (one.requirement, one.temperature_c) == test and one.standing in _OPEN:
            continue
        total *= one.counted_probability if one.counted_probability is not None else 0.0
    return total
