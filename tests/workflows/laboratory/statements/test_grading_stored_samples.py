"""A sample of the record is graded by the core that works through a test order, on both databases."""

from collections.abc import Iterator
from dataclasses import replace
from typing import Any

import pytest

from resile.errors import ConflictError, InputError, PermissionRefusedError, ResileError
from resile.records.determination import Condition
from resile.records.register import Actor, Asked, Run, Sample, Verdict
from resile.report.paper.statements.answer import findings_of
from resile.storage.laboratory_record import LaboratoryRecord
from resile.workflows.laboratory.access.permissions import one_person, roles
from resile.workflows.laboratory.statements.grading import (
    choose_rules,
    grade_as_if,
    grade_stored_sample,
    verdict_content,
)
from resile.workflows.orders.ordering import report_order
from stored_samples import AT, keep_order, order_file

ORDERS = (
    "101-plain",
    "102-spring",
    "103-spring-tank-2",
    "104-certificate",
    "105-receipt",
    "201-plain",
    "202-blend",
    "203-polymer",
)
OF_THE_ISSUE = {"order", "document", "verdict", "results_judged"}


@pytest.fixture
def record(record_url: str) -> Iterator[LaboratoryRecord]:
    opened = LaboratoryRecord.open(record_url)
    yield opened
    opened.close()


def without_paths(content: Any, folder: str) -> Any:
    """The same JSON, every file named by its last part."""
    if isinstance(content, dict):
        return {
            key: without_paths(value, folder) for key, value in content.items() if key not in OF_THE_ISSUE
        }
    if isinstance(content, list):
        return [without_paths(one, folder) for one in content]
    return content.replace(folder, "") if isinstance(content, str) else content


@pytest.mark.parametrize("folder", ORDERS)
def test_a_stored_sample_has_the_numbers_of_its_test_order(record: LaboratoryRecord, folder: str) -> None:
    key = keep_order(record, folder)
    stored = grade_stored_sample(record, one_person(), AT, key)
    asked = report_order(order_file(folder), date="2026-05-13")
    place = f"{order_file(folder).parent}/"
    assert without_paths(stored.to_json(), place) == without_paths(asked.to_json(), place)
    assert stored.complies == asked.complies


def test_a_verdict_is_kept_with_its_lines_rules_results_and_nearest_margin(record: LaboratoryRecord) -> None:
    key = keep_order(record, "102-spring")
    graded = grade_stored_sample(record, one_person(), AT, key)
    assert graded.verdict is not None
    with record.reading() as reading:
        verdict, content = verdict_content(reading, one_person(), graded.verdict.key)
        assert reading.file(verdict.value.pictures["margins"]).startswith(b"<svg")
    assert (verdict.value.specification, verdict.value.decision_rule) == ("m332-2014", "four-state")
    assert verdict.value.results == ("E-000001/1", "E-000002/1")
    margins = [
        line["margin_repeatabilities"]
        for line in content["verdicts"]
        if line["class"] == "64V" and line["margin_repeatabilities"] is not None
    ]
    assert verdict.value.nearest_margin == min(margins)
    assert verdict.value.complies is graded.complies


def test_a_torn_specimen_is_kept_out_and_told(record: LaboratoryRecord) -> None:
    key = keep_order(record, "103-spring-tank-2")
    content = grade_stored_sample(record, one_person(), AT, key).to_json()
    (jnr,) = [one for one in content["results"] if one["quantity"] == "jnr_3.2"]
    assert [one["counted"] for one in jnr["determinations"]] == [False, True]
    assert any(one["severity"] == "invalid" for one in content["findings"])


def codes(record: LaboratoryRecord, key: str) -> dict[str, str]:
    findings = grade_stored_sample(record, one_person(), AT, key).to_json()["findings"]
    return {one["code"]: one["severity"] for one in findings}


def revise_run(record: LaboratoryRecord, **changes: Any) -> None:
    with record.writing(by="P-1", at=AT) as book:
        (kept, *_) = book.find(Run, test="creep_recovery")
        book.keep(replace(kept.value, **changes), key=kept.key, reason="for the test")


def test_a_run_without_a_residue_is_left_out_and_told(record: LaboratoryRecord) -> None:
    key = keep_order(record, "102-spring")
    revise_run(record, condition=Condition.UNKNOWN)
    graded = grade_stored_sample(record, one_person(), AT, key)
    assert graded.stored.results == ("E-000002/1",)
    assert "run-without-residue" in codes(record, key)


def test_an_overdue_verification_is_told_and_a_failed_one_keeps_the_run_out(record: LaboratoryRecord) -> None:
    key = keep_order(record, "101-plain")
    revise_run(record, verification="overdue")
    report = grade_stored_sample(record, one_person(), AT, key).report
    told = {f.code: f for run in report.runs for f in run.findings}
    assert "rheometer on bench 1" in told["verification-overdue"].message
    assert report.complies
    revise_run(record, verification="failed")
    report = grade_stored_sample(record, one_person(), AT, key).report
    assert "verification-failed" in {f.code for f in findings_of(report.document)}
    lines = [one for one in report.statement.classes[0].verdicts if one.requirement.quantity == "jnr_3.2"]
    assert {str(line.outcome) for line in lines} == {"not tested"}
    assert not report.complies


def test_rules_changed_after_the_first_run_are_told_and_unknown_ones_refused(
    record: LaboratoryRecord,
) -> None:
    key = keep_order(record, "101-plain")
    assert "rules-changed-after-testing" not in codes(record, key)
    with record.reading() as reading:
        asked = reading.get(Sample, key).value.asked
    with pytest.raises(ResileError, match="no-such-rule"):
        choose_rules(
            record, one_person(), AT, key, replace(asked, decision_rule="no-such-rule"), reason="for the test"
        )
    choose_rules(
        record, one_person(), AT, key, replace(asked, decision_rule="guard-band"), seen=1, reason="agreed"
    )
    with pytest.raises(ConflictError):
        choose_rules(record, one_person(), AT, key, asked, seen=1, reason="agreed")
    assert codes(record, key)["rules-changed-after-testing"] == "caution"


def test_a_question_by_other_rules_keeps_nothing(record: LaboratoryRecord) -> None:
    key = keep_order(record, "101-plain")
    asked = grade_as_if(record, one_person(), AT, key, Asked(decision_rule="guard-band", service_class="V"))
    assert asked.verdict is None
    assert asked.to_json()["decision_rule"] == "guard-band"
    assert not asked.complies
    with record.reading() as reading:
        assert reading.count(Verdict) == 0


def test_a_rule_that_is_a_path_opens_no_file(record: LaboratoryRecord) -> None:
    key = keep_order(record, "101-plain")
    with pytest.raises(ResileError):
        grade_as_if(record, one_person(), AT, key, Asked(specification=str(order_file("101-plain"))))


def test_only_who_may_judge_grades_and_only_staff_see_a_verdict(record: LaboratoryRecord) -> None:
    key = keep_order(record, "101-plain")
    technician = Actor("P-2", "A. Other", roles()["technician"].may)
    with pytest.raises(PermissionRefusedError, match="grade a sample"):
        grade_stored_sample(record, technician, AT, key)
    verdict = grade_stored_sample(record, one_person(), AT, key).verdict
    assert verdict is not None
    customer = Actor("P-3", "A Customer", roles()["customer-reader"].may, "K-000001")
    with record.reading() as reading, pytest.raises(PermissionRefusedError):
        verdict_content(reading, customer, verdict.key)


def test_a_sample_without_a_test_is_refused_with_what_to_do(record: LaboratoryRecord) -> None:
    with record.writing(by="P-1", at=AT) as book:
        key = book.keep(Sample(number="900")).key
    with pytest.raises(InputError, match=r"sample 900: no run.*drop a record first"):
        grade_stored_sample(record, one_person(), AT, key)
