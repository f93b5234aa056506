"""What was said of a file beside what the file says: residue, temperature, day, instrument."""

from collections.abc import Iterator
from dataclasses import replace

import pytest

from bench_files import OSCILLATION, creep_record
from resile.judge.rules.file_contradictions import judge_contradictions
from resile.records.batch import FileTold
from resile.records.determination import Condition
from resile.records.file_statement import FileStatement
from resile.records.order import OrderedRecord, OrderedSample, TestOrder
from resile.records.reading import HeldFile
from resile.records.register import Instrument, Run
from resile.specifications.creep_recovery import load_finding_rules
from resile.storage.laboratory_record import LaboratoryRecord
from resile.workflows.archive.batch_rows import rows_of_file
from resile.workflows.laboratory.access.permissions import one_person
from resile.workflows.laboratory.bench.instruments import keep_instrument
from resile.workflows.laboratory.files.ingesting import KeptRecord, RecordTold, keep_record
from resile.workflows.laboratory.files.reading_files import read_file
from resile.workflows.laboratory.files.reattaching import correct_run
from resile.workflows.laboratory.record.recomputing import recompute
from resile.workflows.laboratory.samples.receiving import Arrival, receive_sample
from resile.workflows.laboratory.statements.grading import grade_stored_sample
from resile.workflows.orders.ordered_records import reduce_ordered_record

AT, SOMEBODY = "2026-03-20T08:00:00Z", one_person()
HEAD = b"Residue: RTFO\nTest date: 2026-03-02\nInstrument: Rheometer 1 (S/N 77)\n\n"
FILE = HEAD + creep_record()
RTFO, PAV = Condition.SHORT_TERM_AGED, Condition.LONG_TERM_AGED
SAYS = FileStatement(
    condition=RTFO, temperatures_c=(64.0,), tested="2026-03-02", instruments=("Rheometer 1 (S/N 77)",)
)
EVERY = {
    "residue-contradicts-file",
    "temperature-contradicts-file",
    "day-contradicts-file",
    "instrument-contradicts-file",
}


@pytest.mark.parametrize(
    ("said", "code", "told"),
    [
        ({"condition": PAV}, "residue-contradicts-file", "binder; it was said to be long-term-aged"),
        ({"temperatures_c": (70.0,)}, "temperature-contradicts-file", "it was said to be of 70 °C: 6.0 °C"),
        ({"tested": "2026-04-02"}, "day-contradicts-file", "said to be of 2026-04-02: 31 days"),
        ({"instruments": ("Oven 3",)}, "instrument-contradicts-file", "it was said to be 'Oven 3'"),
    ],
)  # fmt: skip
def test_each_contradiction_is_told_with_both_sides(said: dict[str, object], code: str, told: str) -> None:
    rules = load_finding_rules("file_contradictions")
    (found,) = judge_contradictions(replace(SAYS, **said), SAYS, rules)  # type: ignore[arg-type]
    assert (found.code, told in found.message) == (code, True), found.message


@pytest.mark.parametrize(
    "said",
    [
        {},
        {"temperatures_c": (64.5,)},
        {"tested": "2026-03-03T00:20:00Z"},  # past midnight
        {"tested": "2 to 5 March"},  # no day: nothing to compare
        {"instruments": ("rheometer-1", "99")},  # either name holds the other
        {"instruments": ("the new one", "77")},  # its serial number
        {"condition": Condition.UNKNOWN, "temperatures_c": (), "tested": "", "instruments": ()},
    ],
)
def test_what_agrees_or_is_left_open_raises_nothing(said: dict[str, object]) -> None:
    rules = load_finding_rules("file_contradictions")
    assert not judge_contradictions(replace(SAYS, **said), SAYS, rules)  # type: ignore[arg-type]


@pytest.fixture
def record(record_url: str) -> Iterator[LaboratoryRecord]:
    opened = LaboratoryRecord.open(record_url)
    keep_instrument(opened, SOMEBODY, AT, Instrument(name="Rheometer 1", serial="77"))
    keep_instrument(opened, SOMEBODY, AT, Instrument(name="Rheometer 2"))
    yield opened
    opened.close()


def kept(record: LaboratoryRecord, **told: object) -> KeptRecord:
    sample = receive_sample(record, SOMEBODY, AT, Arrival(number="26-101")).key
    return keep_record(record, SOMEBODY, AT, FILE, "run.csv", RecordTold(sample=sample, **told))  # type: ignore[arg-type]


def test_the_record_tells_it_with_the_run_in_the_verdict_and_when_it_is_recomputed(
    record: LaboratoryRecord,
) -> None:
    told = kept(record, condition=PAV, tested="2026-03-19", instrument="I-000002", temperature_c=70.0)
    (run,) = told.runs
    assert run.result is not None and set(run.result.value.findings) >= EVERY
    assert run.run.value.condition is PAV  # what the person said was used
    assert not recompute(record, SOMEBODY, AT).found  # the same findings again: nothing differs
    corrected = RecordTold(
        sample=run.run.value.sample, condition=RTFO, tested="2026-03-02", instrument="I-000001"
    )
    correct_run(record, SOMEBODY, AT, run.run.key, corrected, seen=1, reason="the label was misread")
    with record.reading() as reading:
        assert reading.count(Run) == 1
    statement = grade_stored_sample(record, SOMEBODY, AT, run.run.value.sample).report.statement
    assert not {f.code for result in statement.results for f in result.findings} & EVERY


def test_a_verdict_carries_the_contradiction(record: LaboratoryRecord) -> None:
    (run,) = kept(record, condition=RTFO, tested="2026-03-19", instrument="I-000002").runs
    statement = grade_stored_sample(record, SOMEBODY, AT, run.run.value.sample).report.statement
    codes = {f.code for result in statement.results for f in result.findings}
    assert codes >= {"day-contradicts-file", "instrument-contradicts-file"}
    assert "residue-contradicts-file" not in codes


def test_an_order_and_a_register_of_files_are_held_against_the_file_too() -> None:
    sample = OrderedSample(name="26-101")
    ordered = OrderedRecord(path=HeldFile("run.csv", FILE), condition=PAV)
    order = TestOrder(sample=sample, number="1", records=(ordered,), tested="2026-05-05")
    (run,) = reduce_ordered_record(ordered, order)
    assert {f.code for f in run.findings} >= {"residue-contradicts-file", "day-contradicts-file"}
    rows = rows_of_file(
        read_file(FILE, "run.csv"), FileTold(condition=str(PAV), tested="2026-03-02"), "0" * 64
    )
    assert all("residue-contradicts-file" in row[14] for row in rows)
    assert not any("day-contradicts-file" in row[14] for row in rows)


def test_a_sweep_is_held_against_its_own_residue_and_temperatures() -> None:
    file = HeldFile("sweep.csv", b"Residue: original\n\n" + OSCILLATION)
    ordered = OrderedRecord(path=file, condition=RTFO, temperature_c=64.0)
    order = TestOrder(sample=OrderedSample(name="26-101"), number="1", records=(ordered,))
    (run,) = reduce_ordered_record(ordered, order)
    assert {f.code for f in run.findings} & EVERY == {"residue-contradicts-file"}
