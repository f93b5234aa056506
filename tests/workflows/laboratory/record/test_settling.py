"""How the laboratory works: changed with a reason, on both databases."""

from collections.abc import Iterator
from dataclasses import replace

import pytest

from resile.errors import ConflictError, FileFormatError, InputError, PermissionRefusedError, ResileError
from resile.records.reading import HeldFile
from resile.records.register import Actor, LaboratorySettings
from resile.storage.laboratory_record import LaboratoryRecord
from resile.workflows.laboratory.access.permissions import one_person, roles
from resile.workflows.laboratory.bench.house import settings_in_force
from resile.workflows.laboratory.record.settling import settings_sheet, settle

AT = "2026-05-12T10:00:00Z"
LAB = LaboratorySettings(name="Works laboratory (invented)", address="Quay 3", sample_numbers="B-YY-NNN")
LOGO = HeldFile(
    "mark.svg",
    b'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 2 1"><rect width="2" height="1"/></svg>',
)


@pytest.fixture
def record(record_url: str) -> Iterator[LaboratoryRecord]:
    opened = LaboratoryRecord.open(record_url)
    yield opened
    opened.close()


def test_the_first_settings_need_no_reason_and_each_later_change_does(record: LaboratoryRecord) -> None:
    settle(record, one_person(), AT, LAB)
    with pytest.raises(InputError, match="needs its reason"):
        settle(record, one_person(), AT, replace(LAB, four_eyes=True), seen=1)
    settle(record, one_person(), AT, replace(LAB, four_eyes=True), seen=1, reason="two of us now")
    sheet = settings_sheet(record, one_person(), AT)
    assert sheet.settings.four_eyes
    assert [(one.revision, one.reason) for one in sheet.changes] == [(2, "two of us now"), (1, "")]
    assert [(one.name, one.before, one.after) for one in sheet.changes[0].changes] == [
        ("four_eyes", False, True)
    ]


def test_the_next_number_is_told_for_the_year_of_the_clock(record: LaboratoryRecord) -> None:
    settle(record, one_person(), AT, replace(LAB, statement_numbers="C-YYYY-NN"))
    sheet = settings_sheet(record, one_person(), AT)
    assert (sheet.next_sample, sheet.next_statement) == ("B-26-001", "C-2026-01")


def test_the_logo_stays_until_another_or_none_is_wanted(record: LaboratoryRecord) -> None:
    settle(record, one_person(), AT, LAB, logo=LOGO)
    settle(record, one_person(), AT, replace(LAB, contact="by post"), seen=1, reason="contact")
    with record.reading() as reading:
        assert reading.file(settings_in_force(reading).logo) == LOGO.content
    settle(record, one_person(), AT, LAB, without_logo=True, seen=2, reason="no logo")
    assert settings_sheet(record, one_person(), AT).logo == ""


def test_nothing_is_kept_where_nothing_differs(record: LaboratoryRecord) -> None:
    settle(record, one_person(), AT, LAB)
    assert settle(record, one_person(), AT, LAB, seen=1).revision == 1


@pytest.mark.parametrize(
    ("changed", "words"),
    [
        ({"name": " "}, "name of the laboratory"),
        ({"address": ""}, "its address"),
        ({"accreditation": "x" * 601}, "601 characters"),
        ({"sample_numbers": "YYYY"}, "one row of N"),
        ({"statement_numbers": "N-N"}, "one row of N"),
        ({"specification": "nowhere"}, "nowhere"),
        ({"decision_rule": "nowhere"}, "nowhere"),
        ({"heating_rule": "nowhere"}, "nowhere"),
        ({"retention_rule": "../x.toml"}, "is a path"),
    ],
)
def test_settings_that_could_not_be_worked_by_are_refused(
    record: LaboratoryRecord, changed: dict[str, str], words: str
) -> None:
    with pytest.raises(ResileError, match=words):
        settle(record, one_person(), AT, replace(LAB, **changed))  # type: ignore[arg-type]
    with record.reading() as reading:
        assert reading.count(LaboratorySettings) == 0


def test_a_logo_that_runs_a_script_is_refused(record: LaboratoryRecord) -> None:
    content = LOGO.content.replace(b"<rect", b"<script>x()</script><rect")
    with pytest.raises(FileFormatError, match="script"):
        settle(record, one_person(), AT, LAB, logo=HeldFile("mark.svg", content))


def test_two_who_settle_at_once_do_not_overwrite_each_other(record: LaboratoryRecord) -> None:
    settle(record, one_person(), AT, LAB)
    with pytest.raises(ConflictError, match="while you worked on them"):
        settle(record, one_person(), AT, replace(LAB, name="Another"), seen=0)


@pytest.mark.parametrize("role", ["technician", "specialist", "releaser", "customer-reader"])
def test_only_who_may_change_the_settings_sees_them(record: LaboratoryRecord, role: str) -> None:
    person = Actor("P-000007", "R. Ode", roles()[role].may, "K-000001" if role.startswith("cust") else "")
    with pytest.raises(PermissionRefusedError, match="change how the laboratory works"):
        settings_sheet(record, person, AT)
    with pytest.raises(PermissionRefusedError):
        settle(record, person, AT, LAB)
