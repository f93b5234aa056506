"""Which result answers a requirement, and why there may be none."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from resile.errors import SpecificationError
from resile.judge.wording import residue_words, temperature_words
from resile.records.determination import Condition, Result
from resile.records.finding import Severity, worst_severity
from resile.records.quantity import QUANTITIES
from resile.records.specification import Requirement, Specification


@dataclass(frozen=True, slots=True)
class Selection:
    """What was found for a requirement.

    Attributes
    ----------
    result : Result or None
        The result that answers it.
    absent : str
        Why there is none, where that is more than 'not tested'.
    stand_in : bool
        True where another residue is judged in place of the one asked for.
    """

    result: Result | None
    absent: str = ""
    stand_in: bool = False


BEAM_OFFSET_C = 10.0
"""How far above the low grade temperature the low end is tested [°C]: AASHTO M 320, Table 1."""
INTERMEDIATE_OFFSET_C = 4.0
"""How far above the middle of the grade the intermediate test lies [°C]: AASHTO M 320, recalled (high)."""
LOW_END_RULES = ("low + 10", "intermediate")
"""Temperature rules that need the low grade temperature."""


def needs_low_temperature(requirement: Requirement) -> bool:
    """Tell whether a requirement belongs to the whole grade rather than to its high-temperature part.

    Parameters
    ----------
    requirement : Requirement
        The line of the specification.

    Returns
    -------
    bool
        True for the intermediate and low test temperatures.
    """
    return requirement.temperature in LOW_END_RULES


def belongs_to_whole_grade(requirement: Requirement) -> bool:
    """Tell whether a requirement is no part of the class at the high temperature.

    Parameters
    ----------
    requirement : Requirement
        The line of the specification.

    Returns
    -------
    bool
        True for the intermediate and low test temperatures and for what is derived from them.
    """
    return needs_low_temperature(requirement) or requirement.quantity == "delta_tc"


def asked_temperature(
    requirement: Requirement, high_temperature_c: float, low_temperature_c: float | None = None
) -> float | None:
    """Give the test temperature a requirement asks for in a class [°C], or None where it has none.

    Parameters
    ----------
    requirement : Requirement
        The line of the specification.
    high_temperature_c : float
        Climatic high temperature of the class [°C].
    low_temperature_c : float or None
        Low grade temperature [°C]; needed for the rules ``"low + 10"`` and ``"intermediate"``.

    Returns
    -------
    float or None
        Test temperature [°C].

    Raises
    ------
    SpecificationError
        Where the rule needs a low grade temperature and there is none.
    """
    rule = requirement.temperature
    if rule == "high":
        return high_temperature_c
    if isinstance(rule, str):
        if low_temperature_c is None:
            raise SpecificationError(
                f"requirement '{requirement.name}' is tested at '{rule}': needed is a low grade temperature"
            )
        if rule == "low + 10":
            return low_temperature_c + BEAM_OFFSET_C
        return (high_temperature_c + low_temperature_c) / 2.0 + INTERMEDIATE_OFFSET_C
    return float(rule) if rule is not None else None


def tested_steps(results: Sequence[Result], specification: Specification) -> list[float]:
    """Give the high grade steps at which a requirement at the high temperature has a result.

    Parameters
    ----------
    results : sequence of Result
        All results of one sample.
    specification : Specification
        Holds the steps and the temperature tolerance.

    Returns
    -------
    list of float
        Coolest first [°C]; all steps where no requirement is at the high temperature and any is answered.
    """
    quantities = {r.quantity for r in specification.requirements if r.temperature == "high"}
    if not quantities:  # penetration and viscosity grades: nothing in them depends on the climate
        asked = {r.quantity for r in specification.requirements}
        return list(specification.high_temperatures_c) if any(r.quantity in asked for r in results) else []
    tested = [r.temperature_c for r in results if r.quantity in quantities and r.value is not None]
    tolerance = specification.temperature_tolerance_c
    return [
        step for step in specification.high_temperatures_c if any(near(t, step, tolerance) for t in tested)
    ]


def limit_for(requirement: Requirement, service_class: str) -> float | None:
    """Give the limit for a class, or None where the class has no such requirement.

    Parameters
    ----------
    requirement : Requirement
        The line of the specification.
    service_class : str
        Name of the class.

    Returns
    -------
    float or None
        In the requirement's unit.
    """
    return requirement.limits.get(service_class, requirement.limits.get("*"))


def near(temperature_c: float | None, asked_c: float | None, tolerance_c: float) -> bool:
    """Tell whether a test temperature answers the one asked for.

    Parameters
    ----------
    temperature_c : float or None
        Test temperature [°C].
    asked_c : float or None
        Temperature asked for [°C]; None where any will do.
    tolerance_c : float
        Largest difference [°C].

    Returns
    -------
    bool
        True where it answers.
    """
    if asked_c is None:
        return True
    return temperature_c is not None and abs(temperature_c - asked_c) <= tolerance_c + 1e-9


def select_result(
    requirement: Requirement,
    results: Sequence[Result],
    *,
    high_temperature_c: float,
    specification: Specification,
    low_temperature_c: float | None = None,
) -> Selection:
    """Find the result that answers a requirement of a grade.

    Parameters
    ----------
    requirement : Requirement
        The line of the specification.
    results : sequence of Result
        All results of one sample.
    high_temperature_c : float
        Climatic high temperature [°C].
    specification : Specification
        Holds the temperature tolerance.
    low_temperature_c : float or None
        Low grade temperature [°C], for the requirements that depend on it.

    Returns
    -------
    Selection
        An invalid result is never selected; the reason says so.
    """
    asked = asked_temperature(requirement, high_temperature_c, low_temperature_c)
    here = [
        r
        for r in results
        if r.quantity == requirement.quantity
        and r.value is not None
        and near(r.temperature_c, asked, specification.temperature_tolerance_c)
    ]
    absent = ""
    for condition in (requirement.condition, *requirement.also_accepts):
        for result in (r for r in here if r.condition is condition):
            if worst_severity(result.findings) is Severity.INVALID:
                codes = ", ".join(f.code for f in result.findings if f.severity is Severity.INVALID)
                absent = absent or f"the result found is invalid ({codes})"
                continue
            return Selection(result, stand_in=condition is not requirement.condition)
    return Selection(None, absent or _why_absent(requirement, results, here, asked))


def _why_absent(
    requirement: Requirement, results: Sequence[Result], here: Sequence[Result], asked_c: float | None
) -> str:
    title = QUANTITIES[requirement.quantity].title
    residue = residue_words(requirement.condition)
    if any(r.condition is Condition.UNKNOWN for r in here):
        return f"{title} was given without the state of the binder; {residue} binder is asked for"
    others = sorted({residue_words(r.condition) for r in here})
    if others:
        return f"{title} was given for {', '.join(others)} binder; {residue} binder is asked for"
    if asked_c is not None and any(
        r.quantity == requirement.quantity
        and r.condition is requirement.condition
        and r.temperature_c is None
        and r.value is not None
        for r in results
    ):
        return f"{title} was given without a test temperature; {temperature_words(asked_c)} is asked for"
    return ""
