"""Checks with a material of known value: they verify the instrument, and a bad one stamps what is measured.

The zone is that printed on the certificate of a check fluid (s 0.19 %, U 0.22 % at k 2, 33.98 mm²/s: 33.87 to
34.09), taken in percent of a reference of 33.98 Pa·s.
"""

from collections.abc import Iterator
from dataclasses import replace

import pytest

from bench_files import creep_record
from resile.errors import InputError, PermissionRefusedError
from resile.records.determination import Condition
from resile.records.register import Actor, CheckMaterial, CheckResult, Instrument, Run, Verification
from resile.storage.laboratory_record import LaboratoryRecord
from resile.workflows.laboratory.access.permissions import one_person
from resile.workflows.laboratory.bench.instruments import keep_instrument
from resile.workflows.laboratory.bench.instruments_seen import instrument_sheet
from resile.workflows.laboratory.comparisons.check_materials import keep_check, keep_material, material_sheets
from resile.workflows.laboratory.files.ingesting import RecordTold, keep_record
from resile.workflows.laboratory.runs.kept_runs import see_run
from resile.workflows.laboratory.runs.run_pictures import Chosen
from resile.workflows.laboratory.samples.receiving import Arrival, receive_sample
from resile.workflows.laboratory.statements.grading import grade_stored_sample

AT = "2026-04-01T08:00:00Z"
SOMEBODY = one_person()
FLUID = CheckMaterial(
    name="Fluid 34",
    kind="check-fluid",
    quantity="rotational_viscosity",
    reference=33.98,
    reference_expanded=33.98 * 0.0022,
    site_deviation=33.98 * 0.0019,
    interval_days=30,
)


@pytest.fixture
def record(record_url: str) -> Iterator[LaboratoryRecord]:
    opened = LaboratoryRecord.open(record_url)
    keep_instrument(opened, SOMEBODY, AT, Instrument(name="rheometer", tests=("creep_recovery",)))
    keep_material(opened, SOMEBODY, AT, FLUID)
    yield opened
    opened.close()


def check(record: LaboratoryRecord, measured: float, done: str) -> Verification:
    found = CheckResult(material="CM-000001", instrument="I-000001", measured=measured, done=done)
    return keep_check(record, SOMEBODY, AT, found)[1].value


def run_of(record: LaboratoryRecord, number: str, tested: str) -> str:
    sample = receive_sample(record, SOMEBODY, AT, Arrival(number=number))
    told = RecordTold(
        sample=sample.key, condition=Condition.SHORT_TERM_AGED, instrument="I-000001", tested=tested
    )
    keep_record(record, SOMEBODY, AT, creep_record() + f"# {number}\n".encode(), f"{number}.csv", told)
    return sample.key


def codes(record: LaboratoryRecord, sample: str) -> set[str]:
    statement = grade_stored_sample(record, SOMEBODY, AT, sample).report.statement
    every = [*statement.findings, *(f for result in statement.results for f in result.findings)]
    return {one.code for one in every}


def test_a_check_inside_the_zone_of_its_certificate_verifies_the_instrument(record: LaboratoryRecord) -> None:
    verification = check(record, 34.08, "2026-03-02")
    assert verification.passed
    assert (
        verification.tolerance == 0.11
    )  # 1.44 sqrt(0.19² + 0.11²) % of 33.98 is 0.1074; printed 33.87 to 34.09
    assert verification.what == "rotational viscosity by check fluid"
    assert verification.due == "2026-04-01"
    assert instrument_sheet(record, SOMEBODY, "I-000001", "2026-03-30").state == "verified"
    assert instrument_sheet(record, SOMEBODY, "I-000001", "2026-04-02").state == "overdue"


def test_check_and_verification_agree_at_the_end_of_the_printed_zone(record: LaboratoryRecord) -> None:
    for measured, passed in ((34.09, True), (34.094, True), (34.096, False), (33.87, True), (33.86, False)):
        verification = check(record, measured, "2026-03-02")
        assert verification.passed is passed
        with record.reading() as reading:
            (sheet,) = material_sheets(reading)
        assert (sheet.chart.verdicts[-1].judged == "inside") is passed  # type: ignore[union-attr]
        assert sheet.checks[-1].value.measured == measured  # as found; the verification holds it as compared


def test_outside_the_zone_it_fails_until_a_good_check_and_what_lies_between_is_reviewed(
    record: LaboratoryRecord,
) -> None:
    check(record, 33.98, "2026-03-02")
    before = run_of(record, "before", "2026-03-05")
    assert not check(record, 34.10, "2026-03-09").passed
    between = run_of(record, "between", "2026-03-10")
    assert check(record, 33.99, "2026-03-12").passed
    after = run_of(record, "after", "2026-03-13")
    with record.reading() as reading:
        stamps = {run.value.file_name: run.value.verification for run in reading.find(Run)}
    assert stamps == {"before.csv": "verified", "between.csv": "failed", "after.csv": "verified"}
    (review,) = instrument_sheet(record, SOMEBODY, "I-000001", AT).reviews
    assert (review.since, [one.name for one in review.measured]) == ("2026-03-02", ["before.csv"])
    assert "verification-failed-later" in codes(record, before)
    with record.reading() as reading:
        keys = {run.value.file_name: run.key for run in reading.find(Run)}
    for name, told in (("before.csv", "verification-failed-later"), ("between.csv", "verification-failed")):
        seen = see_run(record, keys[name], actor=SOMEBODY, chosen=Chosen())
        assert told in {one.code for one in seen.view.findings}  # the page of the run says it as well
    assert "verification-failed" in codes(record, between)
    assert not codes(record, after) & {"verification-failed", "verification-failed-later"}


def test_a_good_repeat_on_the_same_day_leaves_earlier_tests_out_of_doubt(record: LaboratoryRecord) -> None:
    sample = run_of(record, "before", "2026-03-05")
    check(record, 34.10, "2026-03-09")
    check(record, 33.97, "2026-03-09")
    assert "verification-failed-later" not in codes(record, sample)


def test_a_corrected_check_corrects_its_verification(record: LaboratoryRecord) -> None:
    check(record, 34.10, "2026-03-09")
    typed = CheckResult(material="CM-000001", instrument="I-000001", measured=34.01, done="2026-03-09")
    keep_check(record, SOMEBODY, AT, typed, key="CR-000001", seen=1, reason="mistyped")
    with record.reading() as reading:
        (verification,) = reading.find(Verification)
        (sheet,) = material_sheets(reading)
    assert (verification.value.passed, verification.revision) == (True, 2)
    assert [one.check.measured for one in sheet.chart.verdicts] == [34.01]  # type: ignore[union-attr]


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        ({"site_deviation": None}, "nothing says how far a check may lie"),
        ({"name": " "}, "name and lot are needed"),
        ({"kind": "cheese"}, "needed is one of"),
        ({"until": "soon"}, "is no day"),
        ({"tolerance": -1.0}, "an amount above zero"),
    ],
)
def test_a_material_that_is_not_whole_is_refused(
    record: LaboratoryRecord, changed: dict[str, object], said: str
) -> None:
    with pytest.raises(InputError, match=said):
        keep_material(record, SOMEBODY, AT, replace(FLUID, **changed))  # type: ignore[arg-type]


def test_a_stated_tolerance_is_the_zone_and_a_material_out_of_date_is_refused(
    record: LaboratoryRecord,
) -> None:
    beam = CheckMaterial(
        name="Beam", kind="steel-beam", quantity="creep_stiffness", reference=200.0, tolerance=20.0,
        until="2026-03-10",
    )  # fmt: skip
    key = keep_material(record, SOMEBODY, AT, beam).key
    found = CheckResult(material=key, instrument="I-000001", measured=220.0, done="2026-03-10")
    assert keep_check(record, SOMEBODY, AT, found)[1].value.passed
    assert not keep_check(record, SOMEBODY, AT, replace(found, measured=220.1))[1].value.passed
    with pytest.raises(InputError, match="may be used until 2026-03-10"):
        keep_check(record, SOMEBODY, AT, replace(found, done="2026-03-11"))


def test_who_works_at_the_bench_may_check_and_may_not_register_materials(record: LaboratoryRecord) -> None:
    bench = Actor("P-1", "somebody", frozenset({"bench.write", "runs.see"}))
    found = CheckResult(material="CM-000001", instrument="I-000001", measured=33.98, done="2026-03-09")
    assert keep_check(record, bench, AT, found)[0].value.verification
    with pytest.raises(PermissionRefusedError):
        keep_material(record, bench, AT, replace(FLUID, name="other"))
    with pytest.raises(PermissionRefusedError):
        keep_check(record, bench, AT, found, key="CR-000001", seen=1, reason="mine")
