"""What must be said beside a grade statement: residue, ageing record, uncertainty, unchecked limits."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence

from resile.judge.grades.selection import near
from resile.judge.results.conditioning import findings_for_grade_temperature
from resile.judge.results.conformity import meets
from resile.judge.summaries.class_letter import NO_CLASS_WORDS, class_named
from resile.judge.wording import limit_words, number_words, property_words, temperature_words
from resile.records.ageing import AgeingRecord, LongTermAgeingRecord
from resile.records.determination import Condition, Result
from resile.records.finding import Finding, Severity, worst_severity
from resile.records.specification import DecisionRule, Specification
from resile.records.verdict import ClassVerdict, FullGradeVerdict, Outcome, Verdict


def statement_findings(
    results: Sequence[Result],
    judged: Sequence[ClassVerdict | FullGradeVerdict],
    specification: Specification,
    *,
    decision_rule: DecisionRule,
    ageing_record: AgeingRecord | None,
    long_term_record: LongTermAgeingRecord | None,
    ageing_record_expected: bool,
    reported_class: str,
    claimed_grade: str = "",
) -> tuple[Finding, ...]:
    """Collect the findings of a grade statement.

    Parameters
    ----------
    results : sequence of Result
        All results of the sample.
    judged : sequence of ClassVerdict or FullGradeVerdict
        Classes and whole grades.
    specification : Specification
        The rule set.
    decision_rule : DecisionRule
        The rule in force.
    ageing_record : AgeingRecord or None
        Short-term ageing record.
    long_term_record : LongTermAgeingRecord or None
        Long-term ageing record.
    ageing_record_expected : bool
        False where none is to be expected.
    reported_class : str
        Class as reported.
    claimed_grade : str
        Whole grade that was to be verified; empty where none was.

    Returns
    -------
    tuple of Finding
        The heaviest first.
    """
    verdicts = [v for c in judged for v in c.verdicts]
    classes = [c for c in judged if isinstance(c, ClassVerdict)]
    grades = [g for g in judged if isinstance(g, FullGradeVerdict)]
    findings = [
        *(ageing_record.findings if ageing_record else ()),
        *(long_term_record.findings if long_term_record else ()),
        *(_missing_ageing(results, ageing_record, long_term_record) if ageing_record_expected else ()),
        *findings_for_grade_temperature(grades, specification, long_term_record, claimed_grade),
        *_recovered(verdicts),
        *_other_temperatures(results, specification),
        *_straddling(judged),
        *_no_uncertainty(verdicts, decision_rule),
        *_no_raw_record(results),
        *_reported(classes, specification, reported_class),
        *_unchecked(specification),
    ]
    weight = {Severity.INVALID: 0, Severity.CAUTION: 1, Severity.NOTE: 2}
    return tuple(sorted(dict.fromkeys(findings), key=lambda f: weight[f.severity]))


def _missing_ageing(
    results: Sequence[Result], short_term: AgeingRecord | None, long_term: LongTermAgeingRecord | None
) -> list[Finding]:
    tested = {result.condition for result in results}
    found = []
    if short_term is None and Condition.SHORT_TERM_AGED in tested:
        found.append(
            Finding(
                code="ageing-record-missing",
                severity=Severity.CAUTION,
                message="No short-term ageing record was given: "
                "that the residue is the right one rests on the label alone.",
                rule="a grade statement on short-term-aged binder needs its ageing record",
                source="TP 70-12, note 1: the link with performance was developed for RTFO residue only",
                advice="Add the ageing record (bottle masses, temperature, time, air flow).",
            )
        )
    if long_term is None and Condition.LONG_TERM_AGED in tested:
        found.append(
            Finding(
                code="long-term-ageing-record-missing",
                severity=Severity.CAUTION,
                message="No long-term ageing record was given: that the binder was aged at the temperature "
                "of its grade, for how long and under which pressure, rests on the label alone.",
                rule="a grade statement on long-term-aged binder needs its ageing record",
                source="AASHTO MP1, Table 1, read: the temperature of pressure ageing goes by the grade",
                advice="Add the record of the pressure vessel (temperature, pressure, time, pans, feed).",
            )
        )
    return found


def _recovered(verdicts: Sequence[Verdict]) -> list[Finding]:
    names = dict.fromkeys(
        property_words(v.requirement.quantity)
        for v in verdicts
        if v.result is not None and v.result.condition is not v.requirement.condition
    )
    if not names:
        return []
    return [
        Finding(
            code="recovered-binder-judged-as-short-term-aged",
            severity=Severity.CAUTION,
            message=f"Recovered binder was judged in place of short-term-aged binder: {', '.join(names)}.",
            rule="limits were written for RTFO residue",
            source="practice of the FHWA Turner-Fairbank rutting data set (2025), which judges recovered "
            "binder with the 2.20 kPa limit and the creep-recovery limits without RTFO",
            advice="Read the class as a comparison, not as a grade for delivery.",
        )
    ]


def _other_temperatures(results: Sequence[Result], specification: Specification) -> list[Finding]:
    quantities = {r.quantity for r in specification.requirements if r.temperature == "high"}
    tolerance = specification.temperature_tolerance_c
    other = sorted(
        {
            r.temperature_c
            for r in results
            if r.quantity in quantities
            and r.temperature_c is not None
            and not any(near(r.temperature_c, step, tolerance) for step in specification.high_temperatures_c)
        }
    )
    if not other:
        return []
    steps = ", ".join(f"{step:g}" for step in specification.high_temperatures_c)
    return [
        Finding(
            code="temperature-is-no-grade-step",
            severity=Severity.CAUTION,
            message=f"Tested at {', '.join(dict.fromkeys(temperature_words(t) for t in other))}, "
            f"which is no step of the specification ({steps} °C): not judged.",
            rule=f"a test temperature lies within {tolerance:g} °C of a grade step",
            value=other[0],
            unit="°C",
            source=f"{specification.document}, edition {specification.edition}",
            advice="Test at a grade step; values at different temperatures cannot be compared.",
        )
    ]


def _straddling(judged: Sequence[ClassVerdict | FullGradeVerdict]) -> list[Finding]:
    """Name determinations that lie on both sides of a limit: no test method says which of them counts."""
    found: dict[tuple[str, float], Finding] = {}
    for service in judged:
        for verdict in service.verdicts:
            values = _sizes(verdict)
            sides = {meets(value, verdict.limit, verdict.requirement.bound) for value in values}
            if len(sides) < 2 or verdict.outcome is Outcome.WAIVED:
                continue
            quantity, unit = verdict.requirement.quantity, verdict.requirement.unit
            told = ", ".join(number_words(value, verdict.limit) for value in values)
            found.setdefault(
                (quantity, verdict.limit),
                Finding(
                    code="replicates-straddle-limit",
                    severity=Severity.CAUTION,
                    message=f"{property_words(quantity)}: the determinations {told} {unit} "
                    f"lie on both sides of the limit {limit_words(verdict.limit)} {unit} of {service.label}.",
                    rule="determinations that straddle a limit are judged by the retest rule declared before "
                    "testing",
                    limit=verdict.limit,
                    unit=unit,
                    source="the test method has no rule for it (Binder Technician News, summer 2014)",
                    advice="Follow the declared retest rule; all determinations are shown.",
                ),
            )
    return list(found.values())


def _sizes(verdict: Verdict) -> list[float]:
    """Give the determinations that are not invalid, without sign where the limit holds for the size."""
    if verdict.result is None:
        return []
    values = [
        one.value
        for one in verdict.result.determinations
        if one.value is not None and worst_severity(one.findings) is not Severity.INVALID
    ]
    return [abs(value) for value in values] if verdict.requirement.absolute else values


def _no_uncertainty(verdicts: Sequence[Verdict], rule: DecisionRule) -> list[Finding]:
    if rule.guard_factor == 0.0:
        return []
    names = dict.fromkeys(
        property_words(v.requirement.quantity)
        for v in verdicts
        if v.margin is not None and v.result is not None and v.result.uncertainty is None
    )
    if not names:
        return []
    return [
        Finding(
            code="uncertainty-not-stated",
            severity=Severity.CAUTION,
            message="The decision rule asks for an uncertainty, but none can be stated for: "
            f"{', '.join(names)}. These were compared as they stand.",
            rule=rule.text,
            source=rule.source,
            advice="State an uncertainty from replicates or a budget, "
            "or agree on simple acceptance for these rows.",
        )
    ]


def _no_raw_record(results: Sequence[Result]) -> list[Finding]:
    typed = [r for r in results if any(not d.raw for d in r.determinations)]
    if not typed:
        return []
    return [
        Finding(
            code="no-raw-record",
            severity=Severity.NOTE,
            message=f"{len(typed)} of {len(results)} results were typed or supplied without a raw record.",
            rule="a number hangs on the record it was measured in",
            value=float(len(typed)),
            source="own rule",
            advice="Ask for the raw record where the number decides.",
        )
    ]


def _reported(classes: Sequence[ClassVerdict], specification: Specification, reported: str) -> list[Finding]:
    """Compare the reported class with the most severe one satisfied at each temperature."""
    if not reported or not classes:
        return []
    best: dict[float, str] = {}
    for verdict in classes:
        if verdict.satisfied:
            best.setdefault(verdict.temperature_c, verdict.service_class.name)
    found = [best.get(t, "") for t in dict.fromkeys(c.temperature_c for c in classes)]
    if _is_found(reported, best, found, specification):
        return []
    shown = ", ".join(c.label for c in classes if c.satisfied) or "no class"
    return [
        Finding(
            code="reported-class-differs",
            severity=Severity.CAUTION,
            message=f"The class reported is '{reported}'; satisfied here: {shown}.",
            rule="the reported class is the most severe one satisfied under the rules in force",
            source="comparison with the report",
            advice="Compare edition, decision rule and rounding with those of the report.",
        )
    ]


def _is_found(
    reported: str, best: Mapping[float, str], found: Sequence[str], specification: Specification
) -> bool:
    """Tell whether a reported word (``V``, ``64V``, ``PG 64-22``, ``none``) is among what was found."""
    if reported.strip().casefold() in NO_CLASS_WORDS:
        return "" in found if specification.classes[0].name else not best
    number = re.search(r"(?<![-\d])\d{2}(?!\d)", reported)
    temperature = float(number.group()) if number else None
    if not specification.classes[0].name:  # a grade is a temperature alone
        return temperature is not None and temperature == max(best, default=None)
    named = class_named(reported, specification)
    if named is None:
        return False
    return named.name in found if temperature is None else best.get(temperature) == named.name


def _unchecked(specification: Specification) -> list[Finding]:
    if specification.checked:
        return []
    return [
        Finding(
            code="limits-unchecked",
            severity=Severity.NOTE,
            message=f"The limits of '{specification.identifier}' have not been checked against the document.",
            rule="a file of limits names who compared it with the document",
            source=specification.transcribed,
            advice="Compare the limits with the edition your contract names; the contract owns the limit.",
        )
    ]
