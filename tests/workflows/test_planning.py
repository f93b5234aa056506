"""A plan follows from the grade: residues, temperatures and plates as the documents ask, in working order.

Temperatures: AASHTO M 320, Table 1, as read in a summary of the table: high grade, low + 10,
(high + low)/2 + 4, 135 °C. Plates: AASHTO T 315, from memory (high).
"""

import io
from pathlib import Path

import pytest
from pypdf import PdfReader

from resile.errors import InputError, RecordNotFoundError, SpecificationError
from resile.records.determination import Condition
from resile.report.terminal.grids import plain_text
from resile.specifications.plans import load_bench_book
from resile.specifications.search import PACKAGE_FOLDER
from resile.workflows.plans.planning import ORDER_OF_WORK, plan_tests

BOOK = PACKAGE_FOLDER / "plans" / "binder.toml"


def temperatures(grade: str, **more: str) -> dict[tuple[str, str], float | None]:
    plan = plan_tests(grade, **more).plan
    return {(r.quantity, str(t.condition)): t.temperature_c for t in plan.tests for r in t.requirements}


def test_the_temperatures_follow_from_the_ends_of_the_grade() -> None:
    assert temperatures("PG 64-22") == {
        ("flash_point", "original"): None,
        ("rotational_viscosity", "original"): 135.0,
        ("rutting_parameter", "original"): 64.0,
        ("mass_change_percent", "short_term_aged"): None,
        ("rutting_parameter", "short_term_aged"): 64.0,
        ("fatigue_parameter", "long_term_aged"): 25.0,
        ("creep_stiffness", "long_term_aged"): -12.0,
        ("m_value", "long_term_aged"): -12.0,
    }


@pytest.mark.parametrize(("grade", "middle"), [("PG 76-22", 31.0), ("PG 58-28", 19.0), ("PG 70-10", 34.0)])
def test_the_intermediate_temperature_is_the_middle_and_four(grade: str, middle: float) -> None:
    assert temperatures(grade)["fatigue_parameter", "long_term_aged"] == middle


def test_a_traffic_letter_asks_for_creep_recovery_at_the_climatic_temperature() -> None:
    plan = plan_tests("PG 64V-22").plan
    assert plan.specification.identifier == "m332-2014"
    (creep,) = [t for t in plan.tests if "jnr_3.2" in t.method.quantities]
    assert (creep.condition, creep.temperature_c) == (Condition.SHORT_TERM_AGED, 64.0)
    assert dict(zip([r.quantity for r in creep.requirements], creep.limits, strict=True)) == {
        "jnr_3.2": 1.0,
        "jnr_difference_percent": 75.0,
    }


def test_residues_stand_in_working_order_and_one_beam_gives_both_values() -> None:
    plan = plan_tests("PG 64-22").plan
    places = [ORDER_OF_WORK.index(test.condition) for test in plan.tests]
    assert places == sorted(places)
    beam = plan.tests[-1]
    assert [r.quantity for r in beam.requirements] == ["creep_stiffness", "m_value"]


@pytest.mark.parametrize(
    ("quantity", "condition", "plate", "gap"),
    [("rutting_parameter", "original", 25.0, 1.0), ("fatigue_parameter", "long_term_aged", 8.0, 2.0)],
)
def test_the_plate_depends_on_the_stiffness(quantity: str, condition: str, plate: float, gap: float) -> None:
    plan = plan_tests("PG 64-22").plan
    (test,) = [
        t for t in plan.tests if t.condition == condition and quantity in [r.quantity for r in t.requirements]
    ]
    assert (test.method.plate_diameter_mm, test.method.gap_mm) == (plate, gap)


@pytest.mark.parametrize(
    ("grade", "ageing"), [("PG 52-28", (90.0,)), ("PG 64-22", (100.0,)), ("PG 76-22", (100.0, 110.0))]
)
def test_pressure_ageing_has_the_temperature_of_the_grade(grade: str, ageing: tuple[float, ...]) -> None:
    # AASHTO R 28: 90/100/100 (110 desert) read in MP1; list by grade from memory (high).
    assert plan_tests(grade).plan.long_term_ageing_c == ageing


def test_a_class_alone_says_what_it_leaves_out_and_needs_no_pressure_ageing() -> None:
    plan = plan_tests("64V").plan
    assert len(plan.left_out) == 3
    assert {one.condition for one in plan.preparations} == {Condition.ORIGINAL, Condition.SHORT_TERM_AGED}
    assert plan.long_term_ageing_c == ()


def test_a_grade_that_there_is_not_is_refused() -> None:
    with pytest.raises(InputError, match="has no such grade"):
        plan_tests("PG 65-22")


def test_a_table_ticks_what_has_the_right_residue_and_temperature(tmp_path: Path) -> None:
    table = tmp_path / "results.csv"
    table.write_text(
        "sample,condition,temperature_c,quantity,value,unit\n"
        "Erle,original,64,rutting_parameter,1.31,kPa\n"
        "Erle,short_term_aged,70,rutting_parameter,1.2,kPa\n"
        "Erle,long_term_aged,-12,creep_stiffness,238,MPa\n",
        encoding="utf-8",
    )
    planning = plan_tests("PG 64-22", table=table)
    done = {(t.method.title, str(t.condition)): (t.done, t.is_done) for t in planning.plan.tests}
    assert done["oscillation at 10 rad/s", "original"] == (("rutting_parameter",), True)
    assert done["oscillation at 10 rad/s", "short_term_aged"] == ((), False)
    assert done["bending beam, creep stiffness and m-value after 60 s", "long_term_aged"] == (
        ("creep_stiffness",),
        False,
    )
    assert planning.plan.sample == "Erle"
    text = plain_text(planning.to_terminal(), width=120)
    assert "✓ done" in text
    assert "in part; open: m" in text


def test_a_table_of_several_samples_is_refused(tmp_path: Path) -> None:
    table = tmp_path / "results.csv"
    rows = "".join(f"{name},original,64,rutting_parameter,1.3,kPa\n" for name in ("A", "B"))
    table.write_text("sample,condition,temperature_c,quantity,value,unit\n" + rows, encoding="utf-8")
    with pytest.raises(InputError, match="the table holds 2: A, B"):
        plan_tests("PG 64-22", table=table)


def test_a_test_that_the_book_lacks_is_planned_and_marked(tmp_path: Path) -> None:
    text = BOOK.read_text(encoding="utf-8")
    start = text.index('[[test]]\nquantities = ["flash_point"]')
    end = text.index('[[test]]\nquantities = ["rotational_viscosity"]')
    book = tmp_path / "ours.toml"
    book.write_text(text[:start] + text[end:], encoding="utf-8")
    planning = plan_tests("PG 64-22", book=book)
    (flash,) = [t for t in planning.plan.tests if "flash_point" in t.method.quantities]
    assert not flash.described
    assert "does not describe this test" in plain_text(planning.to_terminal(), width=120)


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ('cautions = ["hot-glass"]', 'cautions = ["hot-gas"]', "'hot-gas', which is not described"),
        ("specimens = 4", "specimens = 0", r"specimens"),
        ('quantities = ["penetration"]', 'quantities = ["penetratoin"]', "quantities"),
        ("gap_mm = 2", "gapp_mm = 2", "gapp_mm"),
    ],
)
def test_a_slip_in_a_book_is_named(tmp_path: Path, old: str, new: str, told: str) -> None:
    text = BOOK.read_text(encoding="utf-8")
    assert old in text
    book = tmp_path / "ours.toml"
    book.write_text(text.replace(old, new, 1), encoding="utf-8")
    with pytest.raises(SpecificationError, match=told):
        load_bench_book(book)


def test_an_unknown_book_lists_those_there_are() -> None:
    with pytest.raises(RecordNotFoundError, match="there are: binder"):
        load_bench_book("ours")


def test_every_tolerance_and_caution_of_the_book_has_a_source() -> None:
    book = load_bench_book()
    rows = [row for one in (*book.preparations, *book.methods) for row in one.tolerances]
    assert rows
    assert all(row.source for row in (*rows, *book.cautions))
    told = " ".join(one.text for one in book.cautions)
    for hazard in ("Hot binder", "163 °C", "Hydrogen sulphide", "flash point", "solvents", "30 °C below"):
        assert hazard in told


def test_the_bench_sheet_is_written_with_boxes_blanks_and_cautions(tmp_path: Path) -> None:
    html, pdf = plan_tests("PG 64V-22").write(tmp_path, date="2026-05-12")
    page = html.read_text(encoding="utf-8")
    assert page.count('class="box"') > 30
    for words in ("16", "163 ±1", "Unchecked transcription", "8 mm plates, 2 mm gap", "End of plan"):
        assert words in page
    reader = PdfReader(io.BytesIO(pdf.read_bytes()))
    text = " ".join(" ".join(p.extract_text() for p in reader.pages).split())
    assert "Test plan for PG 64V-22" in text
    assert f"page 1 of {len(reader.pages)}" in text
    assert "Hydrogen sulphide gathers over hot binder" in text


def test_equal_plans_give_equal_bytes(tmp_path: Path) -> None:
    first = plan_tests("PG 64-22").write(tmp_path / "a", date="2026-05-12")
    second = plan_tests("PG 64-22").write(tmp_path / "b", date="2026-05-12")
    assert [path.read_bytes() for path in first] == [path.read_bytes() for path in second]


def test_the_json_holds_what_the_sheet_shows() -> None:
    content = plan_tests("PG 64-22").to_json()
    assert content["grade"] == "PG 64-22"
    assert [test["number"] for test in content["tests"]] == list(range(1, len(content["tests"]) + 1))
    assert content["tests"][-1]["temperature_c"] == -12.0
    assert content["low_temperature_c"] == -22.0


def test_recovered_binder_is_planned_without_original_binder_and_without_the_oven() -> None:
    planning = plan_tests("PG 64V-22", recovered=True)
    plan = planning.plan
    assert {test.condition for test in plan.tests} == {Condition.RECOVERED, Condition.LONG_TERM_AGED}
    assert [one.condition for one in plan.preparations] == [Condition.RECOVERED, Condition.LONG_TERM_AGED]
    on_recovered = {
        r.quantity for t in plan.tests if t.condition is Condition.RECOVERED for r in t.requirements
    }
    assert "jnr_3.2" in on_recovered
    told = " ".join(plan.left_out)
    assert "asks for original binder" in told
    assert "mass change" in told.casefold()
    assert "recovered binder" in plain_text(planning.to_terminal(), width=100).casefold()
