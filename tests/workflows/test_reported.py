"""Reported conclusions that do not follow are told with what explains them; numbers are published."""

from pathlib import Path

import pytest

from resile.records.reported import ReportedComparison
from resile.workflows.judging.grading import agree, grade_table
from resile.workflows.judging.reported import compare_tables

# FHWA-RUT, lane 3 tank, RTFO, replicate 1: 2.791 kPa at 64 and 1.254 kPa at 70 °C meet 2.20 kPa at 65.78 °C
# by the logarithm, 66.31 °C by a straight line (trade notes on specifications, sections 6.2 and 6.3).
HIGH = "sample,ageing,temperature_C,Gstar_over_sin_kPa,reported_high_grade_C\n"
# FHWA-RA, 40RAP-B replicate 1 (section 6.4 there): Tc,S -16.895937 by the logarithm, -16.46 by a line.
BEAM = "sample,ageing,temperature_C,S60_MPa,m60,reported_pass_fail,Tc_S_C,Tc_m_C,delta_Tc_C\n"


def compared(folder: Path, text: str) -> tuple[ReportedComparison, ...]:
    path = folder / "table.csv"
    path.write_text(text, encoding="utf-8")
    return compare_tables([path]).comparisons


def high(folder: Path, reported: str, residue: str = "RTFO") -> ReportedComparison:
    rows = f"A,{residue},64,2.791,{reported}\nA,{residue},70,1.254,{reported}\n"
    (found,) = compared(folder, HIGH + rows)
    return found


def codes_of(one: ReportedComparison) -> list[str]:
    return [finding.code for finding in one.findings]


@pytest.mark.parametrize(
    ("reported", "rule", "codes"),
    [
        ("65.8", "log", []),
        ("66.3", "linear", ["reported-value-by-another-rule"]),
        ("66", "both", []),
        ("67.3", "neither", ["reported-value-differs"]),
        ("65.2", "neither", ["reported-value-differs"]),
    ],
)
def test_the_rule_that_reproduces_a_reported_high_grade_is_named(
    tmp_path: Path, reported: str, rule: str, codes: list[str]
) -> None:
    found = high(tmp_path, reported)
    assert (found.rule, codes_of(found)) == (rule, codes)
    assert found.computed is not None
    assert found.computed.value == pytest.approx(65.78, abs=0.005)


def test_a_finding_says_what_each_rule_gives(tmp_path: Path) -> None:
    (finding,) = high(tmp_path, "66.3").findings
    assert "follows by the linear rule only" in finding.message
    assert "65.8 °C by the log rule" in finding.message
    assert finding.value == 66.3


def test_an_original_binder_is_compared_at_its_own_limit(tmp_path: Path) -> None:
    # lane 3 tank, unaged, replicate 1: 1.162 kPa at 64.02, 0.550 kPa at 70.01 °C; published 65.2
    rows = "A,Unaged,64.02,1.162,65.2\nA,Unaged,70.01,0.550,65.2\n"
    (found,) = compared(tmp_path, HIGH + rows)
    assert found.reproduced


@pytest.mark.parametrize(
    ("rows", "reason"),
    [
        ("A,RTFO,64,2.791,65.8\n", "fewer than two results"),
        ("A,RTFO,64,4.0,72.0\nA,RTFO,70,2.791,72.0\n", "do not bracket the limit"),
        ("A,PAV,64,2.791,65.8\nA,PAV,70,1.254,65.8\n", "sets no limit"),
    ],
)
def test_what_cannot_be_compared_says_why_and_is_not_counted_as_following(
    tmp_path: Path, rows: str, reason: str
) -> None:
    (found,) = compared(tmp_path, HIGH + rows)
    assert codes_of(found) == ["reported-value-not-checked"]
    assert not found.reproduced
    assert reason in found.findings[0].message


def beam(folder: Path, verdicts: tuple[str, str], reported: str) -> dict[str, list[ReportedComparison]]:
    rows = f"B,PAV,-12,144,0.326,{verdicts[0]},{reported}\nB,PAV,-18,354,0.274,{verdicts[1]},{reported}\n"
    found: dict[str, list[ReportedComparison]] = {}
    for one in compared(folder, BEAM + rows):
        found.setdefault(one.reported.quantity, []).append(one)
    return found


def test_published_critical_temperatures_and_outcomes_follow(tmp_path: Path) -> None:
    found = beam(tmp_path, ("Pass", "Fail"), "-16.895937,-15.000000,-1.895937")
    assert {quantity: len(ones) for quantity, ones in found.items()} == {
        "reported_outcome": 2,
        "reported_stiffness_temperature": 1,
        "reported_m_value_temperature": 1,
        "reported_delta_tc": 1,
    }
    assert all(one.reproduced for ones in found.values() for one in ones)


def test_a_difference_of_straight_lines_is_told_as_such(tmp_path: Path) -> None:
    found = beam(tmp_path, ("Pass", "Fail"), "-16.46,-15.00,-1.46")
    assert [one.rule for one in found["reported_delta_tc"]] == ["linear"]
    assert codes_of(found["reported_stiffness_temperature"][0]) == ["reported-value-by-another-rule"]
    assert found["reported_m_value_temperature"][0].reproduced


def test_an_outcome_that_the_limits_do_not_give_is_told(tmp_path: Path) -> None:
    found = beam(tmp_path, ("Pass", "Pass"), ",,")["reported_outcome"]
    assert [codes_of(one) for one in found] == [[], ["reported-outcome-does-not-follow"]]
    assert "S 354, m 0.274 give a fail" in found[1].findings[0].message


def test_a_word_that_says_neither_pass_nor_fail_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "table.csv"
    path.write_text(BEAM + "B,PAV,-12,144,0.326,perhaps,,,\n", encoding="utf-8")
    (table,) = compare_tables([path]).tables
    assert [row.reason for row in table.account.rows_refused] == [
        "reported outcome 'perhaps' says neither pass nor fail"
    ]


def test_a_mean_is_compared_with_the_replicates_beside_it(tmp_path: Path) -> None:
    text = (
        "binder,high_grade_rep1_C,high_grade_rep2_C,high_grade_mean_C\nA,71.4,71.3,71.35\nB,71.4,71.3,71.8\n"
    )
    means = [one for one in compared(tmp_path, text) if one.rule in ("mean", "neither")]
    assert [codes_of(one) for one in means] == [[], ["reported-value-differs"]]


def test_grading_a_table_raises_the_same_finding(tmp_path: Path) -> None:
    path = tmp_path / "table.csv"
    path.write_text(HIGH + "A,RTFO,64,2.791,67.3\nA,RTFO,70,1.254,67.3\n", encoding="utf-8")
    (statement,) = grade_table(path, agree("m320")).statements
    assert "reported-value-differs" in {finding.code for finding in statement.findings}
    assert {result.quantity for result in statement.results} == {"rutting_parameter"}
