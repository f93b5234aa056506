"""The word for a score, and what scores and their trend ask for."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from resile.judge.findings import judge_measures
from resile.records.finding import Finding, FindingRule, Measure
from resile.records.laboratories import ComparisonPractice, RoundScore, ScoreTrend

SATISFACTORY = "satisfactory"
QUESTIONABLE = "questionable"
ACTION = "action"


def score_word(kind: str, score: float, practice: ComparisonPractice) -> str:
    """Give the word for a score.

    Parameters
    ----------
    kind : str
        ``z``, ``z-prime``, ``zeta`` or ``en``.
    score : float
        The score.
    practice : ComparisonPractice
        With the bounds.

    Returns
    -------
    str
        ``satisfactory`` up to its bound, both ends included; ``action`` from its bound on; else
        ``questionable``.
    """
    bounds = practice.scores[kind]
    if abs(score) <= bounds.satisfactory_to:
        return SATISFACTORY
    return ACTION if abs(score) >= bounds.action_from else QUESTIONABLE


def same_side(values: Sequence[float]) -> int:
    """Count how many of the newest values in a row lie on one side of zero; zero itself lies on neither.

    Parameters
    ----------
    values : sequence of float
        Oldest first.

    Returns
    -------
    int
        Zero where the newest is zero or there is none.
    """
    if not values or values[-1] == 0.0:
        return 0
    count = 0
    for value in reversed(values):
        if value * values[-1] <= 0.0:
            break
        count += 1
    return count


def round_findings(
    scored: RoundScore, where: str, practice: ComparisonPractice, rules: Sequence[FindingRule]
) -> tuple[Finding, ...]:
    """Give what one score asks for.

    Parameters
    ----------
    scored : RoundScore
        Judged already.
    where : str
        Round, material and property in words.
    practice : ComparisonPractice
        With the bounds.
    rules : sequence of FindingRule
        Of rounds.

    Returns
    -------
    tuple of Finding
        Empty where it is satisfactory.
    """
    score = scored.judged_score
    if score is None:
        return ()
    measures = [
        Measure("score", score, where=where),
        Measure("action", float(scored.judged == ACTION), where=where, flag=True),
        Measure("questionable", float(scored.judged == QUESTIONABLE), where=where, flag=True),
    ]
    if scored.kind in ("z", "z-prime"):
        measures.append(Measure("score_distance", abs(score), where=where))
    if scored.difference_limit and scored.result.assigned is not None:
        share = abs(scored.result.value - scored.result.assigned) / scored.difference_limit
        measures.append(Measure("limit_share", share, where=where))
    bounds = practice.scores[scored.kind]
    asked = {"round-action": bounds.action_from, "round-questionable": bounds.satisfactory_to}
    return tuple(
        replace(one, value=abs(score), limit=asked[one.code]) if one.code in asked else one
        for one in judge_measures(measures, rules)
    )


def trend_findings(trend: ScoreTrend, where: str, rules: Sequence[FindingRule]) -> tuple[Finding, ...]:
    """Give what the scores of one property over the rounds ask for.

    Parameters
    ----------
    trend : ScoreTrend
        Over the rounds.
    where : str
        Property in words.
    rules : sequence of FindingRule
        Of rounds.

    Returns
    -------
    tuple of Finding
        Empty where nothing stands out.
    """
    measures = [
        Measure("rounds", trend.count, where=where),
        Measure("mean_score", trend.mean_score, where=where),
        Measure("mean_share", abs(trend.mean_score) / trend.mean_score_standard, where=where),
        Measure("same_side", trend.same_side, where=where),
        Measure("weighted_share", abs(trend.weighted[-1]) / trend.weighted_limits[-1], where=where),
    ]
    if trend.score_slope is not None and trend.score_slope_standard:
        measures.append(Measure("score_slope", trend.score_slope, where=where))
        measures.append(
            Measure("slope_share", abs(trend.score_slope) / trend.score_slope_standard, where=where)
        )
    return judge_measures(measures, rules)
