"""Runs that are kept are attached, corrected or read anew: each time a revision with its reason."""

from __future__ import annotations

from dataclasses import replace

from resile.errors import ConflictError, InputError
from resile.readers.layout import Layout, layout_to_toml
from resile.records.register import Actor, Conditioning, Kept, Run, Specimen
from resile.storage.laboratory_record import LaboratoryRecord
from resile.storage.reading import Reading
from resile.workflows.laboratory.access.permissions import require
from resile.workflows.laboratory.files.belonging import Belonging
from resile.workflows.laboratory.files.ingesting import (
    KeptRecord,
    RecordTold,
    belonging_of,
    of_file,
)
from resile.workflows.laboratory.files.keeping_runs import KeptRun, keep_ageings, keep_part, keep_parts
from resile.workflows.laboratory.files.reading_files import (
    ReadFile,
    part_of,
    read_file,
    with_settings,
)
from resile.workflows.laboratory.files.remembering import layout_of


def told_of(reading: Reading, run: Run) -> RecordTold:
    """Give what is said of a kept run, ready to be corrected; its layout apart."""
    number = reading.get(Specimen, run.specimen).value.number if run.specimen else ""
    return RecordTold(
        sample=run.sample,
        specimen=number,
        condition=run.condition,
        instrument=run.instrument,
        operator=run.operator,
        tested=run.tested,
        note=run.note,
        layout=layout_of(reading, run.layout),
        sheet=run.sheet,
        temperature_c=run.temperature_c,
        plate_diameter_mm=run.plate_diameter_mm,
        gap_mm=run.gap_mm,
    )


def run_to_correct(record: LaboratoryRecord, actor: Actor, key: str) -> tuple[Kept[Run], str, RecordTold]:
    """Give a run, the number of its sample, and what is said of it, for a form.

    Parameters
    ----------
    record, actor, key
        As in `correct_run`.
    """
    require(actor, "runs.keep")
    with record.reading() as reading:
        kept = reading.get(Run, key)
        number = belonging_of(reading, actor, RecordTold(sample=kept.value.sample)).number
        return kept, number, told_of(reading, kept.value)


def read_kept(reading: Reading, run: Run) -> ReadFile:
    """Read the file of a kept run as it was read when it was kept; give all its runs.

    Parameters
    ----------
    reading : Reading
        The record, inside a transaction.
    run : Run
        A run as kept.

    Returns
    -------
    ReadFile
        Choose the run with `reading_files.part_of`.
    """
    layout = with_settings(layout_of(reading, run.layout), sheet=run.sheet, temperature_c=run.temperature_c)
    lengths = {"plate_diameter_mm": run.plate_diameter_mm, "gap_mm": run.gap_mm}
    data = reading.file(run.file)
    return read_file(data, run.file_name, layout=layout, lengths=lengths, condition=run.condition)


def correct_run(
    record: LaboratoryRecord,
    actor: Actor,
    at: str,
    key: str,
    told: RecordTold,
    *,
    reason: str,
    seen: int | None = None,
) -> KeptRun:
    """Attach a run to a sample, or correct what is said of it; its file is reduced anew.

    Parameters
    ----------
    record : LaboratoryRecord
        Where it is kept.
    actor : Actor
        Who corrects it.
    at : str
        When, ISO 8601 in UTC.
    key : str
        Key of the run.
    told : RecordTold
        What is to be said of it; a layout of None leaves the one it is read by.
    reason : str
        Why; "attached to its sample" where nothing is given and it was of none.
    seen : int or None
        Revision that was looked at.

    Raises
    ------
    PermissionRefusedError, InputError, ConflictError, RecordNotFoundError, ResileError
        Where it may not be corrected, has no reason, was corrected in between, its specimen has had its
        creep-recovery run, or its file cannot be read this way.
    """
    require(actor, "runs.keep")
    with record.reading() as reading:
        kept = reading.get(Run, key)
        belonging_of(reading, actor, RecordTold(sample=kept.value.sample))
        belonging = replace(belonging_of(reading, actor, told), layout=kept.value.layout)
        data = reading.file(kept.value.file)
        layout = told.layout or layout_of(reading, kept.value.layout)
    reason = _why(kept, told, reason)
    read = _read(data, kept.value.file_name, layout, belonging)
    part = None if read.table else part_of(read, kept.value.part)
    with record.writing(by=actor.key, at=at) as book:
        if told.layout is not None:
            belonging = replace(belonging, layout=book.keep_file(layout_to_toml(told.layout).encode()))
        if part is None:
            refuse_stale(book.get(Run, key), seen)
            return keep_parts(book, read, belonging, kept.value.file, [book.get(Run, key)], reason=reason)[0]
        return keep_part(
            book,
            part,
            belonging,
            file=kept.value.file,
            name=kept.value.file_name,
            old=book.get(Run, key),
            reason=reason,
            seen=seen,
        )


def refuse_stale(kept: Kept[Run], seen: int | None) -> None:
    """Refuse a correction of what somebody else corrected in between.

    Raises
    ------
    ConflictError
        The run stands at another revision than the one that was looked at.
    """
    if seen is not None and seen != kept.revision:
        raise ConflictError(
            f"{kept.key} was corrected in between (revision {kept.revision}, {seen} was looked at); look at "
            "it again, then correct it"
        )


def read_again(
    record: LaboratoryRecord, actor: Actor, at: str, file: str, layout: Layout, *, reason: str
) -> KeptRecord:
    """Read a kept file another way: its runs are revised, and those it now gives besides are kept.

    Parameters
    ----------
    record, actor, at, reason
        As in `correct_run`.
    file : str
        SHA-256 of the file.
    layout : Layout
        How it is to be read.

    Raises
    ------
    ResileError
        As in `correct_run`; nothing is changed where it cannot be read this way.
    """
    require(actor, "runs.keep")
    if not reason.strip():
        raise InputError("reading a file another way needs a reason; nothing was changed")
    with record.reading() as reading:
        runs, _ = of_file(reading, file)
        if not runs:
            raise InputError("the record holds no run of this file")
        old = runs[0].value
        told = replace(told_of(reading, old), layout=layout, sheet=layout.sheet or old.sheet)
        belonging = belonging_of(reading, actor, told)
        data = reading.file(file)
    read = _read(data, old.file_name, layout, belonging)
    if read.refusal is not None:
        raise read.refusal
    with record.writing(by=actor.key, at=at) as book:
        runs, ageings = of_file(book, file)
        belonging = replace(belonging, layout=book.keep_file(layout_to_toml(layout).encode()))
        if read.ageings and belonging.sample and not ageings:
            made: list[Kept[Conditioning]] = keep_ageings(book, read, belonging, file, runs)
            return KeptRecord(file, old.file_name, (), tuple(made))
        kept = keep_parts(book, read, belonging, file, runs, reason=reason)
    return KeptRecord(file, old.file_name, kept)


def attach_file(record: LaboratoryRecord, actor: Actor, at: str, file: str, told: RecordTold) -> KeptRecord:
    """Attach all runs of a kept file that are of no sample yet.

    Parameters
    ----------
    record, actor, at
        As in `correct_run`.
    file : str
        SHA-256 of the file.
    told : RecordTold
        Sample, and what else is said.
    """
    from resile.workflows.laboratory.files.ingesting import keep_record

    with record.reading() as reading:
        runs, _ = of_file(reading, file)
        if not runs:
            raise InputError("the record holds no run of this file")
        layout = told.layout or layout_of(reading, runs[0].value.layout)
        data = reading.file(file)
    return keep_record(record, actor, at, data, runs[0].value.file_name, replace(told, layout=layout))


def _read(data: bytes, name: str, layout: Layout | None, belonging: Belonging) -> ReadFile:
    settled = with_settings(layout, sheet=belonging.sheet, temperature_c=belonging.temperature_c)
    return read_file(
        data,
        name,
        layout=settled,
        lengths=belonging.lengths,
        instruments=belonging.plates,
        condition=belonging.condition,
    )


def _why(kept: Kept[Run], told: RecordTold, reason: str) -> str:
    if not reason.strip() and told.sample and not kept.value.sample:
        return "attached to its sample"
    return reason
