"""The workbook: full precision, live formulas whose kept value is the record's."""

import io
import re
from collections.abc import Iterator

import openpyxl
import pytest
from example_records import TABLE_8_2, example_document, example_run
from openpyxl.workbook import Workbook

from resile.records.creep_recovery import CreepRecoveryRun
from resile.report.document import ReportDocument
from resile.report.workbook import workbook_bytes


@pytest.fixture(scope="module")
def burgers_document() -> ReportDocument:
    return example_document(runs=(example_run(TABLE_8_2),))


@pytest.fixture(scope="module")
def books(burgers_document: ReportDocument) -> tuple[Workbook, Workbook]:
    """The same workbook twice: kept values, formulas."""
    data = workbook_bytes(burgers_document)
    kept = openpyxl.load_workbook(io.BytesIO(data), data_only=True)
    live = openpyxl.load_workbook(io.BytesIO(data))
    return kept, live


def formulas(live: Workbook) -> Iterator[tuple[str, str, str]]:
    for sheet in live.worksheets:
        for row in sheet.iter_rows():
            for cell in row:
                if cell.data_type == "f":
                    yield sheet.title, cell.coordinate, cell.value


def evaluate(formula: str, kept: Workbook, sheet: str) -> float:
    """Work a formula out by hand from the kept values it points to."""

    def value_at(match: re.Match[str]) -> str:
        where = match.group(1) or sheet
        return repr(float(kept[where][match.group(2)].value))

    def mean(match: re.Match[str]) -> str:
        cells = [cell for row in kept[sheet][match.group(1)] for cell in row]
        return repr(sum(cell.value for cell in cells) / len(cells))

    text = re.sub(r"AVERAGE\(([A-Z]+\d+:[A-Z]+\d+)\)", mean, formula.lstrip("="))
    text = re.sub(r"(?:(\w+)!)?\b([A-Z]{1,2}\d+)\b", value_at, text).replace("ABS", "abs")
    assert re.fullmatch(r"[-+*/().\deabs]+", text), text
    return float(eval(text))  # numbers and operators only, as the line above makes sure


def test_the_sheets_come_in_their_order(books: tuple[Workbook, Workbook]) -> None:
    assert books[0].sheetnames == [
        "Sample",
        "Results",
        "Cycles",
        "Ageing",
        "Verdicts",
        "Findings",
        "How it was read",
    ]


def test_the_kept_value_of_every_formula_is_what_the_formula_gives(books: tuple[Workbook, Workbook]) -> None:
    kept, live = books
    count = 0
    for sheet, place, formula in formulas(live):
        assert kept[sheet][place].value == pytest.approx(evaluate(formula, kept, sheet), rel=1e-9, abs=1e-9)
        count += 1
    assert count >= 2 * 30 + 4 + 7  # two a cycle, two means a stress, and the sheet of results


def test_cycles_stand_there_in_full_precision_and_add_up_to_the_record(
    books: tuple[Workbook, Workbook],
) -> None:
    sheet = books[0]["Cycles"]
    run = example_run(TABLE_8_2)
    rows = [row for row in sheet.iter_rows(min_row=2, values_only=True) if row[3] == "evaluated"]
    cycles = [cycle for level in run.levels for cycle in level.cycles]
    # A workbook keeps 16 significant digits.
    assert [value for row in rows for value in row[4:9]] == pytest.approx(
        [
            v
            for c in cycles
            for v in (c.initial_strain, c.creep_strain, c.recovered_strain, c.percent_recovery, c.jnr)
        ],
        rel=1e-15,
    )
    means = [row for row in sheet.iter_rows(min_row=2, values_only=True) if row[3] == "mean"]
    # creep-recovery.md, section 8.2: the means of the right blocks.
    assert [(m[7], m[8]) for m in means] == [
        pytest.approx((9.741953, 2.000000), abs=5e-7),
        pytest.approx((9.735775, 2.000213), abs=5e-7),
    ]


def test_the_results_sheet_has_the_differences_of_the_exact_case(books: tuple[Workbook, Workbook]) -> None:
    rows = {row[1]: row[3] for row in books[0]["Results"].iter_rows(min_row=2, max_row=8, values_only=True)}
    # creep-recovery.md, section 8.2.
    assert rows["Jnr,diff"] == pytest.approx(0.01066, abs=5e-6)
    assert rows["Rdiff"] == pytest.approx(0.06341, abs=5e-6)


def test_a_typed_summary_is_written_as_values_not_as_formulas() -> None:
    from resile.records.creep_recovery import StressLevel

    # OK-2011, 64-22 A8: 4.60 and 4.72 printed with a difference of 2.6 % (creep-recovery.md, section 9.2).
    levels = (StressLevel(0.1, None, -3.0, 4.60), StressLevel(3.2, None, 0.0, 4.72))
    run = CreepRecoveryRun(levels=levels, jnr_difference_percent=2.6)
    live = openpyxl.load_workbook(io.BytesIO(workbook_bytes(example_document(runs=(run,), statement=None))))
    rows = {row[1]: row[3] for row in live["Results"].iter_rows(min_row=2, values_only=True)}
    assert rows["Jnr,diff"] == 2.6


def test_a_name_that_looks_like_a_formula_stays_text() -> None:
    data = workbook_bytes(example_document(sample='=HYPERLINK("x")'))
    live = openpyxl.load_workbook(io.BytesIO(data))
    assert not any(value.startswith("=HYPER") for _, _, value in formulas(live))


def test_findings_and_hashes_are_there(books: tuple[Workbook, Workbook]) -> None:
    codes = [row[1] for row in books[0]["Findings"].iter_rows(min_row=2, values_only=True)]
    assert codes == ["repeatability-exceeded", "temperature-off", "bottle-creep", "sampling-coarse"]
    told = [str(row[1]) for row in books[0]["How it was read"].iter_rows(values_only=True)]
    assert any(text.startswith("SHA-256 3f7a9c0d") for text in told)


def test_the_same_document_gives_the_same_workbook(burgers_document: ReportDocument) -> None:
    assert workbook_bytes(burgers_document) == workbook_bytes(burgers_document)


def test_the_ageing_sheet_weighs_each_bottle_by_formula(
    books: tuple[Workbook, Workbook], burgers_document: ReportDocument
) -> None:
    kept, live = books
    record = burgers_document.ageing
    assert record is not None
    rows = {row[0].value: row for row in kept["Ageing"].iter_rows()}
    assert rows["Oven temperature"][1].value == f"{record.temperature_c} °C"
    for bottle in record.bottles:
        row = rows[bottle.name]
        assert [cell.value for cell in row[1:4]] == [bottle.empty_g, bottle.before_g, bottle.after_g]
        assert live["Ageing"][row[4].coordinate].data_type == "f"
    assert rows["mean"][4].value == record.mass_change_percent


def test_without_an_ageing_record_there_is_no_sheet_of_it() -> None:
    data = workbook_bytes(example_document(ageing=None))
    assert "Ageing" not in openpyxl.load_workbook(io.BytesIO(data)).sheetnames
