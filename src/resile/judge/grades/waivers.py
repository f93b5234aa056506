"""Where a requirement is waived, and the sentence that says why."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from resile.judge.grades.selection import asked_temperature, limit_for, near, needs_low_temperature
from resile.judge.results.conformity import meets
from resile.judge.wording import number_words, property_words
from resile.records.determination import Result
from resile.records.finding import Severity, worst_severity
from resile.records.specification import Requirement, Specification


def waiver_for(
    requirement: Requirement,
    results: Sequence[Result],
    *,
    service_class: str,
    high_temperature_c: float,
    specification: Specification,
    low_temperature_c: float | None = None,
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
    low_temperature_c : float or None
        Low grade temperature [°C], for the requirements that depend on it.

    Returns
    -------
    str
        Reason, or empty.
    """
    waiver = requirement.waived_when
    classes = waiver.get("service_classes")
    if isinstance(classes, list | tuple) and service_class in classes:
        return f"not applied to class {service_class}"
    quantity = waiver.get("quantity")
    if not isinstance(quantity, str):
        return ""
    at: float | None = high_temperature_c
    if needs_low_temperature(requirement):
        at = asked_temperature(requirement, high_temperature_c, low_temperature_c)
    conditions = (requirement.condition, *requirement.also_accepts)
    here = [
        r
        for r in results
        if r.value is not None
        and r.condition in conditions
        and worst_severity(r.findings) is not Severity.INVALID
        and near(r.temperature_c, at, specification.temperature_tolerance_c)
    ]
    own = _own_words(requirement, waiver, here, limit_for(requirement, service_class))
    if own is None:
        return ""
    for result in here:
        words = _bound_words(waiver, result) if result.quantity == quantity else ""
        if words:
            return own + words
    return ""


def _bound_words(waiver: Mapping[str, object], result: Result) -> str:
    """Say how another result lies where the waiver wants it; empty where it does not."""
    value, symbol = result.value, property_words(result.quantity)
    below, at_least = waiver.get("below"), waiver.get("at_least")
    if value is None:
        return ""
    if isinstance(below, int | float) and value < below:
        return f"{symbol} of {number_words(value, below)} is below {below:g}"
    if isinstance(at_least, int | float) and meets(value, at_least, "minimum"):
        return f"{symbol} of {number_words(value)} is at least {at_least:g}"
    return ""


def _own_words(
    requirement: Requirement, waiver: Mapping[str, object], here: Sequence[Result], limit: float | None
) -> str | None:
    """Say that the property itself lies in the span of the waiver; None where it does not.

    Without ``own_up_to`` the property itself does not matter.
    """
    up_to = waiver.get("own_up_to")
    if not isinstance(up_to, int | float):
        return ""
    for result in here:
        if result.quantity != requirement.quantity or result.value is None or limit is None:
            continue
        missed = not meets(result.value, limit, requirement.bound)
        if missed and meets(result.value, up_to, requirement.bound):
            symbol = property_words(requirement.quantity)
            side = "above" if requirement.bound == "maximum" else "below"
            return (
                f"{symbol} of {number_words(result.value, limit)} is {side} {limit:g} "
                f"but not {side} {up_to:g} {requirement.unit}, and "
            )
        return None
    return None
