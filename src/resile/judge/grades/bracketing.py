"""Which temperature to test next where no grade is known: step towards the limit until it is bracketed."""

from __future__ import annotations

from collections.abc import Sequence

from resile.judge.results.conformity import meets
from resile.records.plan import OpenTest
from resile.records.specification import Requirement


def open_test(
    requirement: Requirement,
    limit: float,
    points: Sequence[tuple[float, float]],
    *,
    steps_c: Sequence[float],
) -> OpenTest:
    """Say how far a property has been searched, and where to go on.

    Parameters
    ----------
    requirement : Requirement
        A line whose temperature follows from the grade.
    limit : float
        In the requirement's unit.
    points : sequence of (float, float)
        Test temperature [°C] and value, in any order.
    steps_c : sequence of float
        Test temperatures that grades of the specification ask for [°C]; the search begins in the middle of
        them and does not leave them.

    Returns
    -------
    OpenTest
        Bracketed where neighbouring temperatures lie on either side of the limit; else the next temperature:
        harder after a pass, milder after a failure, the same again where results contradict one another.
        Harder is hotter for the high end, colder for the others.
    """
    ladder = sorted(set(steps_c), reverse=requirement.temperature != "high")  # mild to hard
    tested = tuple(
        sorted((celsius, value, meets(value, limit, requirement.bound)) for celsius, value in points)
    )
    sign = 1.0 if requirement.temperature == "high" else -1.0
    hardness = [(sign * celsius, good) for celsius, _, good in tested]
    passed = [hard for hard, good in hardness if good]
    failed = [hard for hard, good in hardness if not good]
    following: float | None
    bracket: tuple[float, float] | None = None
    if not tested:
        following = ladder[len(ladder) // 2]
    elif passed and failed and max(passed) > min(failed):  # a harder test passes than one that fails
        following = sign * min(failed)
    elif passed and failed:
        bracket, following = (sign * max(passed), sign * min(failed)), None
        between = [step for step in ladder if max(passed) < sign * step < min(failed)]
        if between:  # a limit between far temperatures is bracketed loosely: halve the gap
            bracket, following = None, between[len(between) // 2]
    elif passed:
        following = next((step for step in ladder if sign * step > max(passed)), None)
    else:
        following = next((step for step in reversed(ladder) if sign * step < min(failed)), None)
    return OpenTest(requirement, limit, tested, following, bracket)
