"""Record files go in: read outside the transaction, kept in one with all that they gave.

A file that cannot be read yet is kept byte for byte as a run of test ``unread``, with the refusal as its
finding: nothing is lost, and it is read as soon as somebody says how (`reattaching.read_again`).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace

from resile.errors import AmbiguousFileError, ConflictError, InputError, ResileError
from resile.readers.layout import Layout, layout_to_toml
from resile.records.determination import Condition
from resile.records.order import Instrument as OrderedInstrument
from resile.records.reading import HeldFile
from resile.records.register import Actor, Conditioning, Instrument, Kept, Result, Run, Sample
from resile.storage.laboratory_record import LaboratoryRecord
from resile.storage.raw_files import PackedFile
from resile.storage.reading import Reading
from resile.workflows.laboratory.access.permissions import require, require_sight
from resile.workflows.laboratory.files.belonging import Belonging
from resile.workflows.laboratory.files.keeping_runs import KeptRun, keep_ageings, keep_parts
from resile.workflows.laboratory.files.reading_files import (
    AGEING,
    UNREAD,
    ReadFile,
    check_file,
    read_file,
    with_settings,
)
from resile.workflows.laboratory.files.remembering import layout_of, remembered_layout


@dataclass(frozen=True, slots=True, kw_only=True)
class RecordTold:
    """What a person says of a record file.

    Attributes
    ----------
    sample, instrument : str
        Keys; empty where not said.
    specimen : str
        Number of the specimen; it is kept as one of the sample where it is new.
    condition : Condition
        State of the binder.
    operator, tested, note : str
        Who tested, on which day, what else is to be known.
    layout : Layout or None
        How the file is read; None to take the one that was saved for its headings, or none.
    sheet : str
        Sheet of a workbook; empty for all.
    temperature_c, plate_diameter_mm, gap_mm : float or None
        As in `Run`.
    """

    sample: str = ""
    specimen: str = ""
    condition: Condition = Condition.UNKNOWN
    instrument: str = ""
    operator: str = ""
    tested: str = ""
    note: str = ""
    layout: Layout | None = None
    sheet: str = ""
    temperature_c: float | None = None
    plate_diameter_mm: float | None = None
    gap_mm: float | None = None


@dataclass(frozen=True, slots=True)
class KeptRecord:
    """What became of a record file.

    Attributes
    ----------
    file, name : str
        Its SHA-256, and the name under which it came.
    runs : tuple of KeptRun
        Its runs with their results.
    ageings : tuple of Kept of Conditioning
        The ageing records in it.
    already : bool
        True where the record held this file before: nothing was doubled.
    refusal : ResileError or None
        Why it could not be read yet; it is kept all the same.
    layout : str
        Name of the saved layout by which it was read; empty for none.
    """

    file: str
    name: str
    runs: tuple[KeptRun, ...] = ()
    ageings: tuple[Kept[Conditioning], ...] = field(default_factory=tuple)
    already: bool = False
    refusal: ResileError | None = None
    layout: str = ""

    @property
    def question(self) -> str:
        """The option that answers the question a file raises; empty where it raises none."""
        return self.refusal.option if isinstance(self.refusal, AmbiguousFileError) else ""


def keep_record(
    record: LaboratoryRecord,
    actor: Actor,
    at: str,
    data: bytes,
    name: str,
    told: RecordTold | None = None,
    *,
    before_writing: Callable[[], None] | None = None,
) -> KeptRecord:
    """Keep a record file with the runs and results it gives.

    Parameters
    ----------
    record : LaboratoryRecord
        Where it is kept.
    actor : Actor
        Who keeps it.
    at : str
        When, ISO 8601 in UTC.
    data, name : bytes, str
        The file.
    told : RecordTold, optional
        What the person says of it.
    before_writing : callable, optional
        Called when the file is read and nothing is written yet: what it raises leaves the file out.

    Returns
    -------
    KeptRecord
        The same file given again is told and nothing is doubled: runs of it that are of no sample yet are
        attached to the sample named now, and one that could not be read is tried again.

    Raises
    ------
    PermissionRefusedError, InputError, RecordNotFoundError
        Where it may not be kept, is no record at all (empty, too large, neither text nor workbook), or
        names no sample or instrument of the record.
    ConflictError
        The file belongs to another sample, or its specimen has had its creep-recovery run.
    """
    require(actor, "runs.keep")
    told = told or RecordTold()
    check_file(data, name)
    if told.specimen and not told.sample:
        raise InputError(f"{name}: specimen {told.specimen} belongs to a sample; name the sample")
    packed = PackedFile.of(data)
    file = HeldFile(name, data)
    with record.reading() as reading:
        belonging = belonging_of(reading, actor, told)
        saved = remembered_layout(reading, file) if told.layout is None else None
        layout = layout_of(reading, saved.value.file) if saved else told.layout
        linked = _kept_ageings(reading, told.sample)
    settled = with_settings(layout, sheet=told.sheet, temperature_c=told.temperature_c)
    read = read_file(
        data,
        name,
        layout=settled,
        lengths=belonging.lengths,
        instruments=belonging.plates,
        linked=linked.get,
        condition=told.condition,
    )
    if before_writing is not None:
        before_writing()
    with record.writing(by=actor.key, at=at) as book:
        runs, ageings = of_file(book, packed.sha256)
        if _nothing_new(runs, ageings, read, told):
            _refuse_other_sample(book, runs, ageings, told, name)
            return KeptRecord(
                packed.sha256, name, with_results(book, runs), tuple(ageings), True, read.refusal
            )
        book.keep_file(packed)
        text = layout_to_toml(layout) if layout is not None and layout != Layout() else ""
        belonging = replace(belonging, layout=book.keep_file(text.encode()) if text else "")
        if read.ageings and told.sample:
            ageings = keep_ageings(book, read, belonging, packed.sha256, runs)
            runs = []
        else:
            kept = keep_parts(book, read, belonging, packed.sha256, runs, reason=_reason(runs, told))
            return KeptRecord(
                packed.sha256, name, kept, (), bool(runs), read.refusal, saved.value.name if saved else ""
            )
    return KeptRecord(packed.sha256, name, (), tuple(ageings), False, read.refusal)


def belonging_of(reading: Reading, actor: Actor, told: RecordTold) -> Belonging:
    """Look up what a file is said to belong to.

    Raises
    ------
    RecordNotFoundError, PermissionRefusedError
        The record holds no such sample or instrument, or it may not be seen.
    """
    number = ""
    if told.sample:
        sample = reading.get(Sample, told.sample).value
        require_sight(actor, sample.customer)
        number = sample.number
    plates: tuple[OrderedInstrument, ...] = ()
    if told.instrument:
        instrument = reading.get(Instrument, told.instrument).value
        plates = (
            OrderedInstrument(
                name=instrument.name,
                plate_diameter_mm=instrument.plate_diameter_mm,
                gap_mm=instrument.gap_mm,
                tests=instrument.tests,
            ),
        )
    return Belonging(
        sample=told.sample,
        number=number,
        specimen=told.specimen.strip(),
        condition=told.condition,
        instrument=told.instrument,
        plates=plates,
        operator=told.operator.strip(),
        tested=told.tested.strip(),
        note=told.note.strip(),
        sheet=told.sheet,
        temperature_c=told.temperature_c,
        plate_diameter_mm=told.plate_diameter_mm,
        gap_mm=told.gap_mm,
    )


def of_file(reading: Reading, sha256: str) -> tuple[list[Kept[Run]], list[Kept[Conditioning]]]:
    """Give the runs and ageing records that the record holds of a file."""
    return reading.find(Run, file=sha256), reading.find(Conditioning, file=sha256)


def with_results(reading: Reading, runs: list[Kept[Run]]) -> tuple[KeptRun, ...]:
    """Give runs with the results that stand."""
    found: dict[str, Kept[Result]] = {}
    for result in reading.find(Result, run=[run.key for run in runs]) if runs else []:
        found[result.value.run] = result
    return tuple(KeptRun(run, found.get(run.key)) for run in runs)


def _nothing_new(
    runs: list[Kept[Run]], ageings: list[Kept[Conditioning]], read: ReadFile, told: RecordTold
) -> bool:
    """Tell whether the record holds all of this already."""
    if ageings:
        return True
    if not runs:
        return False
    waiting = [run for run in runs if run.value.test in (UNREAD, AGEING)]
    if waiting:
        return read.refusal is not None or (bool(read.ageings) and not told.sample)
    return not told.sample or any(run.value.sample for run in runs)


def _refuse_other_sample(
    reading: Reading,
    runs: list[Kept[Run]],
    ageings: list[Kept[Conditioning]],
    told: RecordTold,
    name: str,
) -> None:
    held = {run.value.sample: run.key for run in runs} | {one.value.sample: one.key for one in ageings}
    held.pop("", None)
    if told.sample and held and told.sample not in held:
        sample, key = next(iter(held.items()))
        number = reading.get(Sample, sample).value.number
        raise ConflictError(
            f"{name}: this file is kept already as {key} of sample {number}; one file is not evidence of "
            "two samples. Where it was attached to the wrong one, correct it there"
        )


def _reason(runs: list[Kept[Run]], told: RecordTold) -> str:
    if not runs:
        return ""
    return "attached to its sample" if told.sample else "read, as it is now known how"


def _kept_ageings(reading: Reading, sample: str) -> dict[str, HeldFile]:
    """Give the ageing records kept with a sample, by file name: a long-term one names its short-term one."""
    if not sample:
        return {}
    kept = reading.find(Conditioning, sample=sample)
    return {
        one.value.file_name: HeldFile(one.value.file_name, reading.file(one.value.file))
        for one in kept
        if one.value.file and one.value.condition is Condition.SHORT_TERM_AGED
    }
