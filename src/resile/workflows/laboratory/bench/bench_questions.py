"""Small questions of the bench: is this repeat acceptable, and which temperature comes next."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from resile.errors import InputError
from resile.judge.grades.bracketing import open_test
from resile.judge.grades.selection import limit_for
from resile.judge.results.precision import precision_at
from resile.records.determination import Condition
from resile.records.plan import OpenTest
from resile.records.quantity import QUANTITIES, Quantity
from resile.records.specification import Requirement
from resile.specifications.load import list_specifications, load_all_precision, load_specification
from resile.workflows.plans.searching import search_grade, search_steps


@dataclass(frozen=True, slots=True)
class RepeatCheck:
    """Two results of one laboratory beside what is published for them.

    Attributes
    ----------
    quantity : Quantity
        What was measured.
    mean, difference : float
        In its unit.
    difference_percent : float or None
        In % of the mean; None where the mean is zero.
    limit : float or None
        Largest difference that two results of one operator show in 95 of 100 pairs; None where none is
        published.
    acceptable : bool or None
        None where no limit is published.
    source : str
        Document and row, or why there is none.
    multiples : float or None
        Difference in multiples of the standard deviation of one operator.
    """

    quantity: Quantity
    mean: float
    difference: float
    difference_percent: float | None
    limit: float | None
    acceptable: bool | None
    source: str
    multiples: float | None


def repeatable_quantities() -> list[Quantity]:
    """List the quantities with a published precision."""
    named = {band.quantity for statement in load_all_precision() for band in statement.bands}
    return [quantity for name, quantity in QUANTITIES.items() if name in named]


def check_repeat(quantity: str, first: float, second: float, condition: Condition) -> RepeatCheck:
    """Compare two results of one operator with the published repeatability at their mean.

    Parameters
    ----------
    quantity : str
        Name from the glossary.
    first, second : float
        The two results, in its unit.
    condition : Condition
        Residue tested.

    Raises
    ------
    InputError
        Where there is no such quantity.
    """
    if quantity not in QUANTITIES:
        raise InputError(f"'{quantity}' is no quantity; choose one of the list")
    mean, difference = (first + second) / 2.0, abs(first - second)
    found = precision_at(mean, quantity, condition, load_all_precision())
    limit, sd = found.repeatability_limit, found.repeatability
    return RepeatCheck(
        QUANTITIES[quantity],
        mean,
        difference,
        100.0 * difference / abs(mean) if mean else None,
        limit,
        None if limit is None else difference <= limit,
        found.note,
        difference / sd if sd else None,
    )


def searched_lines(specification: str) -> list[Requirement]:
    """List the lines of a specification whose temperature follows from the grade.

    Parameters
    ----------
    specification : str
        Name.
    """
    return [one.requirement for one in search_grade(specification=specification).tests]


def searched_specifications() -> list[tuple[str, str]]:
    """List the specifications whose grades can be searched: name and title."""
    entries = [one for one in list_specifications() if not one.problem]
    return [(one.identifier, f"{one.title} {one.edition}".strip()) for one in entries]


def next_temperature(
    specification: str, line: str, points: Sequence[tuple[float, float]], *, service_class: str = ""
) -> OpenTest:
    """Say which temperature to test next.

    Parameters
    ----------
    specification, line : str
        Name of the specification, and of one of its lines.
    points : sequence of (float, float)
        Test temperature [°C] and value.
    service_class : str
        Class whose limit is used; the mildest where not given.

    Raises
    ------
    InputError
        Where the specification has no such line, or no such class.
    """
    search = search_grade(specification=specification, service_class=service_class or None)
    requirement = next((one.requirement for one in search.tests if one.requirement.name == line), None)
    if requirement is None:
        raise InputError(f"{specification} has no line '{line}' whose temperature follows from the grade")
    rules = load_specification(specification)
    limit = limit_for(requirement, search.service_class)
    assert limit is not None, "search_grade leaves out lines without a limit"
    signed = [(at, abs(value) if requirement.absolute else value) for at, value in points]
    return open_test(requirement, limit, signed, steps_c=search_steps(requirement, rules))
