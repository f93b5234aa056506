"""The engine that turns measures into findings."""

from resile.judge.findings import judge_measures
from resile.records.finding import FindingCondition, FindingRule, Measure, Severity


def rule(code: str, *conditions: FindingCondition, severity: Severity = Severity.CAUTION) -> FindingRule:
    return FindingRule(
        code, severity, conditions, "{value:.1f} over {limit:g} {where}; {other:.0f}", "r", "s", "a"
    )


MEASURES = (Measure("one", 1.5, "%", "here"), Measure("other", 7.0))


def test_a_finding_carries_value_limit_unit_and_words_of_its_first_condition() -> None:
    (found,) = judge_measures(MEASURES, [rule("c", FindingCondition("one", above=1.0))])
    assert found.message == "1.5 over 1 here; 7"
    assert (found.value, found.limit, found.unit, found.rule, found.source, found.advice) == (
        1.5,
        1.0,
        "%",
        "r",
        "s",
        "a",
    )


def test_every_condition_must_hold_and_a_bound_itself_does_not() -> None:
    both = rule("c", FindingCondition("one", above=1.0), FindingCondition("other", below=7.0))
    assert judge_measures(MEASURES, [both]) == ()
    assert judge_measures(MEASURES, [rule("c", FindingCondition("one", above=1.5))]) == ()
    assert len(judge_measures(MEASURES, [rule("c", FindingCondition("one", unlike=1.0))])) == 1


def test_a_missing_measure_keeps_its_rule_silent() -> None:
    assert judge_measures(MEASURES, [rule("c", FindingCondition("absent", below=9.0))]) == ()


def test_the_heaviest_finding_comes_first() -> None:
    rules = [
        rule("light", FindingCondition("one", above=0.0), severity=Severity.NOTE),
        rule("heavy", FindingCondition("one", above=0.0), severity=Severity.INVALID),
    ]
    assert [finding.code for finding in judge_measures(MEASURES, rules)] == ["heavy", "light"]
