"""A workbook to type results into goes out empty, comes in filled, and gives what the same table gives."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import openpyxl
import pytest

from resile.errors import FileFormatError, InputError, ResileError
from resile.readers.ageing.ageing_record import read_ageing_record
from resile.readers.summary_table import read_summary_table
from resile.records.determination import Condition
from resile.records.finding import Severity
from resile.workflows.judging.grading import agree, grade_table
from resile.workflows.orders.forming import write_results_form
from resile.workflows.orders.ordering import report_order

DATE = "2026-05-12"
GRADE = "PG 64V-22"
VALUES: dict[str, dict[tuple[str, float | None], tuple[float, ...]]] = {
    "Original binder": {
        ("flash_point", None): (282,),
        ("rotational_viscosity", 135): (1.12,),
        ("rutting_parameter", 64): (2.31, 2.35),
    },
    "Short-term aged": {
        ("jnr_3.2", 64): (0.72, 0.74),
        ("jnr_difference_percent", 64): (22.5, 23.5),
    },
    "Long-term aged": {
        ("fatigue_parameter", 25): (4210, 4350),
        ("creep_stiffness", -12): (182, 186),
        ("m_value", -12): (0.331, 0.334),
        ("creep_stiffness", -18): (355,),
        ("m_value", -18): (0.272,),
    },
}
"""A constructed sample, well inside every limit of PG 64V-22, and one test beyond its low temperature."""
BOTTLES = ((166.214, 201.231, 201.122), (165.874, 200.869, 200.762))
VESSEL = {
    "Chamber temperature": 100,
    "Air pressure": 2.1,
    "Time under pressure": 20,
    "Number of pans": 10,
    "Pan diameter": 140,
    "Pressure release": 9,
    "Pan heating temperature": 163,
    "Pan heating time": 15,
    "Degassing temperature": 170,
    "Degassing pressure": 15,
    "Degassing time": 30,
    "Feed residue": "short-term aged",
    "Departure from the method": "none",
    "Remark": "no skin",
}


def fill(path: Path) -> None:
    book = openpyxl.load_workbook(path)
    lines = {
        "Order and sample": {"Sample": "N-118", "Report number": "N-118"},
        "Short-term ageing": {"Oven temperature": 163, "Time in oven": 85, "Air flow": 4000, "Rotation": 15},
        "Long-term ageing": VESSEL,
    }
    for name, typed in lines.items():
        for row in book[name].iter_rows():
            if row[0].value in typed:
                row[1].value = typed[row[0].value]
    for number, bottle in enumerate(BOTTLES, start=1):
        type_masses(book["Short-term ageing"], str(number), bottle)
        type_masses(book["Long-term ageing"], str(number), (50.1,))
    for name, values in VALUES.items():
        rows = list(book[name].iter_rows(min_row=5))
        for (quantity, celsius), found in values.items():
            for number, value in enumerate(found, start=1):
                row = row_for(rows, quantity, celsius, number)
                row[4].value = value
    book.save(path)


def type_masses(sheet: Any, name: str, masses: tuple[float, ...]) -> None:
    """Fill in the row of one bottle or pan."""
    row = next(row for row in sheet.iter_rows() if row[0].value == name)
    for cell, mass in zip(row[1:], masses, strict=False):
        cell.value = mass


def row_for(rows: list[Any], quantity: str, celsius: float | None, number: int) -> Any:
    """Give the row of the form; a free one, made out to it, where the form has none."""
    for row in rows:
        if (row[9].value, row[2].value, str(row[3].value)) == (quantity, celsius, str(number)):
            return row
    free = next(row for row in rows if not row[9].value)
    free[9].value, free[2].value, free[3].value = quantity, celsius, str(number)
    return free


def long_table(folder: Path) -> Path:
    lines = ["sample,condition,temperature_c,quantity,value,unit"]
    for name, values in VALUES.items():
        for (quantity, celsius), found in values.items():
            at = "" if celsius is None else f"{celsius:g}"
            lines += [f"N-118,{name.removesuffix(' binder')},{at},{quantity},{value}," for value in found]
    mass = sum(100 * (after - before) / (before - empty) for empty, before, after in BOTTLES) / len(BOTTLES)
    lines.append(f"N-118,RTFO,,mass_change_percent,{mass!r},%")
    file = folder / "long.csv"
    file.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return file


@pytest.fixture(scope="module")
def blank(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return write_results_form(GRADE, tmp_path_factory.mktemp("form") / "form.xlsx")


@pytest.fixture
def filled(blank: Path, tmp_path: Path) -> Path:
    path = tmp_path / "form.xlsx"
    path.write_bytes(blank.read_bytes())
    fill(path)
    return path


def edit(path: Path, change: Callable[[Any], None]) -> Path:
    book = openpyxl.load_workbook(path)
    change(book)
    book.save(path)
    return path


def test_a_filled_form_gives_the_grade_of_the_same_long_table(filled: Path, tmp_path: Path) -> None:
    form = report_order(filled, date=DATE).statement
    (table,) = grade_table(long_table(tmp_path), agree("m332-2014"), claim=GRADE).statements
    assert form.grades == table.grades
    assert [(g.label, g.satisfied) for g in form.full_grades] == [
        (g.label, g.satisfied) for g in table.full_grades
    ]
    values = [
        {(r.quantity, r.condition, r.temperature_c): r.value for r in one.results} for one in (form, table)
    ]
    assert values[0] == pytest.approx(values[1], rel=1e-12)
    ends = [[(e.end, e.service_class, e.temperature_c) for e in one.continuous_ends] for one in (form, table)]
    assert ends[0] == ends[1]
    assert any(at is not None for _, _, at in ends[0])


def test_the_form_holds_every_property_that_the_grade_asks_for(blank: Path) -> None:
    book = openpyxl.load_workbook(blank)
    held = {
        (name, row[9].value)
        for name in VALUES
        for row in book[name].iter_rows(min_row=5)
        if row[9].value is not None
    }
    asked = {(name, quantity) for name, values in VALUES.items() for quantity, _ in values}
    assert held == asked


def test_a_number_cell_refuses_words_and_rule_cells_offer_a_list(blank: Path) -> None:
    book = openpyxl.load_workbook(blank)
    kinds = {one.type for one in book["Original binder"].data_validations.dataValidation}
    assert "decimal" in kinds
    lists = [one.formula1 for one in book["Order and sample"].data_validations.dataValidation]
    assert any("guard-band" in words for words in lists)


def test_the_filled_form_comes_back_with_its_values_and_the_verdict(filled: Path, tmp_path: Path) -> None:
    before = filled.read_bytes()
    report = report_order(filled, date=DATE)
    written = report.write(tmp_path)
    assert filled.read_bytes() == before
    returned = tmp_path / "N-118-returned.xlsx"
    assert returned in written
    book = openpyxl.load_workbook(returned)
    sent = openpyxl.load_workbook(filled)
    for name in VALUES:
        cells = [[row[place].value for place in (2, 4, 9)] for row in sent[name].iter_rows(min_row=5)]
        back = [[row[place].value for place in (2, 4, 9)] for row in book[name].iter_rows(min_row=5)]
        assert [row for row in back if any(row)] == [row for row in cells if any(row)]
    assert book.active.title == "Verdict of the sample"
    assert {"Verdicts", "Whole grade", "Findings", "Results"} <= set(book.sheetnames)
    words = " ".join(str(cell) for row in book["Verdict of the sample"].values for cell in row if cell)
    assert f"N-118 satisfies {GRADE}" in words


def test_a_returned_form_can_be_sent_in_again(filled: Path, tmp_path: Path) -> None:
    first = report_order(filled, date=DATE)
    first.write(tmp_path)
    again = report_order(tmp_path / "N-118-returned.xlsx", date=DATE)
    assert again.statement.grades == first.statement.grades
    with pytest.raises(InputError, match="the report hangs on this file"):
        again.write(tmp_path)


def test_the_form_is_also_read_by_the_readers_of_tables_and_ageing_records(filled: Path) -> None:
    determinations = read_summary_table(filled).determinations
    assert {d.sample for d in determinations} == {"N-118"}
    assert len(determinations) == sum(len(found) for values in VALUES.values() for found in values.values())
    assert [bottle.after_g for bottle in read_ageing_record(filled).bottles] == [b[2] for b in BOTTLES]


def test_the_sheet_of_pressure_ageing_gives_the_record_and_its_hours_to_delta_tc(filled: Path) -> None:
    report = report_order(filled, date=DATE)
    record = report.long_term_ageing
    assert record is not None
    assert (record.sample, record.method, record.feed) == ("N-118", "r28", Condition.SHORT_TERM_AGED)
    assert (record.temperature_c, record.pressure_mpa, record.duration_h) == (100, 2.1, 20)
    assert (record.pan_count, record.pan_diameter_mm, record.release_min) == (10, 140, 9)
    assert (record.pan_heating_temperature_c, record.pan_heating_min) == (163, 15)
    assert (record.degassing_temperature_c, record.degassing_pressure_kpa, record.degassing_min) == (
        170,
        15,
        30,
    )
    assert (record.departure, record.note) == ("none", "no skin")
    assert [pan.mass_g for pan in record.pans] == [50.1, 50.1]
    doubted = {f.code for f in record.findings if f.severity is not Severity.NOTE}
    assert doubted == {"long-term-ageing-note", "long-term-ageing-departure-declared"}
    assert report.statement.delta_tc_ageing_h == 20


def test_a_form_is_graded_with_its_bottles_and_its_pressure_ageing_as_it_is_reported(filled: Path) -> None:
    report = report_order(filled, date=DATE).statement
    (graded,) = grade_table(filled, agree("m332-2014"), claim=GRADE).statements
    assert graded.grades == report.grades
    for one in (graded, report):
        (mass,) = [r for r in one.results if r.quantity == "mass_change_percent"]
        # Definition: 100 (after - before)/(before - empty), mean of both bottles.
        expected = sum(100 * (after - before) / (before - empty) for empty, before, after in BOTTLES) / 2
        assert mass.value == pytest.approx(expected, rel=1e-12)
    assert graded.delta_tc_ageing_h == 20


def test_a_form_without_the_sheet_of_pressure_ageing_is_read_as_before(filled: Path) -> None:
    report = report_order(edit(filled, lambda book: book.remove(book["Long-term ageing"])), date=DATE)
    assert report.complies
    assert report.long_term_ageing is None


def test_pressure_in_the_wrong_unit_is_asked_about(filled: Path) -> None:
    def psi(book: Any) -> None:
        next(r[1] for r in book["Long-term ageing"].iter_rows() if r[0].value == "Air pressure").value = 305

    record = report_order(edit(filled, psi), date=DATE).long_term_ageing
    assert record is not None
    assert any("psi" in finding.message for finding in record.findings)


def test_the_returned_form_keeps_its_lists_and_the_sheet_of_pressure_ageing(
    filled: Path, tmp_path: Path
) -> None:
    report_order(filled, date=DATE).write(tmp_path)
    returned = openpyxl.load_workbook(tmp_path / "N-118-returned.xlsx")
    sent = openpyxl.load_workbook(filled)
    for name in ("Order and sample", "Short-term ageing", "Long-term ageing"):
        lists = [
            sorted(
                str(one.formula1) for one in book[name].data_validations.dataValidation if one.type == "list"
            )
            for book in (sent, returned)
        ]
        assert lists[0] == lists[1] != []
    cells = [
        [(r[0].value, r[1].value) for r in book["Long-term ageing"].iter_rows(min_row=4)]
        for book in (sent, returned)
    ]
    assert cells[0] == cells[1]


def cell_of(book: Any, sheet: str, name: str) -> Any:
    return next(row[4] for row in book[sheet].iter_rows(min_row=5) if row[9].value == name)


def words_in_a_number_cell(book: Any) -> None:
    cell_of(book, "Original binder", "rutting_parameter").value = "about two"


def unit_that_does_not_fit(book: Any) -> None:
    next(
        r[5] for r in book["Original binder"].iter_rows(min_row=5) if r[9].value == "flash_point"
    ).value = "kPa"


def unknown_property(book: Any) -> None:
    free = next(r for r in book["Long-term aged"].iter_rows(min_row=5) if not r[9].value)
    free[4].value, free[9].value = 3.0, "sparkle"


def value_without_property(book: Any) -> None:
    free = next(r for r in book["Long-term aged"].iter_rows(min_row=5) if not r[9].value)
    free[4].value = 3.0


def formula_without_result(book: Any) -> None:
    cell_of(book, "Original binder", "rutting_parameter").value = "=1+1"


def merged_cells(book: Any) -> None:
    book["Original binder"].merge_cells("E7:E8")


def line_rewritten(book: Any) -> None:
    book["Order and sample"]["A1"].value = "my order"


def sheet_doubled(book: Any) -> None:
    book.copy_worksheet(book["Original binder"])


def headings_changed(book: Any) -> None:
    book["Original binder"]["E4"].value = "Result"


def no_sample(book: Any) -> None:
    book["Order and sample"]["B6"].value = None


def mass_in_words(book: Any) -> None:
    book["Short-term ageing"]["C15"].value = "heavy"


def pan_in_words(book: Any) -> None:
    next(r[1] for r in book["Long-term ageing"].iter_rows() if r[0].value == "3").value = "full"


def pressure_in_words(book: Any) -> None:
    next(r[1] for r in book["Long-term ageing"].iter_rows() if r[0].value == "Air pressure").value = "high"


def no_method_of_pressure_ageing(book: Any) -> None:
    book["Long-term ageing"]["B5"].value = None


def new_label(book: Any) -> None:
    book["Order and sample"]["A40"].value, book["Order and sample"]["B40"].value = "Colour", "black"


@pytest.mark.parametrize(
    ("change", "told"),
    [
        (words_in_a_number_cell, r"sheet 'Original binder', cell E7: 'about two'"),
        (unit_that_does_not_fit, r"sheet 'Original binder', cell F5: .*kPa"),
        (unknown_property, r"sheet 'Long-term aged', cell J\d+: quantity 'sparkle' is not known"),
        (value_without_property, r"sheet 'Long-term aged', cell J\d+: a value without a property"),
        (formula_without_result, r"Original binder.*E7.*formula without a stored result"),
        (merged_cells, r"sheet 'Original binder': .*E7:E8.*unmerge the cells"),
        (line_rewritten, r"no sheet begins in cell A1 with 'Results form, layout 1: Order and sample'"),
        (sheet_doubled, r"'Original binder' and 'Original binder Copy' are both 'Original binder'"),
        (headings_changed, r"sheet 'Original binder': the row of headings was changed"),
        (no_sample, r"sheet 'Order and sample', cell B6: the name of the sample is needed"),
        (mass_in_words, r"sheet 'Short-term ageing', cell C15: .*a number in g is needed"),
        (pan_in_words, r"sheet 'Long-term ageing', cell B\d+: .*a number in g is needed"),
        (pressure_in_words, r"sheet 'Long-term ageing', cell B8: .*high"),
        (no_method_of_pressure_ageing, r"sheet 'Long-term ageing', cell B5: the method of long-term ageing"),
        (new_label, r"sheet 'Order and sample', cell A40: 'Colour' is no line of the form"),
    ],
    ids=lambda value: getattr(value, "__name__", ""),
)
def test_what_cannot_be_read_is_told_with_sheet_and_cell(
    filled: Path, change: Callable[[Any], None], told: str
) -> None:
    with pytest.raises(ResileError, match=told):
        report_order(edit(filled, change), date=DATE)


def test_a_decimal_comma_typed_as_text_is_read(filled: Path) -> None:
    def comma(book: Any) -> None:
        cell_of(book, "Original binder", "rutting_parameter").value = "2,31"

    report = report_order(edit(filled, comma), date=DATE)
    values = [d.value for r in report.statement.results for d in r.determinations]
    assert 2.31 in values


def test_a_renamed_sheet_is_known_by_its_first_cell(filled: Path) -> None:
    def rename(book: Any) -> None:
        book["Original binder"].title = "unaged"

    assert report_order(edit(filled, rename), date=DATE).complies


def test_a_residue_that_was_not_tested_is_not_tested_and_never_passed(filled: Path) -> None:
    def empty(book: Any) -> None:
        for row in book["Long-term aged"].iter_rows(min_row=5):
            row[4].value = None

    report = report_order(edit(filled, empty), date=DATE)
    (grade,) = [g for g in report.statement.full_grades if g.label == GRADE]
    assert not grade.satisfied
    assert {"creep_stiffness", "m_value"} <= {v.requirement.quantity for v in grade.not_tested}


def test_rows_of_its_own_below_the_form_are_read(filled: Path) -> None:
    def add(book: Any) -> None:
        sheet = book["Original binder"]
        row = sheet.max_row + 3
        for column, value in ((3, 70), (5, 1.21), (6, "kPa"), (10, "rutting_parameter")):
            sheet.cell(row, column).value = value

    determinations = read_summary_table(edit(filled, add)).determinations
    assert [d.value for d in determinations if d.temperature_c == 70] == [1.21]


def test_an_empty_form_says_that_nothing_was_typed(blank: Path, tmp_path: Path) -> None:
    def named(book: Any) -> None:
        book["Order and sample"]["B6"].value = "N-1"

    path = tmp_path / "empty.xlsx"
    path.write_bytes(blank.read_bytes())
    with pytest.raises(FileFormatError, match="the form holds no result"):
        report_order(edit(path, named), date=DATE)


def test_a_form_is_never_written_over(blank: Path) -> None:
    with pytest.raises(InputError, match="this file exists"):
        write_results_form(GRADE, blank)


def test_another_workbook_is_no_form(tmp_path: Path) -> None:
    book = openpyxl.Workbook()
    book.active["A1"] = "hello"
    book.save(tmp_path / "other.xlsx")
    with pytest.raises(FileFormatError, match="is no results form"):
        report_order(tmp_path / "other.xlsx", date=DATE)
