"""Stored results recomputed with today's program: what differs from what was kept, and why it may.

Nothing is changed by looking. A result that is kept anew becomes a revision with its reason; the one before
stays as it was, and so do the verdicts and statements that rest on it, which are named.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field, replace

from resile.errors import InputError, RecordNotFoundError, ResileError
from resile.records.register import (
    TYPED_RESULTS,
    Actor,
    Kept,
    Result,
    Run,
    Sample,
    Statement,
    Verdict,
)
from resile.storage.laboratory_record import LaboratoryRecord
from resile.storage.reading import Reading, kind_of_key
from resile.version import __version__
from resile.workflows.laboratory.access.permissions import require, require_sight
from resile.workflows.laboratory.comparisons.precision_in_verdicts import verdict_changes
from resile.workflows.laboratory.files.keeping_runs import source_of
from resile.workflows.laboratory.files.reading_files import (
    AGEING,
    UNREAD,
    ReadFile,
    read_file,
    refused_result,
    result_of,
    result_of_table,
)
from resile.workflows.laboratory.record.result_differences import ResultDifference, differences
from resile.workflows.laboratory.record.version_changes import NumberThatChanged, numbers_changed_since
from resile.workflows.laboratory.runs.reduced_again import layout_of_run, reduced_run
from resile.workflows.laboratory.samples.named import sample_key

Told = Callable[[int, int, str], None]
"""Told how many results are done, of how many, and which comes next; what it raises stops the work."""


@dataclass(frozen=True, slots=True)
class Recomputed:
    """One stored result beside what its bytes give today.

    Attributes
    ----------
    result : str
        Key of the result.
    revision : int
        Revision that was compared.
    run, sample, sample_number, file_name : str
        What it belongs to.
    software : str
        Version of resile that gave the stored one; empty where it is not known.
    difference : ResultDifference
        What differs.
    refusal : str
        Why it could not be recomputed; empty where it could.
    read_otherwise : bool
        True where the run is read otherwise than when the result was kept (layout, sheet, plates).
    verdicts, statements : tuple of str
        Verdicts that rest on the result, at whatever revision, and statements on these; named where something
        differs.
    kept : int or None
        Revision under which today's result was kept.
    precision : tuple of str
        What verdicts on the sample were judged with and would not be today: own precision kept since then.
    """

    result: str
    revision: int
    run: str
    sample: str = ""
    sample_number: str = ""
    file_name: str = ""
    software: str = ""
    difference: ResultDifference = field(default_factory=ResultDifference)
    refusal: str = ""
    read_otherwise: bool = False
    verdicts: tuple[str, ...] = ()
    statements: tuple[str, ...] = ()
    kept: int | None = None
    precision: tuple[str, ...] = ()

    @property
    def differs(self) -> bool:
        """Tell whether a value, a finding or the own precision differs, or it could not be recomputed."""
        return self.difference.any or bool(self.refusal or self.precision)


@dataclass(frozen=True, slots=True)
class Recomputation:
    """What recomputing results came to.

    Attributes
    ----------
    results : int
        How many were recomputed.
    found : tuple of Recomputed
        Those that differ or could not be recomputed; for one run all of its results.
    software : str
        Version of resile that recomputed.
    changes : tuple of NumberThatChanged
        What the changelog says of the versions between; empty where nothing differs.
    """

    results: int
    found: tuple[Recomputed, ...]
    software: str
    changes: tuple[NumberThatChanged, ...]

    @property
    def differs(self) -> bool:
        """Tell whether anything differs."""
        return any(one.differs for one in self.found)


def results_to_recompute(record: LaboratoryRecord, actor: Actor, named: Sequence[str]) -> list[str]:
    """Give the keys of the results that are meant.

    Parameters
    ----------
    record : LaboratoryRecord
        The laboratory's record.
    actor : Actor
        Who asks.
    named : sequence of str
        Keys of results, runs or samples, or numbers of samples; none for every result.

    Raises
    ------
    PermissionRefusedError, RecordNotFoundError
        Where the person may not see them, or the record holds no such thing.
    """
    require(actor, "runs.see" if named else "audit.see")
    with record.reading() as reading:
        if not named:
            return [kept.key for kept in reading.every(Result)]
        keys = [key for one in named for key in _keys(reading, one.strip())]
        for key in keys:
            _require_sight_of(reading, actor, reading.get(Result, key).value.sample)
    return list(dict.fromkeys(keys))


def recomputed(
    record: LaboratoryRecord, actor: Actor, at: str, keys: Sequence[str], *, keep: bool = False
) -> Iterator[Recomputed]:
    """Recompute results one by one; a damaged file is told, and the rest goes on.

    Parameters
    ----------
    record, actor
        As in `results_to_recompute`.
    at : str
        When, ISO 8601 in UTC.
    keys : sequence of str
        Keys of results.
    keep : bool
        Keep a new revision of each result that differs.

    Yields
    ------
    Recomputed
        In the order of `keys`; each is kept before the next is begun.

    Raises
    ------
    PermissionRefusedError
        Where the person may not see or keep them.
    """
    require(actor, "results.judge" if keep else "runs.see")
    for key in keys:
        with record.reading() as reading:
            stored = reading.get(Result, key)
            _require_sight_of(reading, actor, stored.value.sample)
            today, found = _recomputed(reading, stored)
        if keep and today is not None and found.difference.any:
            found = _kept_anew(record, actor, at, stored, today, found)
        yield found


def recompute(
    record: LaboratoryRecord,
    actor: Actor,
    at: str,
    named: Sequence[str] = (),
    *,
    keep: bool = False,
    progress: Told | None = None,
) -> Recomputation:
    """Recompute stored results, and give what differs.

    Parameters
    ----------
    record, actor, at, keep
        As in `recomputed`.
    named : sequence of str
        As in `results_to_recompute`.
    progress : callable or None
        Told of each result.

    Returns
    -------
    Recomputation
        With what the changelog says of the versions between.
    """
    keys = results_to_recompute(record, actor, named)
    found = []
    for place, one in enumerate(recomputed(record, actor, at, keys, keep=keep)):
        if progress:
            progress(place, len(keys), f"result {one.result}, {one.file_name}")
        if named or one.differs:
            found.append(one)
    return recomputation(len(keys), found)


def recomputation(results: int, found: Sequence[Recomputed]) -> Recomputation:
    """Put together what was found, with what the changelog says of the versions between."""
    changes = [
        change
        for version in {one.software for one in found if one.difference.any}
        for change in numbers_changed_since(version)
    ]
    return Recomputation(results, tuple(found), __version__, tuple(dict.fromkeys(changes)))


def _keys(reading: Reading, named: str) -> list[str]:
    """Give the results of what is named: a result, a run, or a sample."""
    try:
        kind: type | None = kind_of_key(named)
    except RecordNotFoundError:
        kind = None
    if kind is Result:
        return [reading.get(Result, named).key]
    if kind is Run:
        reading.get(Run, named)
        found = reading.find(Result, run=named)
    else:
        found = reading.find(Result, sample=sample_key(reading, named))
    if not found:
        raise InputError(f"{named}: nothing of it was computed yet; keep a record file first")
    return [one.key for one in found]


def _require_sight_of(reading: Reading, actor: Actor, sample: str) -> None:
    require_sight(actor, reading.get(Sample, sample).value.customer if sample else "")


def _recomputed(reading: Reading, stored: Kept[Result]) -> tuple[Result | None, Recomputed]:
    result = stored.value
    run = reading.get(Run, result.run).value
    number = reading.get(Sample, result.sample).value.number if result.sample else ""
    told = Recomputed(
        stored.key,
        stored.revision,
        result.run,
        result.sample,
        number,
        run.file_name,
        result.software,
        precision=verdict_changes(reading, stored),
    )
    try:
        today = _result_today(reading, run, result, number)
    except ResileError as error:
        return None, replace(told, refusal=str(error))
    found = differences(result, today)
    told = replace(
        told,
        difference=found,
        read_otherwise=bool(result.input) and found.any and result.input != source_of(run),
    )
    if not found.any:
        return today, told
    verdicts = _verdicts_on(reading, stored)
    statements = [
        one.key for one in reading.find(Statement, sample=result.sample) if one.value.verdict in verdicts
    ]
    return today, replace(told, verdicts=verdicts, statements=tuple(statements))


def _result_today(reading: Reading, run: Run, kept: Result, number: str) -> Result:
    source = source_of(run)
    for sha256 in filter(None, (run.file, run.layout)):
        reading.file(sha256)  # a damaged one is told as such, even where a process remembers its run
    if run.test in (UNREAD, AGEING):
        return _waiting_today(reading, run, kept)
    if run.test == TYPED_RESULTS:
        return _table_today(reading, run, kept)
    try:
        reduced = reduced_run(reading, run)
    except ResileError as error:
        return refused_result(kept.run, kept.sample, error, source)
    return result_of(
        reduced, key=kept.run, sample=kept.sample, number=number, condition=run.condition, source=source
    )


def _waiting_today(reading: Reading, run: Run, kept: Result) -> Result:
    """Try again a file that could not be read, or that waits for its sample."""
    if not kept.findings:  # it waited, and became the ageing record of a sample
        return kept
    read = _read_today(reading, run)
    if read.parts:
        raise InputError(
            f"{run.file_name}: it could not be read when it was kept, and today's program reads "
            f"{len(read.parts)} run(s) in it; keep the file again, and its values are there"
        )
    return refused_result(kept.run, kept.sample, read.refusal, source_of(run))


def _table_today(reading: Reading, run: Run, kept: Result) -> Result:
    """Read a table of results again."""
    read = _read_today(reading, run)
    if read.table is None:
        return refused_result(kept.run, kept.sample, read.refusal, source_of(run))
    return result_of_table(read.table, key=kept.run, sample=kept.sample, source=source_of(run))


def _read_today(reading: Reading, run: Run) -> ReadFile:
    return read_file(
        reading.file(run.file),
        run.file_name,
        layout=layout_of_run(reading, run),
        lengths={"plate_diameter_mm": run.plate_diameter_mm, "gap_mm": run.gap_mm},
        condition=run.condition,
    )


def _verdicts_on(reading: Reading, stored: Kept[Result]) -> tuple[str, ...]:
    if not stored.value.sample:
        return ()
    of_sample = reading.find(Verdict, sample=stored.value.sample)
    return tuple(
        one.key
        for one in of_sample
        if any(result.partition("/")[0] == stored.key for result in one.value.results)
    )


def _kept_anew(
    record: LaboratoryRecord, actor: Actor, at: str, stored: Kept[Result], today: Result, found: Recomputed
) -> Recomputed:
    reason = f"recomputed with resile {__version__}: {_in_short(found.difference)}"
    try:
        with record.writing(by=actor.key, at=at) as book:
            kept = book.keep(today, key=stored.key, seen=stored.revision, reason=reason)
    except ResileError as error:
        return replace(found, refusal=str(error))
    return replace(found, kept=kept.revision)


def _in_short(difference: ResultDifference) -> str:
    """Say in a few words what differs, for the reason of the revision."""
    parts = []
    if difference.values:
        first = difference.values[0].name
        more = len(difference.values) - 1
        parts.append(f"{first} {difference.values[0].said}" + (f" and {more} more values" if more else ""))
    for codes, word in ((difference.findings_new, "new"), (difference.findings_gone, "gone")):
        if codes:
            parts.append(f"{word} finding {', '.join(codes)}")
    return "; ".join(parts)
