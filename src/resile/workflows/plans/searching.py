"""A grade to be found from scratch: what is tested, which temperature comes next, when to stop."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any

from resile.errors import InputError
from resile.judge.grades.bracketing import open_test
from resile.judge.grades.selection import asked_temperature, limit_for
from resile.records.plan import OpenTest
from resile.records.specification import Requirement, Specification
from resile.specifications.load import load_specification
from resile.workflows.judging.own_results import results_of

_BY_GRADE = ("high", "low + 10", "intermediate")


@dataclass(frozen=True, slots=True)
class Search:
    """How far a sample has been searched for its grade.

    Attributes
    ----------
    specification : Specification
        Whose grades are searched.
    service_class : str
        Class whose limits are used.
    tests : tuple of OpenTest
        One a property whose temperature follows from the grade.
    sample : str
        Name of the sample; empty where nothing was handed over.
    """

    specification: Specification
    service_class: str
    tests: tuple[OpenTest, ...]
    sample: str = ""

    @property
    def is_finished(self) -> bool:
        """True where no property asks for a further test."""
        return all(test.next_temperature_c is None for test in self.tests)

    def to_json(self) -> dict[str, Any]:
        """Give the search for machines."""
        from resile.report.machine.plan import search_to_json

        return search_to_json(self.specification, self.service_class, self.tests, self.sample)

    def to_terminal(self) -> Any:
        """Give the search as a readable sheet."""
        from resile.report.terminal.plan import render_search

        return render_search(self.specification, self.service_class, self.tests, self.sample)


def search_grade(
    *,
    specification: str | Path = "m320",
    order: str | Path | None = None,
    table: str | Path | None = None,
    service_class: str | None = None,
) -> Search:
    """Say which temperatures to test next where no grade is known.

    Parameters
    ----------
    specification : str or Path
        Name or file.
    order, table : str or Path, optional
        What has been tested, as in `plan_tests`.
    service_class : str, optional
        Class whose limits are used; the mildest where not given.

    Returns
    -------
    Search
        For each property a first temperature, the next one, or the two that bracket its limit.

    Raises
    ------
    InputError
        Where the specification has no such class.
    """
    rules = load_specification(specification)
    names = [one.name for one in sorted(rules.classes, key=lambda one: one.rank)]
    chosen = names[0] if service_class is None else service_class
    if chosen not in names:
        raise InputError(f"{rules.identifier} has no class {chosen!r}; its classes: {', '.join(names)}")
    sample, results = results_of(order, table)
    tests = []
    for requirement in rules.requirements:
        limit = limit_for(requirement, chosen)
        if limit is None or requirement.temperature not in _BY_GRADE or requirement.name in _compared(rules):
            continue
        residues = (requirement.condition, *requirement.also_accepts)
        points = [
            (result.temperature_c, abs(result.value) if requirement.absolute else result.value)
            for result in results
            if result.quantity == requirement.quantity
            and result.condition in residues
            and result.temperature_c is not None
            and result.value is not None
        ]
        tests.append(open_test(requirement, limit, points, steps_c=search_steps(requirement, rules)))
    return Search(rules, chosen, tuple(tests), sample)


def _compared(rules: Specification) -> set[str]:
    """Name the lines that follow from a test that is made anyway: differences between two stresses."""
    return {r.name for r in rules.requirements if r.quantity.endswith("_difference_percent")}


def search_steps(requirement: Requirement, rules: Specification) -> list[float]:
    """Give every temperature at which some grade asks for the test [°C].

    Parameters
    ----------
    requirement : Requirement
        A line whose temperature follows from the grade.
    rules : Specification
        Its specification.
    """
    asked = []
    for high in rules.high_temperatures_c:
        for low in rules.low_temperatures_c.get(high, ()) or (None,):
            if low is not None or requirement.temperature == "high":
                asked.append(asked_temperature(requirement, high, low))
    return sorted({celsius for celsius in asked if celsius is not None})
