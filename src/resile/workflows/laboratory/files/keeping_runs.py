"""What was read is written down: runs, specimens, results and ageing records, within one transaction."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from resile.errors import InputError
from resile.records.ageing import AgeingRecord
from resile.records.determination import Condition
from resile.records.finding import worst_severity
from resile.records.register import TYPED_RESULTS, Conditioning, Kept, Result, Run
from resile.records.summary import SummaryTable
from resile.storage.book import Book
from resile.workflows.laboratory.bench.instruments import verification_state
from resile.workflows.laboratory.files.belonging import Belonging, specimen_key
from resile.workflows.laboratory.files.reading_files import (
    AGEING,
    NO_SAMPLE,
    UNREAD,
    Part,
    ReadFile,
    condition_of,
    input_hash,
    refused_result,
    result_of,
    result_of_table,
    supposed_lengths,
)
from resile.workflows.laboratory.runs.reduced_again import said_of_run
from resile.workflows.reducing.ageing import Ageing
from resile.workflows.reducing.told_of_file import with_contradictions


@dataclass(frozen=True, slots=True)
class KeptRun:
    """A run as the record holds it, with its result.

    Attributes
    ----------
    run : Kept of Run
        The run.
    result : Kept of Result or None
        What it gave.
    """

    run: Kept[Run]
    result: Kept[Result] | None


def keep_parts(
    book: Book,
    read: ReadFile,
    belonging: Belonging,
    file: str,
    old: Sequence[Kept[Run]],
    *,
    reason: str,
) -> tuple[KeptRun, ...]:
    """Keep the runs of a file, each with its result.

    Parameters
    ----------
    book : Book
        The transaction.
    read : ReadFile
        What the file gave.
    belonging : Belonging
        What it belongs to.
    file : str
        SHA-256 of the file, which is kept already.
    old : sequence of Kept of Run
        Runs of this file that the record holds: they are revised, not doubled.
    reason : str
        Why they are revised.

    Returns
    -------
    tuple of KeptRun
        In the order of the file.

    Raises
    ------
    ConflictError
        A specimen has had its creep-recovery run.
    """
    if not read.parts:
        return (_keep_waiting(book, read, belonging, file, old[0] if old else None, reason),)
    by_part = {run.value.part: run for run in old}
    spare = [run for run in old if run.value.test in (UNREAD, AGEING)]
    alone = len(read.parts) == 1
    kept = []
    for count, part in enumerate(read.parts, start=1):
        known = (
            by_part.get(part.name) or (old[0] if alone and old else None) or (spare.pop() if spare else None)
        )
        number = belonging.specimen if alone or not belonging.specimen else f"{belonging.specimen}.{count}"
        own = replace(belonging, specimen=number)
        kept.append(keep_part(book, part, own, file=file, name=read.name, old=known, reason=reason))
    return tuple(kept)


def keep_part(
    book: Book,
    part: Part,
    belonging: Belonging,
    *,
    file: str,
    name: str,
    old: Kept[Run] | None,
    reason: str,
    seen: int | None = None,
) -> KeptRun:
    """Keep one run with its result, or revise them.

    Parameters
    ----------
    book, belonging, file, reason
        As in `keep_parts`.
    part : Part
        The run.
    name : str
        Name of the file.
    old : Kept of Run or None
        The run as it stands; None for a new one.
    seen : int or None
        Revision that the person saw.
    """
    condition = condition_of(part.run, belonging.condition)
    specimen = specimen_key(book, part, belonging, condition, old)
    supposed = supposed_lengths(part, belonging.lengths, belonging.plates)
    run = Run(
        test=part.run.method,
        file=file,
        file_name=name,
        part=part.name,
        sample=belonging.sample,
        specimen=specimen,
        condition=condition,
        layout=belonging.layout,
        sheet=belonging.sheet,
        temperature_c=belonging.temperature_c,
        plate_diameter_mm=belonging.plate_diameter_mm or supposed.get("plate_diameter_mm"),
        gap_mm=belonging.gap_mm or supposed.get("gap_mm"),
        **_circumstances(book, belonging),
    )
    kept = _kept(book, run, old, reason, seen)
    result = result_of(
        with_contradictions(part.run, said_of_run(book, run)),
        key=kept.key,
        sample=run.sample,
        number=belonging.number,
        condition=condition,
        source=source_of(run),
    )
    return KeptRun(kept, _kept_result(book, result, reason))


def source_of(run: Run) -> str:
    """Give the hash of what a run is reduced from."""
    options: dict[str, object] = {
        "sheet": run.sheet,
        "temperature_c": run.temperature_c,
        "plate_diameter_mm": run.plate_diameter_mm,
        "gap_mm": run.gap_mm,
    }
    return input_hash(run.file, run.layout, run.part, options)


def keep_ageings(
    book: Book, read: ReadFile, belonging: Belonging, file: str, waiting: Sequence[Kept[Run]]
) -> list[Kept[Conditioning]]:
    """Keep the ageing records of a file with their sample.

    Parameters
    ----------
    book, belonging, file
        As in `keep_parts`.
    read : ReadFile
        With ageing records.
    waiting : sequence of Kept of Run
        Runs as which the file waited for its sample; they are noted as settled.
    """
    kept = [book.keep(_conditioning(book, one, belonging, file, read.name)) for one in read.ageings]
    for run in waiting:
        settled = replace(run.value, sample=belonging.sample, note=f"kept as ageing {kept[0].key}")
        book.keep(settled, key=run.key, reason="attached to its sample")
        told = Result(run=run.key, sample=belonging.sample, input=source_of(settled))
        _kept_result(book, told, "attached to its sample")
    return kept


def _keep_waiting(
    book: Book, read: ReadFile, belonging: Belonging, file: str, old: Kept[Run] | None, reason: str
) -> KeptRun:
    """Keep a file without a raw signal: not read, an ageing record of no sample, or a table of results."""
    if read.table is not None:
        _refuse_other_samples(read.table, belonging, read.name)
    run = Run(
        test=UNREAD if read.refusal else TYPED_RESULTS if read.table else AGEING,
        file=file,
        file_name=read.name,
        sample=belonging.sample,
        condition=belonging.condition,
        layout=belonging.layout,
        sheet=belonging.sheet,
        temperature_c=belonging.temperature_c,
        plate_diameter_mm=belonging.plate_diameter_mm,
        gap_mm=belonging.gap_mm,
        **_circumstances(book, belonging),
    )
    kept = _kept(book, run, old, reason or "tried again")
    source = source_of(run)
    result = (
        result_of_table(read.table, key=kept.key, sample=run.sample, source=source)
        if read.table is not None
        else refused_result(kept.key, run.sample, read.refusal, source)
    )
    return KeptRun(kept, _kept_result(book, result, reason or "tried again"))


def _refuse_other_samples(table: SummaryTable, belonging: Belonging, name: str) -> None:
    foreign = sorted(set(table.samples) - {belonging.number, NO_SAMPLE})
    if belonging.sample and foreign:
        raise InputError(
            f"{name}: the table holds results of {', '.join(foreign)}; here it is attached to sample "
            f"{belonging.number}. Name the sample that the table names, or put the table right"
        )


def _circumstances(book: Book, belonging: Belonging) -> dict[str, str]:
    day = belonging.tested or book.at[:10]
    return {
        "instrument": belonging.instrument,
        "operator": belonging.operator,
        "tested": belonging.tested,
        "verification": verification_state(book, belonging.instrument, day),
        "note": belonging.note,
    }


def _kept(book: Book, run: Run, old: Kept[Run] | None, reason: str, seen: int | None = None) -> Kept[Run]:
    if old is None:
        return book.keep(run)
    if old.value == run and seen in (None, old.revision):
        return old
    return book.keep(run, key=old.key, reason=reason, seen=seen)


def _kept_result(book: Book, result: Result, reason: str) -> Kept[Result]:
    old = book.find(Result, run=result.run, limit=1)
    if not old:
        return book.keep(result)
    if old[0].value == result:
        return old[0]
    return book.keep(result, key=old[0].key, reason=reason)


def _conditioning(book: Book, ageing: Ageing, belonging: Belonging, file: str, name: str) -> Conditioning:
    record = ageing.record
    short = isinstance(record, AgeingRecord)
    day = record.aged_on or belonging.tested
    worst = worst_severity(tuple(record.findings))
    order = sorted(
        record.findings, key=lambda finding: ("invalid", "caution", "note").index(finding.severity)
    )
    return Conditioning(
        sample=belonging.sample,
        condition=Condition.SHORT_TERM_AGED if short else Condition.LONG_TERM_AGED,
        file=file,
        file_name=name,
        happened=day,
        instrument=belonging.instrument,
        mass_change_percent=record.mass_change_percent if isinstance(record, AgeingRecord) else None,
        findings=tuple(finding.code for finding in order),
        worst=worst.value if worst else "",
        verification=verification_state(book, belonging.instrument, day or book.at[:10]),
    )
