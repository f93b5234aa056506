"""Which classes a sample carries at a temperature: measured, or predicted with a probability."""

from __future__ import annotations

import math
from collections.abc import Sequence

from resile.compute.rheology.temperature.recovery_line import recovery_probability
from resile.compute.rheology.temperature.temperature_line import meeting_probability
from resile.compute.statistics.probability.student import student_quantile
from resile.judge.grades.grade_lines import FAILED, judge_lines
from resile.records.determination import Result
from resile.records.prediction import Basis, ClassChance, ExpectedValue, LimitChance, Standing
from resile.records.recovery_line import PredictedRecovery
from resile.records.specification import Requirement, ServiceClass
from resile.records.temperature_line import PredictedValue
from resile.records.verdict import Outcome, Verdict
from resile.workflows.judging.agreement import Yardstick
from resile.workflows.predictions.expected_values import value_meets


def class_chances(
    results: Sequence[Result],
    values: Sequence[ExpectedValue],
    agreed: Yardstick,
    temperature_c: float,
    *,
    required_probability: float,
) -> tuple[ClassChance, ...]:
    """Say of each class whether a sample carries it at a temperature.

    Parameters
    ----------
    results : sequence of Result
        Of the sample; what was measured at the temperature is judged as ever.
    values : sequence of ExpectedValue
        At the temperature.
    agreed : Yardstick
        Specification and decision rule.
    temperature_c : float
        Temperature asked for [°C].
    required_probability : float
        For the value that a binder would need.

    Returns
    -------
    tuple of ClassChance
        From mild to severe.
    """
    specification = agreed.specification
    asked = [r for r in specification.requirements if r.temperature == "high"]
    found = []
    for service in specification.classes:
        verdicts = judge_lines(
            results,
            asked,
            high_temperature_c=temperature_c,
            service_class=service,
            specification=specification,
            rule=agreed.decision_rule,
        )
        lines = tuple(_line(verdict, values, required_probability) for verdict in verdicts)
        label = specification.label.format(temperature=f"{temperature_c:g}", service_class=service.name)
        found.append(_chance(label, service, lines))
    return tuple(found)


def held_class(results: Sequence[Result], agreed: Yardstick, temperature_c: float) -> ServiceClass | None:
    """Give the most severe class that tests at a temperature show; None where they show none.

    Parameters
    ----------
    results : sequence of Result
        Of the sample.
    agreed : Yardstick
        Specification and decision rule.
    temperature_c : float
        A tested temperature [°C].

    Returns
    -------
    ServiceClass or None
        What was measured there carries it.
    """
    chances = class_chances(results, (), agreed, temperature_c, required_probability=0.95)
    held = [one for one in chances if one.standing is Standing.MEASURED_PASS]
    return held[-1].service_class if held else None


def _line(verdict: Verdict, values: Sequence[ExpectedValue], required: float) -> LimitChance:
    requirement = verdict.requirement
    residues = (requirement.condition, *requirement.also_accepts)
    fitting = [v for c in residues for v in values if v.quantity == requirement.quantity and v.condition is c]
    if verdict.outcome is not Outcome.NOT_TESTED:
        measured = next((v for v in fitting if v.basis is Basis.MEASURED), None)
        return LimitChance(
            requirement,
            verdict.limit,
            measured,
            verdict.probability_of_conformity,
            verdict.outcome not in FAILED,
            verdict,
        )
    value = next((v for v in fitting if v.value is not None and v.basis is not Basis.MEASURED), None)
    if value is None or value.predicted is None:
        return LimitChance(requirement, verdict.limit, fitting[0] if fitting else None, None, None)
    return LimitChance(
        requirement,
        verdict.limit,
        value,
        _probability(value.predicted, verdict.limit, requirement),
        value_meets(value, verdict.limit, requirement.bound),
        needed_value=_needed(value.predicted, verdict.limit, requirement, required),
    )


def _probability(
    predicted: PredictedValue | PredictedRecovery, limit: float, requirement: Requirement
) -> float:
    if isinstance(predicted, PredictedRecovery):
        return recovery_probability(predicted, limit, bound=requirement.bound)
    return meeting_probability(predicted, limit, bound=requirement.bound)


def _needed(
    predicted: PredictedValue | PredictedRecovery, limit: float, requirement: Requirement, required: float
) -> float | None:
    """Give the value to expect so that the limit is met as probably as required, with the same band."""
    if isinstance(predicted, PredictedRecovery):
        return None
    spare = student_quantile(required, predicted.degrees_of_freedom) * predicted.standard_log
    return limit * math.exp(-spare if requirement.bound == "maximum" else spare)


def _chance(label: str, service: ServiceClass, lines: tuple[LimitChance, ...]) -> ClassChance:
    told = [line for line in lines if line.meets is not None]
    untested = tuple(line.requirement.title for line in lines if line.meets is None)
    deciding = [line for line in lines if line.requirement.decides_class]
    known = bool(deciding) and all(line.meets is not None for line in deciding)
    standing = _standing(told, deciding, known)
    governing = min(told, key=lambda line: _rank(line), default=None)
    return ClassChance(
        label,
        service,
        lines,
        standing,
        _joint(told, standing),
        governing.requirement.name if governing is not None else "",
        untested,
    )


def _rank(line: LimitChance) -> tuple[bool, float]:
    return line.meets is True, 1.0 if line.probability is None else line.probability


def _standing(told: Sequence[LimitChance], deciding: Sequence[LimitChance], known: bool) -> Standing:
    if any(line.verdict is not None and line.meets is False for line in told):
        return Standing.MEASURED_FAIL
    if any(line.meets is False for line in told):
        return Standing.PREDICTED_FAIL
    if not known:
        return Standing.UNKNOWN
    if all(line.verdict is not None for line in deciding):
        return Standing.MEASURED_PASS
    return Standing.PREDICTED_PASS


def _joint(told: Sequence[LimitChance], standing: Standing) -> float | None:
    """Give one probability: tests that are yet to be made are taken as independent of one another."""
    if standing is Standing.UNKNOWN:
        return None
    open_lines = [line.probability for line in told if line.verdict is None and line.probability is not None]
    if standing is Standing.MEASURED_FAIL:
        return 0.0
    if open_lines and standing is not Standing.MEASURED_PASS:
        return math.prod(open_lines)
    judged = [line.probability for line in told if line.verdict is not None and line.probability is not None]
    return min(judged, default=None)
