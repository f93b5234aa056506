"""Classes of whole samples: real published rows, invented tanks, and laws."""

import csv
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from resile.judge.grades.sample import judge_sample
from resile.judge.results.results import reported_class, results_from_determinations
from resile.records.ageing import AgeingRecord
from resile.records.determination import Condition, Determination, Result
from resile.records.finding import Finding, Severity
from resile.records.specification import Specification
from resile.records.verdict import ClassVerdict, GradeStatement, Outcome
from resile.specifications.load import (
    load_all_precision,
    load_decision_rule,
    load_retest_rule,
    load_specification,
)
from resile.workflows.judging.grading import agree, grade_sample
from verdict_bench import determination, result

SUMMARY = (
    Path(__file__).resolve().parents[2]
    / ".."
    / "shared"
    / "data"
    / "fhwa_ptf_rutting_mit"
    / "mscr_summary.csv"
)
M332 = load_specification("m332-2014")
MP19 = load_specification("mp19-2010")
M320 = load_specification("m320")
AGENCY = load_specification("template-agency")
RULES = {
    name: load_decision_rule(name)
    for name in ("simple", "guard-band", "four-state", "four-state-conditional")
}
MEAN = load_retest_rule("mean-of-all")
PRECISION = load_all_precision()


def statement(
    *results: Result, specification: Specification = M332, rule: str = "simple", **more: object
) -> GradeStatement:
    return judge_sample(
        "tank",
        results,
        specification,
        decision_rule=RULES[rule],
        retest_rule=MEAN,
        **more,  # type: ignore[arg-type]
    )


def class_of(found: GradeStatement, label: str) -> ClassVerdict:
    return next(c for c in found.classes if c.label == label)


def codes(found: GradeStatement) -> set[str]:
    return {f.code for f in found.findings}


def complete_v() -> list[Result]:
    return [
        result(0.8),
        result(20.0, "jnr_difference_percent"),
        result(-0.3, "mass_change_percent", temperature_c=None),
        result(1.4, "rutting_parameter", condition=Condition.ORIGINAL),
        result(1.1, "rotational_viscosity", temperature_c=135.0, condition=Condition.ORIGINAL),
        result(290.0, "flash_point", temperature_c=None, condition=Condition.ORIGINAL),
    ]


def fhwa_rows() -> list[dict[str, str]]:
    if not SUMMARY.exists():
        pytest.skip("the shared data folder is absent")
    with SUMMARY.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def fhwa_determinations(row: dict[str, str]) -> list[Determination]:
    aged = row["lab_ageing"] == "RTFO"
    condition = Condition.SHORT_TERM_AGED if aged else Condition.RECOVERED
    columns = (
        ("jnr_0.1", "Jnr_0p1_perkPa", 1.0),
        ("jnr_3.2", "Jnr_3p2_perkPa", 1.0),
        ("percent_recovery_0.1", "R_0p1_fraction", 100.0),
        ("percent_recovery_3.2", "R_3p2_fraction", 100.0),
        ("jnr_difference_percent", "Jnr_diff_fraction", 100.0),
    )
    found = [
        determination(name, row[column], value=factor * float(row[column]), condition=condition)
        for name, column, factor in columns
    ]
    return [*found, determination("traffic_class", row["reported_traffic_letter"], condition=condition)]


def test_every_published_letter_of_the_open_data_is_found_again() -> None:
    """FHWA Turner-Fairbank, Pub_TRB_RuttingBinderPTF, commit a1dea6f, sheet MSCR: 30 specimens [read]."""
    rows = fhwa_rows()
    assert len(rows) == 30
    for row in rows:
        results = results_from_determinations(
            fhwa_determinations(row), PRECISION, MEAN, basis="reproducibility"
        )
        letter = reported_class(fhwa_determinations(row), "tank")
        found = statement(*results, reported_class=letter)
        best = found.grades[0] if found.grades else "FAILED"
        assert best.removeprefix("64") == letter, row
        assert "reported-class-differs" not in codes(found)
        recovered = "recovered-binder-judged-as-short-term-aged" in codes(found)
        assert recovered is (row["lab_ageing"] != "RTFO")


# K. R. Hobson (Oklahoma DOT), MSCR results in Oklahoma, SEAUPG webinar, 25 August 2011 [read]:
# Jnr3.2, Jnr,diff, grade under S <= 4.0; the last column is the class under S <= 4.5 [derived].
OKLAHOMA = [
    (2.39, 13.6, "S", "S"),
    (3.86, 1.5, "S", "S"),
    (1.18, 41.8, "H", "H"),
    (4.72, 2.6, "none", "none"),
    (4.18, 9.4, "none", "S"),
    (3.03, 5.6, "S", "S"),
    (0.78, 45.0, "V", "V"),
    (0.21, 6.1, "E", "E"),
    (0.09, -12.0, "E", "E"),
]


@pytest.mark.parametrize(("jnr", "difference", "older", "later"), OKLAHOMA)
def test_the_oklahoma_rows_carry_their_grade_under_each_edition(
    jnr: float, difference: float, older: str, later: str
) -> None:
    rows = [result(jnr), result(difference, "jnr_difference_percent")]
    for specification, expected in ((MP19, older), (M332, later)):
        found = statement(*rows, specification=specification, reported_class=expected)
        best = found.grades[0].removeprefix("64") if found.grades else "none"
        assert best == expected
        assert "reported-class-differs" not in codes(found)


def test_two_specifications_give_two_answers() -> None:
    """Oklahoma 2011, A8 [read, pairing derived]: 2.22 kPa passes the 2.20 row; Jnr3.2 4.72 gets no letter."""
    rows = [result(4.72), result(2.22, "rutting_parameter")]
    assert statement(*rows).grades == ()
    aged = next(
        v for v in statement(*rows, specification=M320).classes[0].verdicts if "aged" in v.requirement.name
    )
    assert aged.outcome is Outcome.PASS


def test_every_class_the_binder_satisfies_is_listed_most_severe_first() -> None:
    found = statement(*complete_v())
    assert found.grades == ("64V", "64H", "64S")
    assert [c.label for c in found.classes] == ["64E", "64V", "64H", "64S"]
    assert class_of(found, "64V").complete
    assert class_of(found, "64E").limiting == "jnr_3.2_maximum"


def test_all_tested_temperatures_are_judged_the_hottest_first() -> None:
    found = statement(result(0.45, temperature_c=58.0), result(0.98), result(2.1, temperature_c=69.98))
    assert found.grades == ("70S", "64V", "64H", "64S", "58E", "58V", "58H", "58S")


def test_what_was_not_tested_leaves_a_class_satisfied_but_not_complete() -> None:
    found = class_of(statement(result(0.8)), "64V")
    assert (found.satisfied, found.complete) == (True, False)
    assert {v.requirement.name for v in found.not_tested} == {
        "flash_point_minimum",
        "rotational_viscosity_maximum",
        "original_rutting_parameter_minimum",
        "mass_change_maximum",
        "jnr_difference_maximum",
    }


def test_without_the_deciding_property_no_class_is_satisfied() -> None:
    rows = [r for r in complete_v() if r.quantity != "jnr_3.2"]
    found = statement(*rows)
    assert found.grades == ()
    assert found.next_tests[0].startswith("Test the non-recoverable creep compliance at 3.2 kPa at 64 °C")


def test_one_failing_row_takes_the_class() -> None:
    rows = [r for r in complete_v() if r.quantity != "flash_point"]
    found = statement(*rows, result(220.0, "flash_point", temperature_c=None, condition=Condition.ORIGINAL))
    assert found.grades == ()
    assert class_of(found, "64V").limiting == "flash_point_minimum"


def test_an_invalid_result_is_kept_out_of_the_verdict() -> None:
    invalid = Finding("stress-off-nominal", Severity.INVALID, "The stress was wrong.")
    found = statement(result(0.4, findings=(invalid,)))
    assert found.grades == ()
    verdict = next(v for v in found.classes[0].verdicts if v.requirement.quantity == "jnr_3.2")
    assert verdict.outcome is Outcome.NOT_TESTED
    assert "stress-off-nominal" in verdict.reason
    assert found.results[0].value == 0.4


def test_another_residue_is_not_taken_for_the_one_asked_for() -> None:
    found = statement(result(0.8), result(1.2, "rutting_parameter"))
    verdict = next(v for v in found.classes[0].verdicts if v.requirement.name.startswith("original"))
    assert verdict.outcome is Outcome.NOT_TESTED
    assert "was given for short-term-aged binder; original binder is asked for" in verdict.reason


def test_an_unknown_residue_is_asked_about() -> None:
    found = statement(result(0.8, condition=Condition.UNKNOWN))
    verdict = next(v for v in found.classes[0].verdicts if v.requirement.quantity == "jnr_3.2")
    assert "without the state of the binder" in verdict.reason
    assert found.grades == ()


def test_a_short_term_aged_result_goes_before_a_recovered_one() -> None:
    found = statement(result(0.2, condition=Condition.RECOVERED), result(0.8))
    assert found.grades[0] == "64V"
    assert "recovered-binder-judged-as-short-term-aged" not in codes(found)


def test_a_missing_ageing_record_is_told_unless_none_is_expected() -> None:
    assert "ageing-record-missing" in codes(statement(result(0.8)))
    assert "ageing-record-missing" not in codes(statement(result(0.8), ageing_record_expected=False))
    assert "ageing-record-missing" not in codes(
        statement(result(0.8), ageing_record=AgeingRecord("tank", "t240"))
    )


def test_a_badly_aged_residue_gets_no_class() -> None:
    wrong = Finding("ageing-duration-out-of-tolerance", Severity.INVALID, "60 min in place of 85.")
    found = statement(result(0.8), ageing_record=AgeingRecord("tank", "t240", findings=(wrong,)))
    assert found.grades == ()
    assert wrong in found.findings


def test_a_difference_above_the_limit_takes_every_class_of_the_2014_edition() -> None:
    rows = [result(0.2), result(90.0, "jnr_difference_percent")]
    assert statement(*rows).grades == ()
    later = statement(*rows, specification=load_specification("m332-2020"))
    assert later.grades == ("64E",)
    verdict = class_of(later, "64E").verdicts[-1]
    assert verdict.outcome is Outcome.WAIVED
    assert "not applied to class E" in verdict.reason


def test_a_waiver_by_value_is_told_with_that_value() -> None:
    """Iowa DOT, Standard Specifications 4137, note E [read]: waived where Jnr3.2 is below 0.5."""
    found = statement(result(0.2), result(90.0, "jnr_difference_percent"), specification=AGENCY)
    verdict = next(v for v in found.classes[0].verdicts if v.requirement.quantity == "jnr_difference_percent")
    assert verdict.outcome is Outcome.WAIVED
    assert "Jnr3.2 of 0.2 is below 0.5" in verdict.reason
    assert found.grades[0] == "64-severe"


def test_a_conditional_pass_carries_a_class_only_where_the_rule_says_so() -> None:
    near = result(0.46, standard=0.064)
    assert statement(near, rule="four-state").grades == ("64V", "64H", "64S")
    assert statement(near, rule="four-state-conditional").grades == ("64E", "64V", "64H", "64S")


def test_a_rule_that_asks_for_an_uncertainty_says_where_there_is_none() -> None:
    assert "uncertainty-not-stated" in codes(statement(result(0.8), rule="guard-band"))
    assert "uncertainty-not-stated" not in codes(statement(result(0.8)))


def test_a_temperature_between_grade_steps_is_not_judged_and_says_so() -> None:
    found = statement(result(0.8, temperature_c=60.0))
    assert found.classes == ()
    assert "temperature-is-no-grade-step" in codes(found)
    assert found.next_tests == ("No result at a grade step: test at one of 46, 52, 58, 64, 70, 76, 82 °C.",)


def test_unchecked_limits_and_missing_raw_records_are_told_on_every_statement() -> None:
    typed = replace(result(0.8), determinations=(determination("jnr_3.2", "0.8"),))
    assert {"limits-unchecked", "no-raw-record"} <= codes(statement(typed))


def test_a_reported_class_that_is_not_ours_is_told() -> None:
    assert "reported-class-differs" in codes(statement(result(0.8), reported_class="E"))
    assert "reported-class-differs" in codes(statement(result(0.8), reported_class="FAILED"))


def test_a_reported_class_may_be_a_letter_or_a_whole_label() -> None:
    for word in ("V", "64V", "PG 64V-22", "64 V"):
        assert "reported-class-differs" not in codes(statement(result(0.8), reported_class=word)), word
    for word in ("58V", "64H", "64E-22", "V, S"):
        assert "reported-class-differs" in codes(statement(result(0.8), reported_class=word)), word


def test_a_reported_performance_grade_is_compared_by_its_temperature() -> None:
    rows = [
        result(1.16, "rutting_parameter", condition=Condition.ORIGINAL),
        result(2.79, "rutting_parameter"),
    ]
    for word, differs in (("PG 64-22", False), ("64-22", False), ("PG 70-22", True), ("none", True)):
        found = statement(*rows, specification=M320, reported_class=word)
        assert ("reported-class-differs" in codes(found)) is differs, word


def test_the_next_test_is_a_replicate_where_a_class_is_missed_by_less_than_a_repeatability() -> None:
    """FHWA lane 10 tank [read]: 2.0105 against 2.0 is 0.03 of d2s 16 %."""
    found = statement(result(2.0105, repeatability=0.057 * 2.0105))
    assert found.next_tests[0].startswith("Repeat the non-recoverable creep compliance at 3.2 kPa at 64 °C")
    assert "64H fails by only 0.0105 1/kPa, 0.03 of one repeatability limit" in found.next_tests[0]


def test_the_next_test_is_hotter_where_the_most_severe_class_passes_and_cooler_where_none_does() -> None:
    assert any(t.startswith("Test at 70 °C") for t in statement(result(0.2)).next_tests)
    assert any(t.startswith("Test at 58 °C") for t in statement(result(9.0)).next_tests)
    assert not any(t.startswith("Test at") for t in statement(result(0.8)).next_tests)


def test_a_complete_sample_far_from_every_limit_needs_no_test() -> None:
    rows = [replace(r, repeatability=0.01) for r in complete_v()]
    assert statement(*rows).next_tests == ()


def test_a_performance_grade_has_one_class_a_temperature() -> None:
    rows = [
        result(1.16, "rutting_parameter", condition=Condition.ORIGINAL),
        result(2.79, "rutting_parameter"),
        result(0.55, "rutting_parameter", condition=Condition.ORIGINAL, temperature_c=70.01),
        result(1.25, "rutting_parameter", temperature_c=70.0),
    ]
    # FHWA Turner-Fairbank, sheet HTPG, lane 3 tank replicate 1 [read]; published grade temperature 65.2 °C
    assert statement(*rows, specification=M320).grades == ("PG 64",)


def test_results_of_other_samples_are_left_out() -> None:
    assert statement(result(0.2, sample="other"), result(0.8)).grades[0] == "64V"


@given(
    st.floats(0.01, 10.0),
    st.floats(0.3, 1.0),
    st.floats(-20.0, 120.0),
    st.sampled_from(sorted(RULES)),
    st.sampled_from([M332, MP19, AGENCY]),
)
def test_a_stiffer_binder_never_loses_a_class(
    jnr: float, share: float, difference: float, rule: str, specification: Specification
) -> None:
    """Lower Jnr, the same difference and the same relative uncertainty."""
    both = [
        set(
            statement(
                result(value, standard=0.08 * value, distribution="log-normal"),
                result(difference, "jnr_difference_percent"),
                specification=specification,
                rule=rule,
            ).grades
        )
        for value in (jnr, share * jnr)
    ]
    assert both[0] <= both[1]


@given(st.floats(0.01, 10.0))
def test_a_class_is_never_satisfied_without_the_milder_ones_where_only_compliance_differs(jnr: float) -> None:
    satisfied = [c.satisfied for c in statement(result(jnr)).classes]
    assert satisfied == sorted(satisfied)


def test_determinations_on_both_sides_of_a_limit_are_named() -> None:
    # Binder Technician News, summer 2014: repeats that straddle a limit have no rule in the test method.
    own = [
        determination("jnr_3.2", text, replicate=str(n)) for n, text in enumerate(("0.96", "1.04", "0.98"))
    ]
    statement = grade_sample("tank", own, agree())
    told = [f.message for f in statement.findings if f.code == "replicates-straddle-limit"]
    assert told == [
        "Jnr3.2: the determinations 0.96, 1.04, 0.98 1/kPa lie on both sides of the limit 1.0 1/kPa of 64V."
    ]
