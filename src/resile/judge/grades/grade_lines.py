"""The lines of a class or a whole grade: every requirement that applies, in the order of the document."""

from __future__ import annotations

from collections.abc import Sequence

from resile.judge.grades.requirement import judge_requirement
from resile.judge.grades.selection import Selection, asked_temperature, limit_for, select_result
from resile.judge.grades.waivers import waiver_for
from resile.judge.results.conditioning import why_aged_otherwise
from resile.records.ageing import LongTermAgeingRecord
from resile.records.determination import Result
from resile.records.specification import DecisionRule, Requirement, ServiceClass, Specification
from resile.records.verdict import Outcome, Verdict

FAILED = (Outcome.FAIL, Outcome.CONDITIONAL_FAIL)
"""Outcomes that take a grade."""


def judge_lines(
    results: Sequence[Result],
    requirements: Sequence[Requirement],
    *,
    high_temperature_c: float,
    service_class: ServiceClass,
    specification: Specification,
    rule: DecisionRule,
    low_temperature_c: float | None = None,
    long_term_record: LongTermAgeingRecord | None = None,
) -> tuple[Verdict, ...]:
    """Judge requirements for one class at its temperatures.

    Parameters
    ----------
    results : sequence of Result
        All results of one sample.
    requirements : sequence of Requirement
        Lines of the specification.
    high_temperature_c : float
        Climatic high temperature [°C].
    service_class : ServiceClass
        Class of the specification.
    specification : Specification
        Holds rounding and temperature tolerance.
    rule : DecisionRule
        Agreed before the test.
    low_temperature_c : float or None
        Low grade temperature [°C], for the requirements that depend on it.
    long_term_record : LongTermAgeingRecord or None
        How the long-term-aged binder was made; where otherwise than asked for, its lines stay open.

    Returns
    -------
    tuple of Verdict
        One a requirement that has a limit for the class.
    """
    verdicts: list[Verdict] = []
    for requirement in requirements:
        limit = limit_for(requirement, service_class.name)
        if limit is None:
            continue
        selection = select_result(
            requirement,
            results,
            high_temperature_c=high_temperature_c,
            specification=specification,
            low_temperature_c=low_temperature_c,
        )
        otherwise = why_aged_otherwise(requirement, high_temperature_c, specification, long_term_record)
        if selection.result is not None and otherwise:
            selection = Selection(None, otherwise)
        waived = waiver_for(
            requirement,
            results,
            service_class=service_class.name,
            high_temperature_c=high_temperature_c,
            specification=specification,
            low_temperature_c=low_temperature_c,
        )
        verdicts.append(
            judge_requirement(
                requirement,
                selection.result,
                limit=limit,
                rule=rule,
                rounding=specification.rounding,
                test_temperature_c=asked_temperature(requirement, high_temperature_c, low_temperature_c),
                absent=selection.absent,
                waived=waived,
            )
        )
    return tuple(verdicts)


def counts_as_good(verdict: Verdict, rule: DecisionRule) -> bool:
    """Tell whether a verdict lets a grade stand.

    Parameters
    ----------
    verdict : Verdict
        One line.
    rule : DecisionRule
        Says whether a conditional pass counts.

    Returns
    -------
    bool
        Not tested is never good.
    """
    if verdict.outcome is Outcome.CONDITIONAL_PASS:
        return rule.conditional_pass_counts
    return verdict.outcome in (Outcome.PASS, Outcome.WAIVED)


def limiting_requirement(verdicts: Sequence[Verdict]) -> str:
    """Name the requirement that fails worst, else the one with the smallest margin.

    Parameters
    ----------
    verdicts : sequence of Verdict
        Of one class or grade.

    Returns
    -------
    str
        Empty where nothing was compared.

    Notes
    -----
    Margins are ranked in repeatability limits where all have one, else in parts of the limit, so that no
    property escapes because it has no published precision.
    """
    judged = [v for v in verdicts if v.margin is not None]
    failed = [v for v in judged if v.outcome in FAILED]
    ranked = failed or judged
    if not ranked:
        return ""

    def in_repeatabilities(verdict: Verdict) -> float:
        """Margin in repeatability limits."""
        return verdict.margin_repeatabilities or 0.0

    def in_limits(verdict: Verdict) -> float:
        """Margin in parts of the limit."""
        return (verdict.margin or 0.0) / (abs(verdict.limit) or 1.0)

    every = all(v.margin_repeatabilities is not None for v in ranked)
    return min(ranked, key=in_repeatabilities if every else in_limits).requirement.name
