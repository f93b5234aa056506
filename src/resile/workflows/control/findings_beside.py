"""Findings on production; what always holds is said without a number."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from resile.judge.findings import judge_measures
from resile.records.finding import Finding, Measure
from resile.specifications.creep_recovery import load_finding_rules

ALWAYS = Measure("always", 1.0)
"""For what is said beside every answer."""


def doubts_of(measures: Sequence[Measure], file: str) -> tuple[Finding, ...]:
    """Raise findings by the rules of a file.

    Parameters
    ----------
    measures : sequence of Measure
        Numbers of the answer; `ALWAYS` is added.
    file : str
        Name under ``specifications/findings``.

    Returns
    -------
    tuple of Finding
        The heaviest first.
    """
    rules = load_finding_rules(file)
    plain = {rule.code for rule in rules if rule.conditions[0].measure == ALWAYS.name}
    raised = judge_measures([*measures, ALWAYS], rules)
    return tuple(replace(one, value=None, limit=None) if one.code in plain else one for one in raised)
