"""Whole grades and continuous temperatures in the JSON of a grade statement."""

from __future__ import annotations

from typing import Any

from resile.records.critical_temperature import CriticalTemperature
from resile.records.propagation import SimulatedPropagation
from resile.records.published_limit import LimitStanding
from resile.records.verdict import (
    ContinuousEnd,
    ContinuousTemperature,
    FullGradeVerdict,
    GradeStatement,
    Verdict,
)
from resile.records.whole_grade import WholeGradeProbability

Json = dict[str, Any]


def whole_grade_to_json(statement: GradeStatement) -> Json:
    """Give what a statement says beyond the classes at the high temperature.

    Parameters
    ----------
    statement : GradeStatement
        What can be said of one sample.

    Returns
    -------
    dict
        Keys that come after the promised ones of `resile.report.machine.records.statement_to_json`.
    """
    difference = statement.delta_tc
    return {
        "claimed_grade": statement.claimed_grade or None,
        "full_grades": [_full_grade(grade) for grade in statement.full_grades],
        "continuous_temperatures": [_continuous(one) for one in statement.continuous],
        "continuous_ends": [_end(one) for one in statement.continuous_ends],
        "delta_tc_c": None if difference is None else difference.difference_c,
        "delta_tc_standard_c": None if difference is None else difference.standard,
        "delta_tc_reason": (difference.reason or None) if difference is not None else None,
        "delta_tc_note": statement.delta_tc_note or None,
        "delta_tc_standard_range": None if difference is None else difference.standard_range,
        "correlation_declared": None if statement.correlation is None else statement.correlation.name,
        "delta_tc_ageing_h": statement.delta_tc_ageing_h,
        "delta_tc_ageing_temperature_c": statement.delta_tc_ageing_temperature_c,
        "delta_tc_limits": [_standing(one) for one in statement.delta_tc_limits],
    }


def _standing(one: LimitStanding) -> Json:
    published = one.published
    return {
        "limit": published.limit,
        "bound": published.bound,
        "ageing_h": published.ageing_h,
        "source": published.source,
        "evidence": published.evidence,
        "note": published.note or None,
        "met": one.met,
        "reason": one.reason or None,
    }


def verdict_to_json(verdict: Verdict) -> Json:
    """Give one requirement with its value and outcome as a dictionary."""
    requirement = verdict.requirement
    return {
        "requirement": requirement.name,
        "condition": str(requirement.condition),
        "temperature_c": verdict.test_temperature_c,
        "limit": verdict.limit,
        "value": verdict.value,
        "unit": requirement.unit,
        "outcome": str(verdict.outcome),
        "margin": verdict.margin,
        "margin_repeatabilities": verdict.margin_repeatabilities,
        "probability_of_conformity": verdict.probability_of_conformity,
        "reason": verdict.reason,
        "bound": requirement.bound,
        "quantity": requirement.quantity,
    }


def _full_grade(grade: FullGradeVerdict) -> Json:
    return {
        "label": grade.label,
        "high_temperature_c": grade.high_temperature_c,
        "service_class": grade.service_class.name or None,
        "low_temperature_c": grade.low_temperature_c,
        "satisfied": grade.satisfied,
        "limiting": grade.limiting or None,
        "not_tested": [verdict.requirement.name for verdict in grade.not_tested],
        "probability": _probability(grade.probability),
        "verdicts": [verdict_to_json(verdict) for verdict in grade.verdicts],
    }


def _probability(found: WholeGradeProbability | None) -> Json | None:
    if found is None:
        return None
    return {
        "probability": found.probability,
        "lowest": found.lowest,
        "highest": found.highest,
        "if_independent": found.if_independent,
        "basis": found.basis,
        "whole": found.whole,
        "known": len(found.each),
        "missing": list(found.missing),
        "probability_of_known": found.probability_of_known,
    }


def _continuous(one: ContinuousTemperature) -> Json:
    requirement = one.requirement
    return {
        "requirement": requirement.name,
        "quantity": requirement.quantity,
        "condition": str(requirement.condition),
        "service_class": one.service_class or None,
        "end": one.end,
        "grade_temperature_c": one.grade_temperature_c,
        **_critical(one.critical),
    }


def _critical(critical: CriticalTemperature) -> Json:
    return {
        "temperature_c": critical.temperature_c,
        "limit": critical.limit,
        "rule": critical.rule,
        "other_rule_c": critical.other_rule_c,
        "standard": critical.standard,
        "correlation": critical.correlation,
        "bracketed": critical.bracketed,
        "extrapolated_c": critical.extrapolated_c,
        "reason": critical.reason or None,
        "uncertainty_method": critical.uncertainty_method or None,
        "standard_range": critical.standard_range,
        "degrees_of_freedom": critical.degrees_of_freedom,
        "coverage_factor": critical.coverage_factor,
        "simulated": _simulated(critical.simulated),
        "points": [
            {"temperature_c": point.temperature_c, "value": point.value, "standard": point.standard}
            for point in critical.points
        ],
    }


def _simulated(found: SimulatedPropagation | None) -> Json | None:
    if found is None:
        return None
    return {
        "lower": found.lower,
        "upper": found.upper,
        "probability": found.probability,
        "draws": found.draws,
    }


def _end(one: ContinuousEnd) -> Json:
    return {
        "end": one.end,
        "service_class": one.service_class or None,
        "temperature_c": one.temperature_c,
        "governed_by": one.governed_by or None,
        "missing": list(one.missing),
    }
