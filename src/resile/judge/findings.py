"""Measure against threshold: the one engine behind every finding.

The thresholds, texts and sources are data (`FindingRule`); this module only compares.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from resile.judge.wording import Worded
from resile.records.finding import Finding, FindingCondition, FindingRule, Measure


def judge_measures(measures: Iterable[Measure], rules: Sequence[FindingRule]) -> tuple[Finding, ...]:
    """Raise the findings whose conditions all hold.

    Parameters
    ----------
    measures : iterable of Measure
        Numbers of one run; a rule whose measure is missing stays silent.
    rules : sequence of FindingRule
        In the order in which the findings are to be read.

    Returns
    -------
    tuple of Finding
        The heaviest first, else in the order of the rules.
    """
    by_name = {measure.name: measure for measure in measures}
    raised = []
    for rule in rules:
        for condition in rule.conditions:
            measure = by_name.get(condition.measure)
            if measure is None or not _holds(condition, measure.value):
                break
        else:
            raised.append(_raise(rule, by_name))
    weight = {"invalid": 0, "caution": 1, "note": 2}
    return tuple(sorted(raised, key=lambda finding: weight[finding.severity]))


def _holds(condition: FindingCondition, value: float) -> bool:
    if condition.above is not None:
        return value > condition.above
    if condition.below is not None:
        return value < condition.below
    return value != condition.unlike


def _raise(rule: FindingRule, by_name: dict[str, Measure]) -> Finding:
    first = rule.conditions[0]
    measure = by_name[first.measure]
    limit = next(value for value in (first.above, first.below, first.unlike) if value is not None)
    others = {name: Worded(other.value) for name, other in by_name.items()}
    return Finding(
        code=rule.code,
        severity=rule.severity,
        message=rule.message.format(
            value=Worded(measure.value), limit=Worded(limit), where=measure.where, **others
        ),
        rule=rule.rule,
        value=None if measure.flag else measure.value,
        limit=None if measure.flag else limit,
        unit=measure.unit,
        source=rule.source,
        advice=rule.advice,
    )
