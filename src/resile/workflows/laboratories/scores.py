"""Scores of the laboratory in comparison rounds, and where they are heading."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from resile.compute.statistics.interlaboratory.scores import (
    en_number,
    score_slope,
    weighted_scores,
    z_prime_score,
    z_score,
    zeta_score,
)
from resile.errors import InputError
from resile.judge.laboratories.rounds import (
    round_findings,
    same_side,
    score_word,
    trend_findings,
)
from resile.judge.results.precision import precision_at
from resile.judge.wording import property_words, residue_words, temperature_words
from resile.records.determination import Condition
from resile.records.finding import Finding
from resile.records.laboratories import ComparisonPractice, RoundScore, RoundScores, ScoreTrend
from resile.records.register.laboratories import RoundResult
from resile.records.specification import PrecisionStatement
from resile.specifications.creep_recovery import load_finding_rules
from resile.specifications.laboratories import load_comparison_practice
from resile.specifications.load import load_all_precision

_EXPANDED = 2.0


def round_scores(
    rounds: Sequence[RoundResult], *, statements: Sequence[PrecisionStatement] | None = None
) -> RoundScores:
    """Score results of rounds, and look at each property over the rounds.

    Parameters
    ----------
    rounds : sequence of RoundResult
        In any order; the day sorts them, and the name of the round within a day.
    statements : sequence of PrecisionStatement or None
        Published precision; all there is where not given.

    Returns
    -------
    RoundScores
        Oldest first. The word rests on z; on z' where the doubt of the assigned value is not small; on zeta,
        or on En, where the round states no standard deviation.

    Raises
    ------
    InputError
        Where a number of a round is not finite, or a standard deviation is not above zero.
    """
    practice = load_comparison_practice()
    rules = load_finding_rules("rounds")
    known = load_all_precision() if statements is None else statements
    ordered = sorted(rounds, key=lambda one: (one.day, one.round, one.material))
    scores = tuple(_scored(one, practice, known) for one in ordered)
    findings: list[Finding] = []
    for scored in scores:
        findings += round_findings(scored, _where(scored.result), practice, rules)
    trends = _trends(scores, practice)
    for trend in trends:
        where = f"{property_words(trend.quantity)}, {residue_words(Condition(trend.condition))}"
        findings += trend_findings(trend, where, rules)
    weight = ["invalid", "caution", "note"]
    return RoundScores(
        scores=scores, trends=trends, findings=tuple(sorted(findings, key=lambda f: weight.index(f.severity)))
    )


def _where(one: RoundResult) -> str:
    at = f" at {temperature_words(one.temperature_c)}" if one.temperature_c is not None else ""
    return f"round {one.round}, {one.material}: {property_words(one.quantity)}{at}"


def _check(one: RoundResult) -> None:
    numbers = (one.value, one.assigned, one.assigned_standard, one.deviation, one.own_standard)
    if any(number is not None and not math.isfinite(number) for number in numbers):
        raise InputError(f"{_where(one)}: every number must be finite")
    if one.deviation is not None and one.deviation <= 0.0:
        raise InputError(
            f"{_where(one)}: standard deviation of the round {one.deviation:g}; above zero is needed"
        )
    for name, number in (("assigned value", one.assigned_standard), ("laboratory", one.own_standard)):
        if number is not None and number < 0.0:
            raise InputError(f"{_where(one)}: standard uncertainty of the {name} {number:g}; not below zero")


def _scored(
    one: RoundResult, practice: ComparisonPractice, statements: Sequence[PrecisionStatement]
) -> RoundScore:
    _check(one)
    scored = RoundScore(result=one)
    if one.assigned is None:
        return scored
    doubt = one.assigned_standard
    if one.deviation is not None:
        z = float(z_score(one.value, one.assigned, one.deviation))
        prime = None if doubt is None else float(z_prime_score(one.value, one.assigned, one.deviation, doubt))
        small = doubt is None or doubt <= practice.negligible_share * one.deviation
        scored = replace(scored, z=z, z_prime=prime, kind="z" if small else "z-prime")
    if doubt is not None and one.own_standard is not None and math.hypot(doubt, one.own_standard) > 0.0:
        zeta = float(zeta_score(one.value, one.assigned, one.own_standard, doubt))
        expanded = (_EXPANDED * one.own_standard, _EXPANDED * doubt)
        en = float(en_number(one.value, one.assigned, *expanded))
        scored = replace(scored, zeta=zeta, en=en, kind=scored.kind or "zeta")
    score = scored.judged_score
    level = precision_at(one.assigned, one.quantity, one.condition, statements)
    limit = level.reproducibility_limit
    return replace(
        scored,
        judged="" if score is None else score_word(scored.kind, score, practice),
        difference_limit=limit,
        within_difference_limit=None if limit is None else abs(one.value - one.assigned) <= limit,
    )


def _trends(scores: Sequence[RoundScore], practice: ComparisonPractice) -> tuple[ScoreTrend, ...]:
    grouped: dict[tuple[str, str], list[float]] = {}
    for scored in scores:
        score = scored.judged_score
        if score is not None and scored.kind in ("z", "z-prime", "zeta"):
            key = (scored.result.quantity, str(scored.result.condition))
            grouped.setdefault(key, []).append(score)
    return tuple(_trend(*key, values, practice) for key, values in grouped.items())


def _trend(
    quantity: str, condition: str, values: Sequence[float], practice: ComparisonPractice
) -> ScoreTrend:
    weighted, limits = weighted_scores(values, weight=practice.score_weight, width=practice.score_width)
    slope, slope_standard = score_slope(values) if len(values) > 2 else (None, None)
    return ScoreTrend(
        quantity=quantity,
        condition=condition,
        count=len(values),
        mean_score=math.fsum(values) / len(values),
        mean_score_standard=1.0 / math.sqrt(len(values)),
        same_side=same_side(values),
        score_slope=slope,
        score_slope_standard=slope_standard,
        weighted=tuple(float(one) for one in weighted),
        weighted_limits=tuple(float(one) for one in limits),
    )
