"""A table graded together with its ageing records gives what the same order gives."""

from pathlib import Path

import pytest
from tests.workflows.test_delta_tc import RECORD, RESULTS, specification

from resile.errors import InputError
from resile.records.verdict import GradeStatement, Outcome
from resile.workflows.judging.grading import Grading, agree, grade_table
from resile.workflows.orders.ordering import report_order

BOTTLES = """method = "t240"
{sample}temperature_c = 163
duration_min = 85
air_flow_ml_min = 4000
rotation_r_min = 15
recovery_min = 7
[[bottle]]
name = "1"
empty_g = 100
before_g = 135
after_g = {after}
[[bottle]]
name = "2"
empty_g = 100
before_g = 135
after_g = {after}
"""
LOSS = {-0.3: 134.895, -0.1: 134.965}
"""Mass after of 35 g of binder that lost so many percent: the definition."""


def short(folder: Path, loss: float = -0.3, sample: str = "E", name: str = "rtfo.toml") -> Path:
    named = f'sample = "{sample}"\n' if sample else ""
    file = folder / name
    file.write_text(BOTTLES.format(sample=named, after=LOSS[loss]), encoding="utf-8")
    return file


def long(folder: Path, hours: float = 20, celsius: float = 100, sample: str = "E") -> Path:
    text = RECORD.format(method="r28-40h" if hours > 30 else "r28", hours=hours)
    text = text.replace("temperature_c = 100", f"temperature_c = {celsius:g}")
    file = folder / "pav.toml"
    file.write_text((f'sample = "{sample}"\n' if sample else "") + text, encoding="utf-8")
    return file


def table(folder: Path, rows: str = RESULTS) -> Path:
    file = folder / "results.csv"
    file.write_text(rows, encoding="utf-8")
    return file


def only(grading: Grading) -> GradeStatement:
    (statement,) = grading.statements
    return statement


def codes(statement: GradeStatement) -> set[str]:
    return {finding.code for finding in statement.findings}


@pytest.mark.parametrize(
    ("limit", "hours", "outcome"),
    [(-5.0, 20, Outcome.PASS), (-2.79, 20, Outcome.FAIL), (-5.0, 40, Outcome.NOT_TESTED)],
)
def test_a_limit_of_ones_own_on_delta_tc_is_judged(
    tmp_path: Path, limit: float, hours: float, outcome: Outcome
) -> None:
    # 20RAP, replicate 1: printed delta-Tc -2.799223 °C; FHWA pit C recycling data (2025), read.
    rules = agree(specification(tmp_path, limit))
    found = only(grade_table(table(tmp_path), rules, ageing=[long(tmp_path, hours)], claim="PG 64-22"))
    (verdict,) = [
        v
        for g in found.full_grades
        if g.label == "PG 64-22"
        for v in g.verdicts
        if v.requirement.quantity == "delta_tc"
    ]
    assert verdict.outcome is outcome


def test_the_table_with_its_records_gives_what_the_order_gives(tmp_path: Path) -> None:
    rows = "\n".join(line for line in RESULTS.splitlines() if "mass_change" not in line)
    results, records = table(tmp_path, rows), [short(tmp_path), long(tmp_path)]
    order = tmp_path / "order.toml"
    order.write_text(
        'specification = "m320"\ntables = ["results.csv"]\n'
        'ageing = "rtfo.toml"\nlong_term_ageing = "pav.toml"\n'
        '[sample]\nname = "E"\nclaimed_grade = "PG 64-22"\n',
        encoding="utf-8",
    )
    ordered = report_order(order, date="2026-05-12").statement
    graded = only(grade_table(results, agree("m320"), ageing=records, claim="PG 64-22"))
    assert graded.results == ordered.results
    assert graded.grades == ordered.grades
    assert graded.full_grades == ordered.full_grades
    assert graded.findings == ordered.findings
    assert any(g.satisfied for g in graded.full_grades)


def test_a_missing_record_is_told_and_the_given_one_is_not(tmp_path: Path) -> None:
    without = codes(only(grade_table(table(tmp_path), agree("m320"))))
    with_both = codes(
        only(grade_table(table(tmp_path), agree("m320"), ageing=[short(tmp_path), long(tmp_path)]))
    )
    assert {code for code in without if code.endswith("record-missing")}
    assert not {code for code in with_both if code.endswith("record-missing")}


def test_a_chamber_that_is_too_cold_for_the_grade_leaves_it_open(tmp_path: Path) -> None:
    found = only(
        grade_table(table(tmp_path), agree("m320"), ageing=[long(tmp_path, celsius=90)], claim="PG 64-22")
    )
    (grade,) = [g for g in found.full_grades if g.label == "PG 64-22"]
    assert not grade.satisfied


def test_the_mean_of_the_bottles_typed_as_well_counts_once(tmp_path: Path) -> None:
    found = only(grade_table(table(tmp_path), agree("m320"), ageing=[short(tmp_path)]))
    (mass,) = [r for r in found.results if r.quantity == "mass_change_percent"]
    assert len(mass.determinations) == 1
    assert mass.value == pytest.approx(-0.3, abs=1e-9)
    assert "mass-change-stands-twice" in codes(found)


def test_a_typed_mass_change_that_the_bottles_do_not_give_is_doubted_and_kept(tmp_path: Path) -> None:
    found = only(grade_table(table(tmp_path), agree("m320"), ageing=[short(tmp_path, loss=-0.1)]))
    (mass,) = [r for r in found.results if r.quantity == "mass_change_percent"]
    assert len(mass.determinations) == 2
    (doubt,) = [f for f in found.findings if f.code == "mass-change-differs-from-bottles"]
    assert doubt.value == pytest.approx(0.2, abs=1e-9)
    assert "−0.300 %" in doubt.message
    assert "−0.100 %" in doubt.message


def test_a_record_is_given_to_the_sample_it_names(tmp_path: Path) -> None:
    both = RESULTS + RESULTS.partition("\n")[2].replace("E,", "F,")
    grading = grade_table(table(tmp_path, both), agree("m320"), ageing=[long(tmp_path, sample="F")])
    told = {
        one.sample: "pressure" in "".join(codes(one)) or one.delta_tc_ageing_h for one in grading.statements
    }
    assert told["F"] == 20
    assert told["E"] != 20


@pytest.mark.parametrize(
    ("make", "told"),
    [
        (lambda folder: [long(folder, sample="Q")], "is of sample Q; .*holds E, F"),
        (lambda folder: [long(folder, sample="")], "names no sample, and .*holds several: E, F"),
        (
            lambda folder: [short(folder), short(folder, name="second.toml")],
            "both a record of short-term ageing of sample E",
        ),
    ],
    ids=["of another sample", "of no sample", "two of one kind"],
)
def test_a_record_that_fits_no_sample_or_two_is_refused(tmp_path: Path, make: object, told: str) -> None:
    both = RESULTS + RESULTS.partition("\n")[2].replace("E,", "F,")
    with pytest.raises(InputError, match=told):
        grade_table(table(tmp_path, both), agree("m320"), ageing=make(tmp_path))  # type: ignore[operator]


def test_each_specimen_is_judged_with_the_record_of_its_sample(tmp_path: Path) -> None:
    rows = "sample,condition,temperature_c,quantity,value,unit,replicate\n" + "".join(
        f"{line},1\n" for line in RESULTS.splitlines()[1:]
    )
    (one,) = grade_table(table(tmp_path, rows), agree("m320"), ageing=[long(tmp_path)], each=True).statements
    assert one.sample == "E [1]"
    assert one.delta_tc_ageing_h == 20


def test_the_records_stand_in_the_json(tmp_path: Path) -> None:
    printed = grade_table(table(tmp_path), agree("m320"), ageing=[long(tmp_path), short(tmp_path)]).to_json()
    assert [record["method"] for record in printed["ageing"]] == ["t240", "r28"]
