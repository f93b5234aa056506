"""A report that replaces another names it, says why, and lists everything that differs."""

import json
import shutil
from pathlib import Path

import openpyxl
import pytest

from resile.errors import FileFormatError, InputError, SpecificationError
from resile.report.page import html_page
from resile.report.paper.assemble import page_of
from resile.workflows.demonstration import write_demonstration
from resile.workflows.orders.ordering import OrderReport, report_order
from resile.workflows.orders.revising import compare_reports

DATE, LATER = "2026-05-12", "2026-05-20"
REPLACES = '\n[replaces]\nnumber = "102"\nreason = "a mistyped value"\nreport = "102.json"\n'


@pytest.fixture(scope="module")
def issued(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Order 102, issued, with its pages beside it."""
    folder = tmp_path_factory.mktemp("day")
    write_demonstration(folder)
    report_order(folder / "102-spring" / "order.toml", date=DATE).write(folder / "102-spring")
    return folder / "102-spring"


@pytest.fixture
def folder(issued: Path, tmp_path: Path) -> Path:
    return Path(shutil.copytree(issued, tmp_path / "102"))


def revise(folder: Path, *, number: str = "102-1", replaces: str = REPLACES) -> OrderReport:
    text = (folder / "order.toml").read_text(encoding="utf-8")
    head, sample = text.split("[sample]")
    head = head.replace('number = "102"', f'number = "{number}"')
    file = folder / f"order-{number}.toml"
    file.write_text(f"{head}[sample]{sample}{replaces}", encoding="utf-8")
    report = report_order(file, date=LATER)
    report.write(folder)
    return report


def edit(file: Path, old: str, new: str) -> None:
    text = file.read_text(encoding="utf-8")
    assert old in text
    file.write_text(text.replace(old, new), encoding="utf-8")


def changed(report: OrderReport) -> dict[tuple[str, str, str], tuple[object, object]]:
    revision = report.document.revision
    assert revision is not None
    return {
        (c.entry.kind, c.entry.quantity, c.entry.subject): (
            c.before and c.before.value,
            c.after and c.after.value,
        )
        for c in revision.changes
    }


def test_a_revision_without_any_difference_says_so(folder: Path) -> None:
    report = revise(folder)
    assert changed(report) == {}
    assert "No difference was found" in html_page(report.document)


def test_a_changed_value_is_listed_with_its_determination_and_its_file(folder: Path) -> None:
    edit(folder / "other-results.csv", ",2.31,", ",2.13,")
    found = changed(revise(folder))
    assert found["result", "rutting_parameter", ""] == (2.31, 2.13)
    assert found["determination", "rutting_parameter", "no. 1"] == (2.31, 2.13)
    assert {key[0] for key in found} == {"result", "determination", "uncertainty", "file"}
    assert ("file", "", "other-results.csv") in found


def test_a_changed_identity_is_listed_field_by_field(folder: Path) -> None:
    edit(folder / "order.toml", 'customer = "Roads of the Tussowey Isles (invented)"', 'customer = "Another"')
    assert changed(revise(folder)) == {
        ("identity", "", "customer"): ("Roads of the Tussowey Isles (invented)", "Another")
    }


def test_another_edition_of_the_specification_is_listed_with_its_hash_and_verdicts(folder: Path) -> None:
    edit(folder / "order.toml", 'specification = "m332-2014"', 'specification = "m332-2020"')
    found = changed(revise(folder))
    assert found["specification", "", "identifier"] == ("m332-2014", "m332-2020")
    assert ("specification", "", "sha256") in found
    assert "verdict" in {key[0] for key in found}


def test_a_result_that_is_gone_and_one_that_is_new_are_listed(folder: Path) -> None:
    edit(
        folder / "other-results.csv", "102,original,,flash_point,282", "102,original,70,rutting_parameter,1.2"
    )
    edit(folder / "other-results.csv", "1.2,°C", "1.2,kPa")
    found = changed(revise(folder))
    assert found["result", "flash_point", ""] == (282.0, None)
    assert found["result", "rutting_parameter", ""] == (None, 1.2)


def test_the_title_counts_revisions_of_the_first_issue(folder: Path) -> None:
    first = revise(folder)
    again = REPLACES.replace('"102"', '"102-1"').replace("102.json", "102-1.json")
    second = revise(folder, number="102-2", replaces=again)
    assert page_of(first.document).title.startswith("Revision 1 of report 102: ")
    assert page_of(second.document).title.startswith("Revision 2 of report 102: ")
    assert changed(second) == {}


def test_terminal_page_workbook_and_json_tell_the_same_changes(folder: Path) -> None:
    edit(folder / "ageing.toml", "duration_min = 85", "duration_min = 84")
    report = revise(folder)
    (change,) = json.loads((folder / "102-1.json").read_bytes())["document"]["revision"]["changes"][:1]
    assert (change["kind"], change["subject"]) == ("ageing", "duration_min")
    assert (change["before"], change["after"], change["unit"]) == (85.0, 84.0, "min")
    rows = list(openpyxl.load_workbook(folder / "102-1.xlsx")["Revision"].values)
    assert ("Ageing", "duration min", "85 min", "84 min") in rows
    assert "duration min" in html_page(report.document)


@pytest.mark.parametrize("missing", ["number", "reason"])
def test_number_and_reason_are_needed(folder: Path, missing: str) -> None:
    kept = "\n".join(line for line in REPLACES.splitlines() if not line.startswith(missing))
    with pytest.raises(SpecificationError, match=f"'replaces': '{missing}' is needed"):
        revise(folder, replaces=kept)


def test_a_revision_with_the_number_of_the_replaced_report_is_refused(folder: Path) -> None:
    with pytest.raises(InputError, match="needs a number of its own, for example '102-1'"):
        revise(folder, number="102")


def test_the_json_of_another_report_is_refused(folder: Path) -> None:
    with pytest.raises(InputError, match="this is report '102', the order says that it replaces '99'"):
        revise(folder, replaces=REPLACES.replace('"102"', '"99"'))


def test_what_is_no_report_is_refused(folder: Path, tmp_path: Path) -> None:
    other = tmp_path / "other.json"
    for content in ("[1]", "{}", "not json", '{"document": {"number": 3}}'):
        other.write_text(content, encoding="utf-8")
        with pytest.raises(FileFormatError, match="a report in JSON, as 'resile report' writes it"):
            compare_reports(folder / "102.json", other)


def test_a_report_does_not_differ_from_itself(folder: Path) -> None:
    assert compare_reports(folder / "102.json", folder / "102.json").changes == ()


def test_a_changed_condition_of_long_term_ageing_is_listed(folder: Path) -> None:
    content = json.loads((folder / "102.json").read_bytes())
    for name, pressure in (("old.json", 2.1), ("new.json", 2.0)):
        content["long_term_ageing"] = {"pressure_mpa": pressure, "duration_h": 20.0, "pans": []}
        (folder / name).write_text(json.dumps(content), encoding="utf-8")
    (change,) = compare_reports(folder / "old.json", folder / "new.json").changes
    assert change.before is not None
    assert change.after is not None
    assert change.entry.subject == "long-term, pressure_mpa"
    assert (change.before.value, change.after.value, change.entry.unit) == (2.1, 2.0, "MPa")
