"""Record files go in: the same numbers as from Python and the command line, nothing doubled, nothing lost."""

import io
import json
import os
import subprocess
import sys
import threading
import time
import zipfile
from collections.abc import Iterator
from pathlib import Path

import pytest

from bench_files import OSCILLATION, SHORT_TERM, VISCOSITY, creep_record
from resile.errors import AmbiguousFileError, ConflictError, InputError, PermissionRefusedError, ResileError
from resile.readers.layout import ColumnLayout, Layout
from resile.records.determination import Condition
from resile.records.reading import HeldFile
from resile.records.register import Actor, Conditioning, Instrument, Kept, Result, Run, Sample, Specimen
from resile.storage.laboratory_record import LaboratoryRecord
from resile.storage.lists.samples import SampleFilter, list_samples
from resile.version import __version__
from resile.workflows.laboratory.access.permissions import one_person
from resile.workflows.laboratory.files.ingesting import KeptRecord, RecordTold, keep_record
from resile.workflows.laboratory.files.reading_files import LARGEST_BYTES
from resile.workflows.laboratory.files.reattaching import attach_file, correct_run, read_again
from resile.workflows.laboratory.files.remembering import remember_layout
from resile.workflows.laboratory.samples.receiving import Arrival, receive_sample
from resile.workflows.reducing.reduction import reduce_record

AT = "2026-03-02T08:00:00Z"
SOMEBODY = one_person()
STRANGE = ("q1", "q2", "q3", "q4")
NAMED = Layout(
    columns=(
        ColumnLayout("1", "time_s", "s"),
        ColumnLayout("2", "stress_kpa", "kPa"),
        ColumnLayout("3", "strain", "%"),
        ColumnLayout("4", "temperature_c", "°C"),
    )
)


@pytest.fixture
def record(record_url: str) -> Iterator[LaboratoryRecord]:
    opened = LaboratoryRecord.open(record_url)
    yield opened
    opened.close()


@pytest.fixture
def sample(record: LaboratoryRecord) -> Kept[Sample]:
    return receive_sample(record, SOMEBODY, AT, Arrival(number="26-101"))


def kept(record: LaboratoryRecord, data: bytes, name: str = "run.csv", **told: object) -> KeptRecord:
    return keep_record(record, SOMEBODY, AT, data, name, RecordTold(**told))


def values_of(result: Kept[Result]) -> dict[str, float | None]:
    return {line.quantity: line.value for line in result.value.lines}


def counts(record: LaboratoryRecord) -> tuple[int, int, int]:
    with record.reading() as reading:
        return reading.count(Run), reading.count(Result), reading.count(Specimen)


def test_python_command_line_and_record_give_the_same_numbers_to_the_last_bit(
    record: LaboratoryRecord, tmp_path: Path
) -> None:
    data = creep_record()
    path = tmp_path / "run.csv"
    path.write_bytes(data)
    level = {lv.stress_kpa: lv for lv in reduce_record(path).creep_recovery_runs[0].levels}[3.2]
    printed = subprocess.run(
        [sys.executable, "-m", "resile", "reduce", "--json", str(path)],
        capture_output=True,
        check=True,
        env={**os.environ},
    ).stdout
    told = next(lv for lv in json.loads(printed)["runs"][0]["levels"] if lv["stress_kpa"] == 3.2)
    result = kept(record, data).runs[0].result
    with record.reading() as reading:
        stored = values_of(reading.get(Result, result.key))
    assert stored["jnr_3.2"] == level.jnr == told["jnr"]
    assert stored["percent_recovery_3.2"] == level.percent_recovery == told["percent_recovery"]


def test_a_run_is_kept_with_file_result_cycles_version_and_what_it_was_reduced_from(
    record: LaboratoryRecord, sample: Kept[Sample]
) -> None:
    data = creep_record()
    answer = kept(record, data, sample=sample.key, specimen="1", condition=Condition.SHORT_TERM_AGED)
    (one,) = answer.runs
    with record.reading() as reading:
        assert reading.file(answer.file) == data
        specimen = reading.get(Specimen, one.run.value.specimen).value
        stage = list_samples(reading, SampleFilter())[0].stage
    assert (specimen.number, specimen.condition) == ("1", Condition.SHORT_TERM_AGED)
    assert len(one.result.value.cycles) == 20
    assert one.result.value.software == __version__
    assert len(one.result.value.input) == 64
    assert one.run.value.verification == "unknown"
    assert stage == "tested"


def test_the_same_file_twice_is_told_and_nothing_is_doubled(
    record: LaboratoryRecord, sample: Kept[Sample]
) -> None:
    data = creep_record()
    first = kept(record, data, sample=sample.key, specimen="1")
    before = counts(record)
    second = kept(record, data, "renamed.csv", sample=sample.key, specimen="1")
    assert not first.already
    assert second.already
    assert second.runs[0].run == first.runs[0].run
    assert second.runs[0].result == first.runs[0].result
    assert counts(record) == before


def test_a_file_dropped_first_and_named_later_is_attached_once(
    record: LaboratoryRecord, sample: Kept[Sample]
) -> None:
    data = creep_record()
    first = kept(record, data)
    second = kept(record, data, sample=sample.key, specimen="1", condition=Condition.SHORT_TERM_AGED)
    assert second.runs[0].run.key == first.runs[0].run.key
    assert second.runs[0].run.value.sample == sample.key
    assert second.runs[0].run.reason == "attached to its sample"
    assert values_of(second.runs[0].result) == values_of(first.runs[0].result)
    assert counts(record) == (1, 1, 1)


def test_one_file_is_not_evidence_of_two_samples(record: LaboratoryRecord, sample: Kept[Sample]) -> None:
    other = receive_sample(record, SOMEBODY, AT, Arrival(number="26-102"))
    data = creep_record()
    kept(record, data, sample=sample.key)
    with pytest.raises(ConflictError, match="of sample 26-101"):
        kept(record, data, sample=other.key)


def test_a_specimen_serves_one_creep_recovery_run(record: LaboratoryRecord, sample: Kept[Sample]) -> None:
    told = {"sample": sample.key, "specimen": "1", "condition": Condition.SHORT_TERM_AGED}
    first = kept(record, creep_record(1), **told)
    with pytest.raises(ConflictError, match=rf"specimen 1 of sample 26-101 .*{first.runs[0].run.key}"):
        kept(record, creep_record(2), **told)
    assert counts(record) == (1, 1, 1)
    kept(record, creep_record(2), **{**told, "specimen": "2"})
    assert counts(record) == (2, 2, 2)


def test_oscillation_on_the_specimen_of_a_creep_recovery_run_is_allowed(
    record: LaboratoryRecord, sample: Kept[Sample]
) -> None:
    told = {"sample": sample.key, "specimen": "1", "condition": Condition.SHORT_TERM_AGED}
    creep = kept(record, creep_record(1), **told)
    answer = kept(record, OSCILLATION, "sweep.csv", **told)
    assert answer.runs[0].run.value.specimen == creep.runs[0].run.value.specimen
    lines = {(line.quantity, line.temperature_c): line.value for line in answer.runs[0].result.value.lines}
    # From the definition: |G*|/sin(delta) of the second row.
    assert lines["rutting_parameter", 64.0] == pytest.approx(2.62 / 0.994338, rel=1e-5)
    assert ("fatigue_parameter", 64.0) not in lines


def test_correcting_the_residue_gives_the_lines_that_it_is_judged_by(
    record: LaboratoryRecord, sample: Kept[Sample]
) -> None:
    first = kept(record, OSCILLATION, "sweep.csv", sample=sample.key, condition=Condition.ORIGINAL)
    told = RecordTold(sample=sample.key, condition=Condition.LONG_TERM_AGED)
    run = first.runs[0].run
    after = correct_run(record, SOMEBODY, AT, run.key, told, reason="wrong residue", seen=run.revision)
    assert (after.run.revision, after.result.revision) == (2, 2)
    assert "fatigue_parameter" in values_of(after.result)
    assert "rutting_parameter" not in values_of(after.result)
    with pytest.raises(ConflictError):
        correct_run(record, SOMEBODY, AT, run.key, RecordTold(sample=sample.key), reason="x", seen=1)


def test_viscosity_is_kept_at_each_temperature(record: LaboratoryRecord) -> None:
    answer = kept(record, VISCOSITY, "viscosity.csv")
    lines = answer.runs[0].result.value.lines
    assert [(line.temperature_c, line.value, line.unit) for line in lines] == [
        (120.0, 0.911, "Pa·s"),
        (135.0, 0.402, "Pa·s"),
        (150.0, 0.201, "Pa·s"),
    ]


def test_plates_of_the_instrument_are_kept_with_the_run_where_nothing_else_names_them(
    record: LaboratoryRecord,
) -> None:
    with record.writing(by="P-000001", at=AT) as book:
        rheometer = book.keep(Instrument(name="R1", plate_diameter_mm=25.0, gap_mm=1.0))
    run = kept(record, creep_record(), instrument=rheometer.key).runs[0].run.value
    assert (run.plate_diameter_mm, run.gap_mm, run.instrument) == (25.0, 1.0, rheometer.key)


def test_a_file_that_cannot_be_read_is_kept_and_read_as_soon_as_somebody_says_how(
    record: LaboratoryRecord,
) -> None:
    data = creep_record(headings=STRANGE)
    first = kept(record, data)
    assert first.refusal is not None
    assert first.runs[0].run.value.test == "unread"
    assert first.runs[0].result.value.messages == (str(first.refusal),)
    assert first.runs[0].result.value.worst == "invalid"
    again = read_again(record, SOMEBODY, AT, first.file, NAMED, reason="columns named")
    assert again.runs[0].run.key == first.runs[0].run.key
    assert again.runs[0].run.value.test == "creep_recovery"
    usual = kept(record, creep_record(2))
    assert values_of(again.runs[0].result)["jnr_3.2"] == pytest.approx(
        values_of(usual.runs[0].result)["jnr_3.2"], rel=1e-6
    )
    assert counts(record)[:2] == (2, 2)


def test_a_layout_that_does_not_fit_changes_nothing(record: LaboratoryRecord) -> None:
    first = kept(record, creep_record(headings=STRANGE))
    with pytest.raises(ResileError):
        read_again(record, SOMEBODY, AT, first.file, Layout(heading_row=9000), reason="try")
    with record.reading() as reading:
        assert reading.revision_of(Run, first.runs[0].run.key) == 1


def test_the_next_file_of_a_kind_is_read_at_once_by_its_headings(record: LaboratoryRecord) -> None:
    example = HeldFile("a.csv", creep_record(headings=STRANGE))
    remember_layout(record, SOMEBODY, AT, "Rheometer 2", NAMED, example=example)
    answer = kept(record, creep_record(5, headings=STRANGE), "b.csv")
    assert answer.layout == "Rheometer 2"
    assert answer.runs[0].run.value.test == "creep_recovery"
    assert kept(record, creep_record(5, headings=("w", "x", "y", "z"))).refusal is not None


def test_an_ageing_record_goes_to_conditioning(record: LaboratoryRecord, sample: Kept[Sample]) -> None:
    answer = kept(record, SHORT_TERM, "ageing.toml", sample=sample.key)
    (ageing,) = answer.ageings
    assert ageing.value.condition is Condition.SHORT_TERM_AGED
    # From the masses: mean of -0.109/35.017 and -0.106/34.975, in percent.
    assert ageing.value.mass_change_percent == pytest.approx(-0.30717, abs=5e-5)
    again = kept(record, SHORT_TERM, "ageing.toml", sample=sample.key)
    assert again.already
    assert again.ageings == (ageing,)


def test_an_ageing_record_of_no_sample_waits_for_it(record: LaboratoryRecord, sample: Kept[Sample]) -> None:
    first = kept(record, SHORT_TERM, "ageing.toml")
    assert first.runs[0].run.value.test == "ageing"
    assert kept(record, SHORT_TERM, "ageing.toml").already
    then = attach_file(record, SOMEBODY, AT, first.file, RecordTold(sample=sample.key))
    assert then.ageings[0].value.sample == sample.key
    with record.reading() as reading:
        assert reading.count(Conditioning) == 1


def test_a_question_a_file_raises_is_named(record: LaboratoryRecord) -> None:
    both = b"time (s);load (mN);deflection (mm);stress (kPa);strain (%)\n" + b"".join(
        b"%d;980;0.%d;0.1;%d\n" % (n, n, n) for n in range(1, 30)
    )
    answer = kept(record, both)
    assert isinstance(answer.refusal, AmbiguousFileError)
    assert answer.question == answer.refusal.option


@pytest.mark.parametrize(
    ("name", "data"),
    [
        ("empty.csv", b""),
        ("blank.csv", b"  \r\n \n"),
        ("setup.exe", b"MZ\x90\x00" + bytes(range(256)) * 8),
        ("report.pdf", b"%PDF-1.7\n%\xe2\xe3\xcf\xd3\n" + bytes(2000)),
        ("huge.csv", b"1;2;3\n" * (60_000_000 // 6)),
    ],
)
def test_what_can_never_be_a_record_is_refused_and_not_kept(
    record: LaboratoryRecord, name: str, data: bytes
) -> None:
    with pytest.raises(InputError, match="Nothing was kept") as told:
        kept(record, data, name)
    if len(data) > LARGEST_BYTES:
        assert "60.0 MB" in str(told.value)
        assert "50 MB" in str(told.value)
    assert counts(record) == (0, 0, 0)


def test_a_workbook_that_would_burst_is_kept_packed_and_never_unpacked(record: LaboratoryRecord) -> None:
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("[Content_Types].xml", "<Types/>")
        archive.writestr("xl/workbook.xml", "<workbook/>")
        archive.writestr("xl/worksheets/sheet1.xml", b"0" * 300_000_000)
    started = time.process_time()
    answer = kept(record, packed.getvalue(), "bomb.xlsx")
    assert answer.refusal is not None
    assert time.process_time() - started < 5.0


def test_two_people_drop_one_file_at_once_and_it_is_kept_once(record: LaboratoryRecord) -> None:
    data, answers = creep_record(), []
    starts = threading.Barrier(4)

    def drop() -> None:
        starts.wait()
        answers.append(keep_record(record, SOMEBODY, AT, data, "run.csv"))

    people = [threading.Thread(target=drop) for _ in range(4)]
    for one in people:
        one.start()
    for one in people:
        one.join()
    assert sorted(answer.already for answer in answers) == [False, True, True, True]
    assert counts(record)[:2] == (1, 1)


def test_a_specimen_without_a_sample_is_refused(record: LaboratoryRecord) -> None:
    with pytest.raises(InputError, match="name the sample"):
        kept(record, creep_record(), specimen="1")


def test_one_without_the_permission_is_refused(record: LaboratoryRecord) -> None:
    reader = Actor("P-000009", "A reader", frozenset({"samples.see"}))
    with pytest.raises(PermissionRefusedError):
        keep_record(record, reader, AT, creep_record(), "run.csv")


def test_a_record_of_3000_rows_is_kept_well_within_a_second(record: LaboratoryRecord) -> None:
    kept(record, creep_record(1))  # libraries are loaded by the first one
    data = creep_record(2)
    assert data.count(b"\n") > 3000
    started = time.process_time()
    kept(record, data)
    assert time.process_time() - started < 1.0  # of this processor: others may be at work


def test_a_long_file_that_cannot_be_read_is_told_so_at_once(record: LaboratoryRecord) -> None:
    kept(record, creep_record(1))
    started = time.process_time()
    assert kept(record, creep_record(2, headings=STRANGE), "strange.csv").refusal is not None
    assert time.process_time() - started < 3.0
