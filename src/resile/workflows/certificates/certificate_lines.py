"""The lines of a certificate against the requirements of its grade and our own results."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from resile.compute.statistics.uncertainty.proof import two_laboratory_proof_distance
from resile.compute.statistics.uncertainty.repeatability import laboratory_critical_difference
from resile.judge.certificates.certificate_lines import find_line, limit_differs, measure_line
from resile.judge.findings import judge_measures
from resile.judge.grades.grade_claim import GradeClaim
from resile.judge.grades.grade_lines import judge_lines
from resile.judge.grades.selection import belongs_to_whole_grade
from resile.judge.results.conformity import margin_to
from resile.judge.results.precision import precision_at
from resile.records.certificate import CheckedLine, LaboratoryComparison, SupplierCertificate
from resile.records.determination import Result
from resile.records.finding import FindingRule
from resile.records.verdict import Verdict
from resile.workflows.judging.grading import Yardstick


def verdicts_of(results: Sequence[Result], claim: GradeClaim, agreed: Yardstick) -> tuple[Verdict, ...]:
    """Judge results line by line at the temperatures of a claimed grade."""
    specification = agreed.specification
    whole = claim.low_temperature_c is not None
    return judge_lines(
        results,
        [r for r in specification.requirements if whole or not belongs_to_whole_grade(r)],
        high_temperature_c=claim.high_temperature_c,
        service_class=claim.service_class,
        specification=specification,
        rule=agreed.decision_rule,
        low_temperature_c=claim.low_temperature_c,
    )


def checked_lines(
    certificate: SupplierCertificate,
    results: Sequence[Result],
    own_results: Sequence[Result],
    claim: GradeClaim,
    agreed: Yardstick,
    rules: Sequence[FindingRule],
) -> tuple[CheckedLine, ...]:
    """Check every requirement of the grade."""
    own_verdicts = verdicts_of(own_results, claim, agreed) if own_results else ()
    checked = []
    for place, verdict in enumerate(verdicts_of(results, claim, agreed)):
        line = find_line(verdict, certificate.lines)
        own = own_verdicts[place] if own_verdicts else None
        comparison = _compared(verdict, own, agreed)
        measures = measure_line(verdict, line, own, comparison, agreed.specification)
        odd = judge_measures(measures, rules)
        checked.append(CheckedLine(verdict, line, own, comparison, limit_differs(verdict, line), odd))
    return tuple(checked)


def _compared(verdict: Verdict, own: Verdict | None, agreed: Yardstick) -> LaboratoryComparison | None:
    """Compare both laboratories where both have a value."""
    if own is None or verdict.result is None or own.result is None:
        return None
    first, second = verdict.result.value, own.result.value
    if first is None or second is None:
        return None
    requirement = verdict.requirement
    mean = (first + second) / 2.0
    counts = (max(1, sum(verdict.result.counted)), max(1, sum(own.result.counted)))
    plain = LaboratoryComparison(first - second, mean, *counts)
    level = precision_at(mean, requirement.quantity, requirement.condition, agreed.precision)
    largest, smallest = level.reproducibility_limit, level.repeatability_limit
    if largest is None:
        return replace(plain, note=level.note)
    # Without a published repeatability nothing is known to shrink with more determinations.
    within = 0.0 if smallest is None else min(smallest, largest)
    allowed = float(laboratory_critical_difference(largest, within, *counts))
    size = abs(mean) if requirement.absolute else mean
    return replace(
        plain,
        allowed_difference=allowed,
        agrees=abs(first - second) <= allowed * (1.0 + 1e-9),
        reproducibility_limit=largest,
        repeatability_limit=smallest,
        proof_distance=float(two_laboratory_proof_distance(largest, within, *counts)),
        proof_rule=_proof_rule(counts, known=smallest is not None),
        mean_margin=margin_to(size, verdict.limit, requirement.bound),
        note=level.note,
    )


def _proof_rule(counts: tuple[int, int], *, known: bool) -> str:
    """Say how the distance at which a mean of two laboratories proves something was found."""
    if counts == (1, 1):
        return "0.42 R, one determination each"
    first, second = counts
    if not known:
        return f"0.42 R: no repeatability is published, so k = {first} and {second} change nothing"
    return f"from R and r, k = {first} and {second}"
