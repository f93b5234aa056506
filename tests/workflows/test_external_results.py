"""A result of another laboratory is marked wherever it is shown (ISO/IEC 17025:2017, 7.8.2.1 p)."""

import shutil
from pathlib import Path

import pytest

from resile.readers.summary_table import read_summary_table
from resile.report.page import html_page
from resile.report.paper.assemble import page_of
from resile.report.terminal import plain_text
from resile.workflows.demonstration import write_demonstration
from resile.workflows.orders.ordering import OrderReport, report_order

ELSEWHERE = "Works B (invented)"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    write_demonstration(tmp_path)
    return Path(shutil.copytree(tmp_path / "102-spring", tmp_path / "external"))


def report_of(folder: Path) -> OrderReport:
    return report_order(folder / "order.toml", date="2026-05-12")


def name_laboratory(folder: Path, name: str) -> None:
    """Say in a column that another laboratory made the flash point."""
    file = folder / "other-results.csv"
    lines = file.read_text(encoding="utf-8").splitlines()
    lines = [f"{lines[0]},laboratory", *(f"{line},{name if 'flash' in line else ''}" for line in lines[1:])]
    file.write_text("\n".join(lines) + "\n", encoding="utf-8")


@pytest.mark.parametrize("heading", ["laboratory", "source laboratory", "Labor", "Laboratoire"])
def test_a_column_names_the_laboratory_of_a_row(tmp_path: Path, heading: str) -> None:
    file = tmp_path / "table.csv"
    file.write_text(f"sample,condition,quantity,value,unit,{heading}\nA,original,flash_point,280,°C,B\n")
    assert [d.laboratory for d in read_summary_table(file).determinations] == ["B"]


def test_the_row_is_marked_on_page_terminal_and_json_and_the_statement_says_so(folder: Path) -> None:
    name_laboratory(folder, ELSEWHERE)
    report = report_of(folder)
    results = next(section for section in page_of(report.document).sections if section.key == "results")
    marked = [row[0] for row in results.tables[0].rows if row[0].endswith("‡")]
    assert len(marked) == 1
    assert "flash" in marked[0].casefold()
    assert f"{ELSEWHERE}: flash point (original binder)" in results.tables[0].note
    page = html_page(report.document)
    assert f"One result rests wholly or in part on determinations of {ELSEWHERE}, marked ‡" in page
    for full in (False, True):
        assert ELSEWHERE in plain_text(report.to_terminal(full=full))
    made = {
        (result["quantity"], one["laboratory"])
        for result in report.to_json()["results"]
        for one in result["determinations"]
    }
    assert ("flash_point", ELSEWHERE) in made
    assert ("rutting_parameter", None) in made


def test_the_own_laboratory_is_not_external(folder: Path) -> None:
    name_laboratory(folder, "Road Laboratory of Ambelund (invented)")
    assert "‡" not in html_page(report_of(folder).document)


def test_a_record_of_another_laboratory_marks_all_its_results(folder: Path) -> None:
    order = folder / "order.toml"
    text = order.read_text(encoding="utf-8")
    order.write_text(
        text.replace("specimen = 2", f'specimen = 2\nlaboratory = "{ELSEWHERE}"'), encoding="utf-8"
    )
    report = report_of(folder)
    jnr = next(r for r in report.statement.results if r.quantity == "jnr_3.2")
    assert [one.laboratory for one in jnr.determinations] == ["", ELSEWHERE]
    assert "in part" in html_page(report.document)
