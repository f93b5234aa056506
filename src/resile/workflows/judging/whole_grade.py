"""What the judge's statement gains from computing: continuous temperatures and whole-grade probabilities."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from resile.compute.statistics.probability.whole_grade import probability_of_all
from resile.judge.rules.published_limits import stand_to_limits
from resile.records.ageing import LongTermAgeingRecord
from resile.records.correlation import ErrorCorrelation
from resile.records.determination import Result
from resile.records.finding import Severity
from resile.records.verdict import FullGradeVerdict, GradeStatement, Outcome, Verdict
from resile.records.whole_grade import WholeGradeProbability
from resile.specifications.load import load_published_limits
from resile.workflows.judging.continuous import continuous_ends, continuous_findings, continuous_temperatures
from resile.workflows.judging.delta_tc import difference_of
from resile.workflows.judging.derived import derived_numbers


def complete_statement(
    statement: GradeStatement,
    results: Sequence[Result],
    *,
    correlation: ErrorCorrelation,
    both_rules: bool = False,
    allow_extrapolation: bool = False,
    long_term_record: LongTermAgeingRecord | None = None,
) -> GradeStatement:
    """Add continuous temperatures, delta-Tc and the probability of each whole grade to a statement.

    Parameters
    ----------
    statement : GradeStatement
        As made by the judge.
    results : sequence of Result
        Those of its results that were judged.
    correlation : ErrorCorrelation
        What the errors of the results share.
    both_rules, allow_extrapolation : bool
        See `resile.workflows.judging.continuous.continuous_temperatures`.
    long_term_record : LongTermAgeingRecord or None
        How the long-term-aged binder was made: delta-Tc belongs to its hours and temperature.

    Returns
    -------
    GradeStatement
        With all verdicts as they were.
    """
    continuous = continuous_temperatures(
        results,
        statement.specification,
        correlation=correlation,
        both_rules=both_rules,
        allow_extrapolation=allow_extrapolation,
    )
    difference, note = difference_of(continuous, correlation, long_term_record)
    hours = long_term_record.duration_h if long_term_record and difference else None
    limits = load_published_limits("delta_tc") if difference else ()
    told = (*statement.findings, *continuous_findings(continuous, results))
    weight = {Severity.INVALID: 0, Severity.CAUTION: 1, Severity.NOTE: 2}
    return replace(
        statement,
        full_grades=tuple(
            replace(grade, probability=grade_probability(grade, correlation))
            for grade in statement.full_grades
        ),
        continuous=continuous,
        derived=derived_numbers(results),
        correlation=correlation,
        continuous_ends=continuous_ends(continuous, results, statement.specification),
        delta_tc=difference,
        delta_tc_note=note,
        delta_tc_ageing_h=hours,
        delta_tc_ageing_temperature_c=long_term_record.temperature_c
        if long_term_record and difference
        else None,
        delta_tc_limits=stand_to_limits(difference.difference_c if difference else None, hours, limits),
        findings=tuple(sorted(dict.fromkeys(told), key=lambda f: weight[f.severity])),
    )


def grade_probability(grade: FullGradeVerdict, correlation: ErrorCorrelation) -> WholeGradeProbability | None:
    """Give bounds of the probability that all requirements of a whole grade hold.

    Parameters
    ----------
    grade : FullGradeVerdict
        Judged.
    correlation : ErrorCorrelation
        What the errors share; without a number between requirements, bounds only.

    Returns
    -------
    WholeGradeProbability or None
        Of the requirements whose uncertainty is known, with the names of those whose is not; None where none
        is.

    Notes
    -----
    Each probability is the one of its verdict, degrees of freedom and both ends of a size included. Waived
    requirements do not count. The common factor harms a maximum where it moves a value up, and a minimum
    where it moves it down; a size with two ends (mass change) takes no part in it.
    """
    lines = [v for v in grade.verdicts if v.outcome is not Outcome.WAIVED]
    known = [v for v in lines if v.probability_of_conformity is not None]
    if not known:
        return None
    return probability_of_all(
        [v.probability_of_conformity or 0.0 for v in known],
        loadings=_loadings(known, correlation),
        missing=[v.requirement.name for v in lines if v.probability_of_conformity is None],
    )


def _loadings(known: Sequence[Verdict], correlation: ErrorCorrelation) -> list[float] | None:
    share = correlation.between_requirements
    if share is None:
        return None
    return [
        0.0
        if v.requirement.absolute
        else (1.0 if v.requirement.bound == "maximum" else -1.0)
        * correlation.direction_of(v.requirement.quantity)
        * math.sqrt(share)
        for v in known
    ]
