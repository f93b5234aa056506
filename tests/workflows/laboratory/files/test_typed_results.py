"""Results without a raw record: a table that is dropped, and readings typed by hand; each ends at bytes."""

from collections.abc import Iterator

import pytest

from resile.errors import ConflictError, InputError
from resile.records.determination import Condition
from resile.records.register import TYPED_RESULTS, Kept, Result, Sample
from resile.storage.laboratory_record import LaboratoryRecord
from resile.workflows.laboratory.access.permissions import one_person
from resile.workflows.laboratory.files.hand_readings import TypedReading, keep_readings
from resile.workflows.laboratory.files.ingesting import KeptRecord, RecordTold, keep_record
from resile.workflows.laboratory.files.looking_at_files import see_file
from resile.workflows.laboratory.files.reattaching import attach_file, correct_run
from resile.workflows.laboratory.samples.receiving import Arrival, receive_sample
from resile.workflows.laboratory.statements.grading import grade_stored_sample

AT = "2026-03-02T08:00:00Z"
SOMEBODY = one_person()
HEADINGS = "sample,condition,temperature_c,quantity,value,unit\n"
FLASH = (
    f"{HEADINGS}26-101,original,,flash_point,291,°C\n26-101,original,135,rotational_viscosity,0.412,Pa·s\n"
)


@pytest.fixture
def record(record_url: str) -> Iterator[LaboratoryRecord]:
    opened = LaboratoryRecord.open(record_url)
    yield opened
    opened.close()


@pytest.fixture
def sample(record: LaboratoryRecord) -> Kept[Sample]:
    return receive_sample(record, SOMEBODY, AT, Arrival(number="26-101"))


def kept(record: LaboratoryRecord, text: str, **told: object) -> KeptRecord:
    return keep_record(record, SOMEBODY, AT, text.encode(), "flash.csv", RecordTold(**told))  # type: ignore[arg-type]


def test_a_table_that_is_dropped_is_kept_with_each_value_as_a_line(
    record: LaboratoryRecord, sample: Kept[Sample]
) -> None:
    (one,) = kept(record, FLASH, sample=sample.key).runs
    assert one.run.value.test == TYPED_RESULTS
    assert one.result is not None
    lines = [(x.quantity, x.value, x.unit, x.temperature_c, x.condition) for x in one.result.value.lines]
    assert lines == [
        ("flash_point", 291.0, "°C", None, Condition.ORIGINAL),
        ("rotational_viscosity", 0.412, "Pa·s", 135.0, Condition.ORIGINAL),
    ]
    assert one.result.value.worst == ""


def test_the_same_table_given_again_is_not_doubled(record: LaboratoryRecord, sample: Kept[Sample]) -> None:
    kept(record, FLASH, sample=sample.key)
    again = kept(record, FLASH, sample=sample.key)
    assert again.already
    with record.reading() as reading:
        assert reading.count(Result) == 1


def test_a_table_of_no_sample_is_attached_later(record: LaboratoryRecord, sample: Kept[Sample]) -> None:
    first = kept(record, FLASH)
    attached = attach_file(record, SOMEBODY, AT, first.file, RecordTold(sample=sample.key))
    assert attached.runs[0].run.key == first.runs[0].run.key
    assert attached.runs[0].run.value.sample == sample.key


def test_a_table_of_another_sample_is_refused_and_nothing_is_kept(
    record: LaboratoryRecord, sample: Kept[Sample]
) -> None:
    with pytest.raises(InputError, match="holds results of 26-999; here it is attached to sample 26-101"):
        kept(record, FLASH.replace("26-101", "26-999"), sample=sample.key)
    with record.reading() as reading:
        assert reading.count(Result) == 0


def test_values_that_name_no_residue_take_the_one_that_is_told(
    record: LaboratoryRecord, sample: Kept[Sample]
) -> None:
    bare = f"{HEADINGS}26-101,,,flash_point,291,°C\n"
    (one,) = kept(record, bare, sample=sample.key).runs
    assert one.result is not None
    assert one.result.value.findings == ("value-without-residue",)
    told = RecordTold(sample=sample.key, condition=Condition.ORIGINAL)
    corrected = correct_run(record, SOMEBODY, AT, one.run.key, told, reason="the residue was forgotten")
    assert corrected.result is not None
    assert corrected.result.value.findings == ()
    assert corrected.result.value.lines[0].condition is Condition.ORIGINAL
    judged = grade_stored_sample(record, SOMEBODY, AT, sample.key)
    assert [(x.quantity, x.condition) for x in judged.report.statement.results] == [
        ("flash_point", Condition.ORIGINAL)
    ]


def test_the_page_of_a_table_names_the_row_and_residue_of_each_value(
    record: LaboratoryRecord, sample: Kept[Sample]
) -> None:
    file = kept(record, FLASH, sample=sample.key).file
    (part,) = see_file(record, SOMEBODY, file).parts
    assert [value.place for value in part.values] == ["line 2, original binder", "line 3, original binder"]


def test_a_table_that_two_people_correct_is_not_overwritten_unseen(
    record: LaboratoryRecord, sample: Kept[Sample]
) -> None:
    (one,) = kept(record, FLASH, sample=sample.key).runs
    told = RecordTold(sample=sample.key, operator="A. B.")
    correct_run(record, SOMEBODY, AT, one.run.key, told, reason="who read it", seen=1)
    with pytest.raises(ConflictError, match="corrected in between"):
        correct_run(record, SOMEBODY, AT, one.run.key, told, reason="who read it", seen=1)


def test_readings_typed_by_hand_are_kept_as_a_table_of_what_was_typed(
    record: LaboratoryRecord, sample: Kept[Sample]
) -> None:
    typed = [
        TypedReading("flash_point", "291", "", "original"),
        TypedReading(),
        TypedReading("rotational_viscosity", "0,410", "Pa·s", "original", "135"),
    ]
    one = keep_readings(record, SOMEBODY, AT, "26-101", typed, operator="A. B.")
    with record.reading() as reading:
        assert reading.file(one.file).decode().splitlines() == [
            "sample,condition,temperature_c,quantity,value,unit",
            "26-101,original,,flash_point,291,°C",
            "26-101,original,135,rotational_viscosity,0.410,Pa·s",
        ]
    (run,) = one.runs
    assert run.result is not None
    assert [line.value for line in run.result.value.lines] == [291.0, 0.41]
    assert run.run.value.operator == "A. B."


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ([], "nothing was typed"),
        ([TypedReading("flash_point", "", "", "original")], "row 1, flash point.*no value was typed"),
        ([TypedReading("", "291", "", "original")], "row 1: a value was typed and no quantity"),
        ([TypedReading("flash_point", "291")], "row 1, flash point.*choose the residue"),
        ([TypedReading("flash_point", "hot", "", "original")], "row 1, flash point.*'hot' is no number"),
    ],
)
def test_readings_that_are_not_whole_are_refused_with_their_row(
    record: LaboratoryRecord, sample: Kept[Sample], typed: list[TypedReading], sentence: str
) -> None:
    with pytest.raises(InputError, match=sentence):
        keep_readings(record, SOMEBODY, AT, sample.key, typed)
