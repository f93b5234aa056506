"""Predictions for other temperatures, and kinds of binder, as plain data for machines."""

from __future__ import annotations

from typing import Any

from resile.records.prediction import (
    AskedTemperature,
    ClassChance,
    ExpectedValue,
    LimitChance,
    LimitTemperature,
    NextTest,
    PropertyLine,
    SamplePrediction,
)
from resile.records.quantity import QUANTITIES
from resile.records.recovery_line import RecoveryLine
from resile.records.slope_prior import BinderKind
from resile.records.temperature_line import TemperatureLine
from resile.report.machine.records import finding_to_json

Json = dict[str, Any]


def prediction_to_json(sample: SamplePrediction) -> Json:
    """Give the prediction of one sample with glossary names.

    Parameters
    ----------
    sample : SamplePrediction
        Of one sample.

    Returns
    -------
    dict
        Lines, values and classes at each asked temperature, findings.
    """
    rules = sample.specification
    return {
        "sample": sample.sample,
        "specification": {"identifier": rules.identifier, "edition": rules.edition, "sha256": rules.sha256},
        "kind": sample.kind.identifier if sample.kind is not None else None,
        "required_probability": sample.required_probability,
        "reach_c": sample.reach_c,
        "temperature_standard_c": sample.temperature_standard_c,
        "properties": [_property(line) for line in sample.properties],
        "temperatures": [_asked(one) for one in sample.temperatures],
        "findings": [finding_to_json(finding) for finding in sample.findings],
    }


def _property(line: PropertyLine) -> Json:
    return {
        "quantity": line.quantity,
        "condition": str(line.condition),
        "unit": QUANTITIES[line.quantity].unit,
        "points": [
            {
                "temperature_c": point.temperature_c,
                "value": point.value,
                "determinations": [
                    d.value for d, counts in zip(point.determinations, point.counted, strict=True) if counts
                ],
            }
            for point in line.points
        ],
        "line": _line(line.line),
        "scatter_note": line.scatter_note or None,
        "reason": line.reason or None,
        "limits": [_limit(one) for one in line.limits],
    }


def _line(line: TemperatureLine | RecoveryLine | None) -> Json | None:
    if line is None:
        return None
    told: Json = {
        "middle_c": line.middle_c,
        "level": line.level,
        "slope_per_c": line.slope_per_c,
        "covariance": list(line.covariance),
        "coldest_c": line.coldest_c,
        "warmest_c": line.warmest_c,
    }
    if isinstance(line, RecoveryLine):
        return {**told, "variation_percent": line.variation_percent}
    free = line.degrees_of_freedom
    prior = line.prior
    return {
        **told,
        "scatter": line.scatter,
        "degrees_of_freedom": None if free == float("inf") else free,
        "prior": None
        if prior is None
        else {
            "kind": prior.kind,
            "slope_per_c": prior.slope_per_c,
            "standard_per_c": prior.standard_per_c,
            "source": prior.source,
        },
    }


def _limit(one: LimitTemperature) -> Json:
    return {
        "requirement": one.requirement.name,
        "service_class": one.service_class or None,
        "limit": one.limit,
        "temperature_c": one.temperature_c,
        "standard_c": one.standard_c,
        "basis": str(one.basis),
        "reason": one.reason or None,
    }


def _asked(one: AskedTemperature) -> Json:
    return {
        "temperature_c": one.temperature_c,
        "answer": one.answer,
        "expected_class": one.expected_class.label if one.expected_class is not None else None,
        "sure_class": one.sure_class.label if one.sure_class is not None else None,
        "tested_c": one.tested_c,
        "held_class": one.held_class,
        "values": [_value(value) for value in one.values],
        "classes": [_class(chance) for chance in one.classes],
        "next_test": _next_test(one.next_test),
    }


def _value(value: ExpectedValue) -> Json:
    predicted = value.predicted
    said = getattr(predicted, "value", getattr(predicted, "percent_recovery", None))
    return {
        "quantity": value.quantity,
        "condition": str(value.condition),
        "unit": QUANTITIES[value.quantity].unit,
        "basis": str(value.basis),
        "value": value.value,
        "low": value.low,
        "high": value.high,
        "predicted": None
        if predicted is None
        else {
            "value": said,
            "low": predicted.low,
            "high": predicted.high,
            "extrapolated_c": predicted.extrapolated_c,
        },
        "reason": value.reason or None,
    }


def _class(chance: ClassChance) -> Json:
    return {
        "label": chance.label,
        "service_class": chance.service_class.name,
        "standing": str(chance.standing),
        "probability": chance.probability,
        "governing": chance.governing or None,
        "untested": list(chance.untested),
        "lines": [_chance_line(line) for line in chance.lines],
    }


def _chance_line(line: LimitChance) -> Json:
    return {
        "requirement": line.requirement.name,
        "limit": line.limit,
        "bound": line.requirement.bound,
        "basis": str(line.expected.basis) if line.expected is not None else None,
        "outcome": str(line.verdict.outcome) if line.verdict is not None else None,
        "meets": line.meets,
        "probability": line.probability,
        "needed_value": line.needed_value,
    }


def _next_test(test: NextTest | None) -> Json | None:
    if test is None:
        return None
    return {
        "quantity": test.quantity,
        "condition": str(test.condition),
        "temperature_c": test.temperature_c,
        "reason": test.reason,
    }


def binder_kind_to_json(kind: BinderKind) -> dict[str, Any]:
    """Give a kind of binder with the keys of its file.

    Parameters
    ----------
    kind : BinderKind
        As loaded.

    Returns
    -------
    dict
        Identity and slopes.
    """
    return {
        "identifier": kind.identifier,
        "title": kind.title,
        "checked": kind.checked,
        "sha256": kind.sha256,
        "slopes": [
            {
                "quantity": slope.quantity,
                "condition": str(slope.condition) if slope.condition is not None else None,
                "slope_per_c": slope.slope_per_c,
                "standard_per_c": slope.standard_per_c,
                "source": slope.source,
                "evidence": slope.evidence,
            }
            for slope in kind.slopes
        ],
        "notes": list(kind.notes),
    }
