"""Which result answers a requirement, and why there may be none."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from resile.judge.wording import number_words, property_words, residue_words, temperature_words
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


def asked_temperature(requirement: Requirement, high_temperature_c: float) -> float | None:
    """Give the test temperature a requirement asks for in a class [°C], or None where it has none.

    Parameters
    ----------
    requirement : Requirement
        The line of the specification.
    high_temperature_c : float
        Climatic high temperature of the class [°C].

    Returns
    -------
    float or None
        Test temperature [°C].
    """
    if requirement.temperature == "high":
        return high_temperature_c
    return float(requirement.temperature) if requirement.temperature is not None else None


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
) -> Selection:
    """Find the result that answers a requirement at a climatic high temperature.

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

    Returns
    -------
    Selection
        An invalid result is never selected; the reason says so.
    """
    asked = asked_temperature(requirement, high_temperature_c)
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


def waiver_for(
    requirement: Requirement,
    results: Sequence[Result],
    *,
    service_class: str,
    high_temperature_c: float,
    specification: Specification,
) -> str:
    """Say why a requirement is waived for a class, or give an empty text where it applies.

    Parameters
    ----------
    requirement : Requirement
        The line of the specification.
    results : sequence of Result
        All results of one sample.
    service_class : str
        Name of the class.
    high_temperature_c : float
        Climatic high temperature [°C].
    specification : Specification
        Holds the temperature tolerance.

    Returns
    -------
    str
        Reason, or empty.
    """
    waiver = requirement.waived_when
    classes = waiver.get("service_classes")
    if isinstance(classes, list | tuple) and service_class in classes:
        return f"not applied to class {service_class}"
    quantity, below = waiver.get("quantity"), waiver.get("below")
    if not isinstance(quantity, str) or not isinstance(below, int | float):
        return ""
    conditions = (requirement.condition, *requirement.also_accepts)
    for result in results:
        if (
            result.quantity == quantity
            and result.value is not None
            and result.value < below
            and result.condition in conditions
            and worst_severity(result.findings) is not Severity.INVALID
            and near(result.temperature_c, high_temperature_c, specification.temperature_tolerance_c)
        ):
            symbol = property_words(quantity)
            return f"{symbol} of {number_words(result.value, below)} is below {below:g}"
    return ""
