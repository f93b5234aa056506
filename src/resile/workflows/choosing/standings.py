"""How every binder of a range stands to every grade of a specification, as records and as arrays."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from resile.compute.choice.serving import grades_that_cover, serving_probability
from resile.errors import InputError
from resile.judge.grades.grade_claim import full_grade_label
from resile.records.prediction import Standing
from resile.records.range import BinderRange
from resile.records.specification import Specification
from resile.records.standing import AskedGrade, GradeStanding, PropertyStanding
from resile.specifications.habits import load_temperature_habits
from resile.workflows.choosing.properties import EVEN, BinderProperties
from resile.workflows.judging.agreement import Yardstick

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class RangeStandings:
    """How every binder stands to every grade.

    Attributes
    ----------
    range : BinderRange
        The binders.
    specification : Specification
        Gives grades and limits.
    grades : tuple of AskedGrade
        Every grade of the specification, coolest and mildest first.
    standings : tuple of tuple of GradeStanding
        By binder, then by grade.
    """

    range: BinderRange
    specification: Specification
    grades: tuple[AskedGrade, ...]
    standings: tuple[tuple[GradeStanding, ...], ...]

    @cached_property
    def probability(self) -> Floats:
        """Counted probability that binder b holds grade g, 0 where not known; shape (b, g)."""
        return np.array([[one.counted_probability or 0.0 for one in row] for row in self.standings])

    @cached_property
    def covers(self) -> NDArray[np.bool_]:
        """Whether grade i serves where grade j is asked for; shape (g, g)."""
        return grades_that_cover(
            [grade.high_temperature_c for grade in self.grades],
            [grade.rank for grade in self.grades],
            [grade.low_temperature_c for grade in self.grades],
        )

    @cached_property
    def serving(self) -> tuple[Floats, NDArray[np.int64]]:
        """Probability that a binder serves a demand, and the label it does so under; shape (b, g)."""
        return serving_probability(self.probability, self.covers)

    @cached_property
    def covered(self) -> tuple[tuple[GradeStanding, ...], ...]:
        """Standings by binder and grade, where a grade that covers another one lends it its own."""
        return tuple(
            tuple(_lent(row, g, int(self.serving[1][b, g])) for g in range(len(row)))
            for b, row in enumerate(self.standings)
        )

    @cached_property
    def places(self) -> dict[str, int]:
        """Place of each grade by its label."""
        return {grade.label: place for place, grade in enumerate(self.grades)}

    @cached_property
    def price(self) -> Floats:
        """Price per tonne, infinite where not known; shape (b,)."""
        prices = [binder.price_per_tonne for binder in self.range.binders]
        return np.array([math.inf if price is None else price for price in prices])


def stand(
    binder_range: BinderRange, yardstick: Yardstick, *, measured_with_uncertainty: bool = False
) -> RangeStandings:
    """Work out how every binder of a range stands to every grade.

    Parameters
    ----------
    binder_range : BinderRange
        Binders with their results.
    yardstick : Yardstick
        Specification and rules.
    measured_with_uncertainty : bool
        Count measured results with their uncertainty; as they were judged where False.

    Returns
    -------
    RangeStandings
        With every requirement of every grade.

    Raises
    ------
    InputError
        Where the specification has no whole grades.

    Notes
    -----
    A requirement is measured where it was tested at its temperature, or at a harder one and met, or at an
    easier one and missed; else it is expected from a line through the tests, or not known. A grade is
    measured to pass where all of it is; measured to fail where any of it is. Its probability is the product
    over its requirements, as if their errors were independent: for errors that go together it is on the safe
    side. Unless asked otherwise, what was measured counts as the decision rule judged it, and the probability
    that is asked for is that of what was not tested.
    """
    specification = yardstick.specification
    grades = grades_of(specification)
    habits = load_temperature_habits()
    services = {service.name: service for service in specification.classes}
    rows = []
    for binder in binder_range.binders:
        known = BinderProperties(
            binder, yardstick, habits, measured_with_uncertainty=measured_with_uncertainty
        )
        row = []
        for grade in grades:
            found = [
                known.standing(requirement, grade, services[grade.service_class])
                for requirement in specification.requirements
            ]
            row.append(whole_standing(binder.name, grade, [one for one in found if one is not None]))
        rows.append(tuple(row))
    return RangeStandings(binder_range, specification, grades, tuple(rows))


def grades_of(specification: Specification) -> tuple[AskedGrade, ...]:
    """Give every whole grade of a specification.

    Parameters
    ----------
    specification : Specification
        The rule set.

    Returns
    -------
    tuple of AskedGrade
        Coolest and mildest first, warmest low end first.

    Raises
    ------
    InputError
        Where it grades the high temperature alone.
    """
    if not specification.low_temperatures_c:
        raise InputError(
            f"{specification.identifier} grades the high temperature alone; a choice for a road needs a "
            "specification with whole grades, such as m332-2020 or m320"
        )
    return tuple(
        AskedGrade(full_grade_label(specification, high, service, low), high, low, service.name, service.rank)
        for high in specification.high_temperatures_c
        for service in specification.classes
        for low in specification.low_temperatures_c.get(high, ())
    )


def whole_standing(binder: str, grade: AskedGrade, properties: Sequence[PropertyStanding]) -> GradeStanding:
    """Add the requirements of one grade up.

    Parameters
    ----------
    binder : str
        Name of the binder.
    grade : AskedGrade
        The grade.
    properties : sequence of PropertyStanding
        Every requirement that applies.

    Returns
    -------
    GradeStanding
        Unknown where any requirement is, unless what is known already speaks against it.
    """
    states = {one.standing for one in properties}
    unknown = Standing.UNKNOWN in states or not properties
    sure = math.prod(one.probability for one in properties if one.probability is not None)
    counted = math.prod(one.counted_probability for one in properties if one.counted_probability is not None)
    if Standing.MEASURED_FAIL in states:
        state, unknown = Standing.MEASURED_FAIL, False  # what is not known could only lower it
    elif Standing.PREDICTED_FAIL in states or counted < EVEN:
        state, unknown = Standing.PREDICTED_FAIL, not properties
    elif unknown:
        state = Standing.UNKNOWN
    elif states == {Standing.MEASURED_PASS}:
        state = Standing.MEASURED_PASS
    else:
        state = Standing.PREDICTED_PASS
    return GradeStanding(
        binder, grade, state, None if unknown else sure, None if unknown else counted, tuple(properties)
    )


def _lent(row: tuple[GradeStanding, ...], asked: int, label: int) -> GradeStanding:
    """Give the standing of the demanded grade, or that of a better one of the same binder that covers it."""
    own, other = row[asked], row[label]
    passing = other.standing in (Standing.MEASURED_PASS, Standing.PREDICTED_PASS)
    return replace(other, grade=own.grade) if passing and label != asked else own
