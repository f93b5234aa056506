"""What the judge's statement gains from computing: continuous temperatures and whole-grade probabilities."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from resile.records.determination import Result
from resile.records.finding import Severity
from resile.records.verdict import FullGradeVerdict, GradeStatement, Outcome
from resile.records.whole_grade import WholeGradeProbability
from resile.workflows.continuous import (
    continuous_ends,
    continuous_findings,
    continuous_temperatures,
    difference_of,
)


def complete_statement(
    statement: GradeStatement,
    results: Sequence[Result],
    *,
    both_rules: bool = False,
    allow_extrapolation: bool = False,
) -> GradeStatement:
    """Add continuous temperatures, delta-Tc and the probability of each whole grade to a statement.

    Parameters
    ----------
    statement : GradeStatement
        As made by the judge.
    results : sequence of Result
        Those of its results that were judged.
    both_rules, allow_extrapolation : bool
        See `resile.workflows.continuous.continuous_temperatures`.

    Returns
    -------
    GradeStatement
        With all verdicts as they were.
    """
    continuous = continuous_temperatures(
        results,
        statement.specification,
        both_rules=both_rules,
        allow_extrapolation=allow_extrapolation,
    )
    difference, note = difference_of(continuous)
    told = (*statement.findings, *continuous_findings(continuous, results))
    weight = {Severity.INVALID: 0, Severity.CAUTION: 1, Severity.NOTE: 2}
    return replace(
        statement,
        full_grades=tuple(
            replace(grade, probability=grade_probability(grade)) for grade in statement.full_grades
        ),
        continuous=continuous,
        continuous_ends=continuous_ends(continuous, results, statement.specification),
        delta_tc=difference,
        delta_tc_note=note,
        findings=tuple(sorted(dict.fromkeys(told), key=lambda f: weight[f.severity])),
    )


def grade_probability(grade: FullGradeVerdict) -> WholeGradeProbability | None:
    """Give bounds of the probability that all requirements of a whole grade hold.

    Parameters
    ----------
    grade : FullGradeVerdict
        Judged.

    Returns
    -------
    WholeGradeProbability or None
        Bounds, and the product for independent errors as such: how the errors hang together is not known.
        None where a requirement was not tested or its uncertainty cannot be stated.

    Notes
    -----
    Normal and log-normal errors; degrees of freedom do not enter. Waived requirements do not count.
    """
    from resile.compute.statistics.whole_grade import whole_grade_probability

    lines = [v for v in grade.verdicts if v.outcome is not Outcome.WAIVED]
    known = [
        (abs(v.result.value) if v.requirement.absolute else v.result.value, v, v.result.uncertainty)
        for v in lines
        if v.result is not None and v.result.value is not None and v.result.uncertainty is not None
    ]
    if not lines or len(known) < len(lines):
        return None
    return whole_grade_probability(
        [value for value, _, _ in known],
        [v.limit for _, v, _ in known],
        [uncertainty.standard for _, _, uncertainty in known],
        bounds=[v.requirement.bound for _, v, _ in known],
        distributions=[uncertainty.distribution for _, _, uncertainty in known],
    )
