"""What each property comes to at a temperature, and where it meets the limits of a specification."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from resile.compute.rheology.temperature.recovery_line import predict_recovery
from resile.compute.rheology.temperature.temperature_line import meeting_temperature, predict_value
from resile.judge.grades.selection import limit_for, near
from resile.judge.results.conformity import meets
from resile.judge.wording import temperature_words
from resile.records.correlation import ErrorCorrelation
from resile.records.determination import Result
from resile.records.prediction import Basis, ExpectedValue, LimitTemperature, PropertyLine
from resile.records.recovery_line import RecoveryLine
from resile.records.specification import Requirement, Specification
from resile.records.temperature_line import TemperatureLine
from resile.workflows.judging.limit_temperature import temperature_at_limit

REACH_C = 6.0
"""Furthest a line is extended outside the tests by itself [°C]: one grade step. Own choice."""
_SLACK_C = 1e-9


def expected_value(
    line: PropertyLine,
    temperature_c: float,
    *,
    temperature_standard_c: float,
    tolerance_c: float,
    reach_c: float = REACH_C,
) -> ExpectedValue:
    """Give a property at a temperature: as measured, else as its line predicts it.

    Parameters
    ----------
    line : PropertyLine
        As drawn.
    temperature_c : float
        Temperature asked for [°C].
    temperature_standard_c : float
        Standard uncertainty of a test temperature [°C].
    tolerance_c : float
        A test within this of the temperature is a test at it [°C].
    reach_c : float
        Furthest the line is extended outside the tests [°C].

    Returns
    -------
    ExpectedValue
        A measured value wins; the prediction stands beside it.
    """
    result = next((r for r in line.points if near(r.temperature_c, temperature_c, tolerance_c)), None)
    plain = ExpectedValue(line.quantity, line.condition, temperature_c, Basis.NONE, result=result)
    drawn = line.line
    if drawn is not None:
        outside = max(drawn.coldest_c - temperature_c, temperature_c - drawn.warmest_c, 0.0)
        if outside <= reach_c + tolerance_c + _SLACK_C:
            plain = _predicted(plain, drawn, temperature_standard_c, outside > tolerance_c + _SLACK_C)
        else:
            plain = replace(
                plain,
                reason=f"{temperature_words(outside)} outside the tests; a line is extended by "
                f"{temperature_words(reach_c)} at most",
            )
    else:
        plain = replace(plain, reason=line.reason)
    if result is not None:
        return replace(plain, basis=Basis.MEASURED, value=result.value, low=None, high=None, reason="")
    return plain


def _predicted(
    plain: ExpectedValue, drawn: TemperatureLine | RecoveryLine, standard_c: float, outside: bool
) -> ExpectedValue:
    basis = Basis.EXTRAPOLATED if outside else Basis.INTERPOLATED
    if isinstance(drawn, RecoveryLine):
        recovery = predict_recovery(drawn, plain.temperature_c, temperature_standard_c=standard_c)
        return replace(
            plain,
            basis=basis,
            value=recovery.percent_recovery,
            low=recovery.low,
            high=recovery.high,
            predicted=recovery,
        )
    if drawn.prior is not None:
        basis = Basis.PRIOR
    found = predict_value(drawn, plain.temperature_c, temperature_standard_c=standard_c)
    return replace(plain, basis=basis, value=found.value, low=found.low, high=found.high, predicted=found)


def with_limit_temperatures(
    line: PropertyLine,
    specification: Specification,
    correlation: ErrorCorrelation,
    *,
    temperature_standard_c: float,
    reach_c: float = REACH_C,
) -> PropertyLine:
    """Add the temperatures at which a property meets the limits of each class.

    Parameters
    ----------
    line : PropertyLine
        As drawn.
    specification : Specification
        Gives the limits.
    correlation : ErrorCorrelation
        What errors at two temperatures share.
    temperature_standard_c : float
        Standard uncertainty of a test temperature [°C].
    reach_c : float
        Furthest the line is extended outside the tests [°C].

    Returns
    -------
    PropertyLine
        Interpolated between the two tests that bracket a limit, as ``resile grade`` gives it; by the line,
        and said so, outside the tests; unchanged where there is no logarithmic line.
    """
    drawn = line.line
    if not isinstance(drawn, TemperatureLine):
        return line
    found = []
    for requirement in specification.requirements:
        residues = (requirement.condition, *requirement.also_accepts)
        if (
            requirement.quantity != line.quantity
            or requirement.temperature != "high"
            or line.condition not in residues
        ):
            continue
        for name, limit in _limits_of(requirement, specification):
            one = _interpolated(line.points, requirement, name, limit, correlation)
            standard = _line_standard(drawn, limit, temperature_standard_c)
            if one is None:
                one = _from_line(drawn, requirement, name, limit, reach_c)
            found.append(replace(one, standard_c=None if one.temperature_c is None else standard))
    return replace(line, limits=tuple(found))


def _limits_of(requirement: Requirement, specification: Specification) -> list[tuple[str, float]]:
    """Give each class with its limit, or one nameless class where all share it."""
    named = [(one.name, limit_for(requirement, one.name)) for one in specification.classes]
    limits = [(name, limit) for name, limit in named if limit is not None]
    if len(limits) > 1 and len({limit for _, limit in limits}) == 1:
        return [("", limits[0][1])]
    return limits


def _interpolated(
    points: Sequence[Result], requirement: Requirement, name: str, limit: float, correlation: ErrorCorrelation
) -> LimitTemperature | None:
    if len(points) < 2:
        return None
    found = temperature_at_limit(points, limit, correlation)
    if found.temperature_c is None:
        return None
    return LimitTemperature(requirement, name, limit, found.temperature_c, None, Basis.INTERPOLATED)


def _line_standard(drawn: TemperatureLine, limit: float, temperature_standard_c: float) -> float:
    return math.hypot(meeting_temperature(drawn, limit)[1], temperature_standard_c)


def _from_line(
    drawn: TemperatureLine, requirement: Requirement, name: str, limit: float, reach_c: float
) -> LimitTemperature:
    at = meeting_temperature(drawn, limit)[0]
    outside = max(drawn.coldest_c - at, at - drawn.warmest_c, 0.0)
    basis = Basis.PRIOR if drawn.prior is not None else Basis.EXTRAPOLATED
    if outside <= reach_c + _SLACK_C:
        return LimitTemperature(requirement, name, limit, at, None, basis)
    side = "below" if at < drawn.coldest_c else "above"
    end = drawn.coldest_c if at < drawn.coldest_c else drawn.warmest_c
    reason = f"more than {temperature_words(reach_c)} {side} {temperature_words(end)}"
    return LimitTemperature(requirement, name, limit, None, None, Basis.NONE, reason)


def value_meets(value: ExpectedValue, limit: float, bound: str) -> bool | None:
    """Tell whether an expected value is on the good side of a limit; None where there is no value."""
    return None if value.value is None else meets(value.value, limit, bound)
