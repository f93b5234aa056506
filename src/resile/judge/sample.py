"""Every class a sample satisfies at every tested temperature, and what stays open."""

from __future__ import annotations

from collections.abc import Sequence

from resile.judge.next_tests import next_tests
from resile.judge.requirement import judge_requirement
from resile.judge.sample_findings import statement_findings
from resile.judge.selection import asked_temperature, limit_for, near, select_result, waiver_for
from resile.records.ageing import AgeingRecord
from resile.records.determination import Condition, Result
from resile.records.finding import Severity, worst_severity
from resile.records.specification import DecisionRule, RetestRule, ServiceClass, Specification
from resile.records.verdict import ClassVerdict, GradeStatement, Outcome, Verdict

_FAILED = (Outcome.FAIL, Outcome.CONDITIONAL_FAIL)


def judge_class(
    results: Sequence[Result],
    *,
    temperature_c: float,
    service_class: ServiceClass,
    specification: Specification,
    rule: DecisionRule,
) -> ClassVerdict:
    """Judge one class at one climatic high temperature.

    Parameters
    ----------
    results : sequence of Result
        All results of one sample.
    temperature_c : float
        Climatic high temperature [°C].
    service_class : ServiceClass
        Class of the specification.
    specification : Specification
        The rule set.
    rule : DecisionRule
        Agreed before the test.

    Returns
    -------
    ClassVerdict
        Satisfied where the deciding requirements pass and nothing tested fails; a conditional pass counts
        only where the rule says so.
    """
    verdicts: list[Verdict] = []
    for requirement in specification.requirements:
        limit = limit_for(requirement, service_class.name)
        if limit is None:
            continue
        selection = select_result(
            requirement, results, high_temperature_c=temperature_c, specification=specification
        )
        waived = waiver_for(
            requirement,
            results,
            service_class=service_class.name,
            high_temperature_c=temperature_c,
            specification=specification,
        )
        verdicts.append(
            judge_requirement(
                requirement,
                selection.result,
                limit=limit,
                rule=rule,
                rounding=specification.rounding,
                test_temperature_c=asked_temperature(requirement, temperature_c),
                absent=selection.absent,
                waived=waived,
            )
        )
    satisfied = _is_satisfied(verdicts, rule)
    return ClassVerdict(
        label=specification.label.format(temperature=f"{temperature_c:g}", service_class=service_class.name),
        temperature_c=temperature_c,
        service_class=service_class,
        verdicts=tuple(verdicts),
        satisfied=satisfied,
        complete=satisfied and all(v.outcome is not Outcome.NOT_TESTED for v in verdicts),
        limiting=_limiting(verdicts),
    )


def _is_satisfied(verdicts: Sequence[Verdict], rule: DecisionRule) -> bool:
    good = {Outcome.PASS, Outcome.WAIVED}
    if rule.conditional_pass_counts:
        good.add(Outcome.CONDITIONAL_PASS)
    deciding = [v for v in verdicts if v.requirement.decides_class]
    tested = [v for v in verdicts if v.outcome is not Outcome.NOT_TESTED]
    return bool(deciding) and all(v.outcome in good for v in (*deciding, *tested))


def _limiting(verdicts: Sequence[Verdict]) -> str:
    """Name the requirement that fails worst, else the one with the smallest margin.

    Margins are ranked in repeatability limits where all have one, else in parts of the limit, so that no
    property escapes because it has no published precision.
    """
    judged = [v for v in verdicts if v.margin is not None]
    failed = [v for v in judged if v.outcome in _FAILED]
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


def judge_sample(
    sample: str,
    results: Sequence[Result],
    specification: Specification,
    *,
    decision_rule: DecisionRule,
    retest_rule: RetestRule,
    ageing_record: AgeingRecord | None = None,
    ageing_record_expected: bool = True,
    reported_class: str = "",
) -> GradeStatement:
    """State every class a sample satisfies, with what fails, what was not tested and what to test next.

    Parameters
    ----------
    sample : str
        Name of the sample; results of other samples are left out.
    results : sequence of Result
        As made by `resile.judge.results.results_from_determinations`.
    specification : Specification
        The rule set.
    decision_rule : DecisionRule
        How an uncertainty enters; chosen before the test.
    retest_rule : RetestRule
        Which determinations count; the results were made by it, and the statement names it.
    ageing_record : AgeingRecord or None
        Short-term ageing record; an invalid one keeps the results on short-term-aged binder out.
    ageing_record_expected : bool
        False where the user declares that no ageing record is to be expected.
    reported_class : str
        Class as the laboratory reported it; empty where none.

    Returns
    -------
    GradeStatement
        Hottest temperature and most severe class first.
    """
    own = tuple(r for r in results if r.sample == sample)
    judged = _without_badly_aged(own, ageing_record)
    temperatures = _tested_temperatures(judged, specification)
    classes = tuple(
        judge_class(
            judged,
            temperature_c=temperature,
            service_class=service_class,
            specification=specification,
            rule=decision_rule,
        )
        for temperature in sorted(temperatures, reverse=True)
        for service_class in reversed(specification.classes)
    )
    grades = tuple(c.label for c in classes if c.satisfied)
    return GradeStatement(
        sample=sample,
        specification=specification,
        decision_rule=decision_rule,
        retest_rule=retest_rule,
        results=own,
        classes=classes,
        grades=grades,
        findings=statement_findings(
            own,
            classes,
            specification,
            decision_rule=decision_rule,
            ageing_record=ageing_record,
            ageing_record_expected=ageing_record_expected,
            reported_class=reported_class,
        ),
        next_tests=next_tests(classes, specification),
        reported_class=reported_class,
    )


def _without_badly_aged(results: tuple[Result, ...], record: AgeingRecord | None) -> tuple[Result, ...]:
    if record is None or worst_severity(record.findings) is not Severity.INVALID:
        return results
    return tuple(r for r in results if r.condition is not Condition.SHORT_TERM_AGED)


def _tested_temperatures(results: Sequence[Result], specification: Specification) -> list[float]:
    """Give the grade steps at which at least one requirement at the high temperature has a result."""
    quantities = {r.quantity for r in specification.requirements if r.temperature == "high"}
    tested = [r.temperature_c for r in results if r.quantity in quantities and r.value is not None]
    tolerance = specification.temperature_tolerance_c
    return [
        step for step in specification.high_temperatures_c if any(near(t, step, tolerance) for t in tested)
    ]
