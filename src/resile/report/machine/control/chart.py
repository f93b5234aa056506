"""Control charts, rules and run lengths as plain data for machines."""

from __future__ import annotations

from typing import Any

from resile.records.control.chart import ChangePoint, ControlChart, ControlPoint
from resile.records.control.production import WatchedProperty
from resile.records.control.promise import RunLengthPromise
from resile.records.control.run_rule import RunRuleSet
from resile.report.machine.records import finding_to_json

Json = dict[str, Any]


def control_chart_to_json(chart: ControlChart) -> Json:
    """Give a control chart with glossary names.

    Parameters
    ----------
    chart : ControlChart
        Points, limits, signals.

    Returns
    -------
    dict
        Plotted values and limits on the watched scale, values in the unit of the glossary.
    """
    return {
        "kind": chart.kind,
        "property": _property(chart.property),
        "title": chart.title,
        "unit": chart.unit,
        "centre": chart.centre,
        "standard_deviation": chart.standard_deviation,
        "basis": chart.basis,
        "parameters": dict(chart.parameters),
        "false_alarm_every": chart.false_alarm_every,
        "signals": [
            {
                "index": signal.index,
                "label": chart.points[signal.index].label,
                "since": signal.since,
                "rule": signal.rule,
                "text": signal.text,
                "source": signal.source,
            }
            for signal in chart.signals
        ],
        "points": [_point(point) for point in chart.points],
        "beside": None if chart.beside is None else control_chart_to_json(chart.beside),
        "findings": [finding_to_json(finding) for finding in chart.findings],
    }


def change_to_json(change: ChangePoint) -> Json:
    """Give a change of level with its suggested causes.

    Parameters
    ----------
    change : ChangePoint
        As found.
    """
    return {
        "index": change.index,
        "when": change.when,
        "earliest": change.earliest,
        "latest": change.latest,
        "before": change.before,
        "after": change.after,
        "confidence": change.confidence,
        "kind": change.kind,
        "step_probability": change.step_probability,
        "suggestions": [
            {
                "kind": one.kind,
                "sentence": one.sentence,
                "seen": list(one.seen),
                "test_to_confirm": one.test_to_confirm,
                "source": one.source,
            }
            for one in change.suggestions
        ],
    }


def run_rules_to_json(rules: RunRuleSet) -> Json:
    """Give a set of run rules.

    Parameters
    ----------
    rules : RunRuleSet
        As loaded.
    """
    return {
        "identifier": rules.identifier,
        "title": rules.title,
        "document": rules.document,
        "evidence": rules.evidence,
        "notes": list(rules.notes),
        "rules": [
            {
                "name": rule.name,
                "kind": rule.kind,
                "count": rule.count,
                "of": rule.of,
                "distance": rule.distance,
                "sentence": rule.sentence,
            }
            for rule in rules.rules
        ],
    }


def run_length_to_json(promise: RunLengthPromise) -> Json:
    """Give what a chart promises.

    Parameters
    ----------
    promise : RunLengthPromise
        Run lengths by shift.
    """
    return {
        "chart": promise.chart,
        "run_rules": list(promise.run_rules),
        "parameters": dict(promise.parameters),
        "shifts": list(promise.shifts),
        "lengths": list(promise.lengths),
        "standard_errors": list(promise.standard_errors),
        "basis": promise.basis,
    }


def _property(watched: WatchedProperty) -> Json:
    return {
        "product": watched.product,
        "quantity": watched.quantity,
        "unit": watched.unit,
        "condition": str(watched.condition),
        "temperature_c": watched.temperature_c,
        "scale": watched.scale,
        "limit": watched.limit,
        "limit_is": watched.limit_is,
        "target": watched.target,
    }


def _point(point: ControlPoint) -> Json:
    return {
        "label": point.label,
        "when": point.when,
        "values": list(point.values),
        "plotted": point.plotted,
        "lower": point.lower,
        "centre": point.centre,
        "upper": point.upper,
        "phase": point.phase,
        "excluded": point.excluded,
        "keys": list(point.keys),
    }
