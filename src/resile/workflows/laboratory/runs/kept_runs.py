"""Runs of the record: listed, looked at one by one, and set over each other."""

from __future__ import annotations

from dataclasses import dataclass, replace

from resile.errors import InputError
from resile.records import register
from resile.records.creep_recovery import CreepRecoveryRun
from resile.records.finding import Finding
from resile.records.reading import HeldFile
from resile.records.register import Actor, Kept, Sample
from resile.report.paper.models.model import Picture
from resile.report.words import heaviest_first
from resile.storage.laboratory_record import LaboratoryRecord
from resile.storage.lists.runs import RunRow, RunsWanted, runs_listed
from resile.storage.reading import Reading
from resile.workflows.laboratory.access.permissions import require, require_sight
from resile.workflows.laboratory.bench.heat_history import heat_findings_of_run
from resile.workflows.laboratory.bench.instrument_doubts import instrument_doubts
from resile.workflows.laboratory.files.reading_files import AGEING, UNREAD
from resile.workflows.laboratory.runs.reduced_again import layout_of_run, reduced_run
from resile.workflows.laboratory.runs.run_pictures import Chosen, chosen_cycle, run_picture
from resile.workflows.laboratory.runs.run_rows import RowsBehind, rows_behind
from resile.workflows.laboratory.runs.run_view import RunView, run_view

__all__ = ["Chosen", "RunsWanted"]

PAGE = 50
"""Runs on a page of the list."""
_SIBLINGS = 40
CREEP_RECOVERY = "creep_recovery"


@dataclass(frozen=True, slots=True)
class RunList:
    """One page of the list of runs.

    Attributes
    ----------
    rows : tuple of RunRow
        In the order wanted.
    after : tuple of str
        Where the next page begins; empty where this is the last.
    instruments : tuple of (str, str)
        Keys and names of the instruments to choose from.
    """

    rows: tuple[RunRow, ...]
    after: tuple[str, ...]
    instruments: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class SeenRun:
    """One run of the record, ready to be looked at.

    Attributes
    ----------
    kept : Kept of Run
        As it is kept.
    sample : Kept of Sample or None
        What it belongs to.
    instrument : str
        Name of its instrument; empty where none is named.
    view : RunView
        What a page says of it.
    warnings : tuple of str
        Sentences: a specimen or a file that served more than once.
    siblings : tuple of RunRow
        Other runs of the same sample, the newest first.
    software : str
        Version that gave the stored result; empty where there is none yet.
    """

    kept: Kept[register.Run]
    sample: Kept[Sample] | None
    instrument: str
    view: RunView
    warnings: tuple[str, ...]
    siblings: tuple[RunRow, ...]
    software: str


def list_runs(record: LaboratoryRecord, wanted: RunsWanted, *, actor: Actor) -> RunList:
    """Give one page of the runs that a person may see.

    Parameters
    ----------
    record : LaboratoryRecord
        The laboratory's record.
    wanted : RunsWanted
        Which ones, and from where.
    actor : Actor
        Who asks; one of a customer sees that customer's alone.

    Returns
    -------
    RunList
        At most 50, and where the next page begins.

    Raises
    ------
    PermissionRefusedError
        Who may not see runs.
    InputError
        A place in the list that is none.
    """
    require(actor, "runs.see")
    if wanted.after and len(wanted.after) != (2 if wanted.order == "tested" else 1):
        raise InputError("the page asked for is no place in this list; go back to the first page")
    wanted = replace(wanted, customer=actor.customer)
    with record.reading() as reading:
        rows = runs_listed(reading, wanted, limit=PAGE + 1)
        instruments = reading.find(register.Instrument, order="name") if not actor.customer else []
    shown = rows[:PAGE]
    place = (shown[-1].tested, shown[-1].key) if wanted.order == "tested" and shown else ()
    after = (place or (shown[-1].key,)) if len(rows) > PAGE else ()
    return RunList(tuple(shown), after, tuple((one.key, one.value.name) for one in instruments))


def see_run(record: LaboratoryRecord, key: str, *, actor: Actor, chosen: Chosen | None = None) -> SeenRun:
    """Give all that a page says of one run.

    Parameters
    ----------
    record : LaboratoryRecord
        The laboratory's record.
    key : str
        Key of the run.
    actor : Actor
        Who asks.
    chosen : Chosen, optional
        Which cycle is magnified.

    Returns
    -------
    SeenRun
        Reduced again from the stored file.

    Raises
    ------
    RecordNotFoundError, PermissionRefusedError
        There is no such run or cycle, or it is not theirs to see.
    """
    with record.reading() as reading:
        kept, sample = sight_of_run(reading, key, actor)
        run = reduced_run(reading, kept.value)
        siblings = (
            runs_listed(reading, RunsWanted(sample=kept.value.sample), limit=_SIBLINGS)
            if kept.value.sample
            else []
        )
        result = reading.find(register.Result, run=key, order="key", falling=True, limit=1)
        instrument = (
            reading.get(register.Instrument, kept.value.instrument).value.name
            if kept.value.instrument
            else ""
        )
        warnings = () if actor.customer else _warnings(reading, kept)  # they name runs of others
        view = run_view(run, chosen=chosen)
        beside = (
            *heat_findings_of_run(reading, kept.value),
            *_told_of_instrument(reading, kept.value),
        )
        view = replace(view, findings=heaviest_first((*view.findings, *beside)))
    return SeenRun(
        kept,
        sample,
        instrument,
        view,
        warnings,
        tuple(row for row in siblings if row.key != key),
        result[0].value.software if result else "",
    )


def _told_of_instrument(reading: Reading, run: register.Run) -> tuple[Finding, ...]:
    """Give the doubts for the instrument's sake; where none is named there is none, and the page says so."""
    if not run.instrument:
        return ()
    return instrument_doubts(reading, run.verification, run.instrument, run.tested)


def picture_of_run(record: LaboratoryRecord, key: str, name: str, *, actor: Actor, chosen: Chosen) -> Picture:
    """Draw one picture of a stored run; errors as in `see_run`."""
    with record.reading() as reading:
        kept, _ = sight_of_run(reading, key, actor)
        run = reduced_run(reading, kept.value)
    return run_picture(run, name, chosen=chosen, condition=kept.value.condition)


def rows_of_run(
    record: LaboratoryRecord, key: str, *, actor: Actor, chosen: Chosen, whole: bool = False, first: int = 0
) -> tuple[Kept[register.Run], RowsBehind]:
    """Give the rows of the stored file behind a run, or one cycle of it.

    Parameters
    ----------
    record : LaboratoryRecord
        The laboratory's record.
    key : str
        Key of the run.
    actor : Actor
        Who asks.
    chosen : Chosen
        Which cycle.
    whole : bool
        All rows of the run, whatever cycle is chosen; so it is for tests without cycles.
    first : int
        Place of the first row to show, counted from 0.

    Returns
    -------
    tuple of (Kept of Run, RowsBehind)
        Cut as they were read.

    Raises
    ------
    RecordNotFoundError, PermissionRefusedError
        As in `see_run`.
    """
    with record.reading() as reading:
        kept, _ = sight_of_run(reading, key, actor)
        run = reduced_run(reading, kept.value)
        file = HeldFile(kept.value.file_name, reading.file(kept.value.file))
        layout = layout_of_run(reading, kept.value)
    cycle = chosen_cycle(run, chosen) if isinstance(run, CreepRecoveryRun) and not whole else None
    return kept, rows_behind(run, file, layout=layout, cycle=cycle, first=max(first, 0))


def file_of_run(record: LaboratoryRecord, key: str, *, actor: Actor) -> tuple[str, bytes]:
    """Give name and bytes of the file of a run, checked against their hash; errors as in `see_run`."""
    with record.reading() as reading:
        kept, _ = sight_of_run(reading, key, actor)
        return kept.value.file_name, reading.file(kept.value.file)


def file_without_signal(record: LaboratoryRecord, key: str, *, actor: Actor) -> str:
    """Give the SHA-256 of the file of a run that has no signal to show; empty where it has one.

    A table of results, an ageing record that waits for its sample and a file that could not be read are
    told on the page of their file. Errors as in `see_run`.
    """
    with record.reading() as reading:
        kept, _ = sight_of_run(reading, key, actor)
    return kept.value.file if kept.value.test in (register.TYPED_RESULTS, UNREAD, AGEING) else ""


def sight_of_run(reading: Reading, key: str, actor: Actor) -> tuple[Kept[register.Run], Kept[Sample] | None]:
    """Give a run and its sample, if this person may see them."""
    require(actor, "runs.see")
    kept = reading.get(register.Run, key)
    sample = reading.get(Sample, kept.value.sample) if kept.value.sample else None
    require_sight(actor, sample.value.customer if sample is not None else "")
    return kept, sample


def _warnings(reading: Reading, kept: Kept[register.Run]) -> tuple[str, ...]:
    """Tell where a specimen or a file served more than once."""
    warnings = []
    run = kept.value
    if run.specimen:
        others = [one.key for one in reading.find(register.Run, specimen=run.specimen, limit=6)]
        others = [key for key in others if key != kept.key]
        if others and run.test == CREEP_RECOVERY:
            warnings.append(
                f"The specimen of this run also served {', '.join(others)}. A specimen serves one "
                "creep-recovery run: load a fresh one."
            )
    if run.file:
        same = reading.find(register.Run, file=run.file, test=run.test, part=run.part, limit=6)
        twins = [one.key for one in same if one.key != kept.key]
        if twins:
            warnings.append(f"The same run of the same file is kept as {', '.join(twins)} too.")
    return tuple(warnings)
