"""A batch: folders of record files to an archive, by one process or many, resumed after any end.

The files are walked, reduced and kept as pieces; the pieces are folded into the tables; the samples whose
results changed are judged; the new tables take the place of the old ones. What a batch gives depends on the
files and the options alone: not on how many worked on it, nor on how often it was stopped.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import partial
from itertools import groupby, islice
from pathlib import Path
from typing import Any, TypeVar

from resile.errors import InputError, ResileError, StorageError
from resile.readers.batches.places import bytes_of, found_files
from resile.records.batch import BatchSummary
from resile.storage.archive.engine import duckdb, engine
from resile.storage.archive.folding import (
    commit,
    fold_records,
    fold_verdicts,
    groups_counted,
    groups_to_judge,
    next_folder,
    rows_to_judge,
)
from resile.storage.archive.holding import hold_archive
from resile.storage.archive.parquet import arrow
from resile.storage.archive.pieces import DoneRecords, Piece, Pieces, judged_pieces
from resile.storage.archive.schema import REFUSED, write_archive_statement
from resile.version import __version__
from resile.workflows.archive.batch_agreed import Batch, Naming, judged_by_text, made_ready
from resile.workflows.archive.batch_crew import Alone, Crew, Processes, Work
from resile.workflows.archive.batch_judging import GroupToJudge, judge_groups
from resile.workflows.archive.batch_reducing import (
    FileToDo,
    HowToReduce,
    given_up,
    hash_files,
    reduce_files,
    seen_again,
)
from resile.workflows.archive.batch_summary import write_summary
from resile.workflows.files import ENDINGS
from resile.workflows.judging.agreement import Yardstick

__all__ = ["Batch", "BatchProgress", "run_batch"]

FILES_A_BUNDLE = 64
"""Files that one task takes: long enough that sending it costs nothing, short enough to lose little."""
_SAMPLES_A_BUNDLE = 100
TAKEN = ENDINGS | {".toml"}
"""Endings taken from folders: records and tables, and ageing records as TOML."""
_FILES_COMPARED = 4096
"""Files whose hashes are compared with what is done, at one time."""
T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class BatchProgress:
    """How far a batch is.

    Attributes
    ----------
    stage : str
        ``"files"``, ``"tables"`` or ``"samples"``: what `done` counts.
    done, total : int
        So far, and in all; 0 where that is not known.
    refused : int
        Files that gave nothing, so far.
    skipped : int
        Files that were done already, so far.
    """

    stage: str
    done: int = 0
    total: int = 0
    refused: int = 0
    skipped: int = 0


Tell = Callable[[BatchProgress], None]


def run_batch(
    batch: Batch, *, jobs: int = 1, machines: str = "", tell: Tell = lambda progress: None
) -> BatchSummary:
    """Reduce and judge the files of folders into an archive.

    Parameters
    ----------
    batch : Batch
        What is to be done.
    jobs : int
        Processes on this machine; 1 stays in this one.
    machines : str
        Address of a scheduler whose workers do it instead; empty for none.
    tell : callable
        Told how far it is.

    Returns
    -------
    BatchSummary
        What stands in the archive now.

    Raises
    ------
    RecordNotFoundError
        A folder does not exist.
    InputError
        The archive was made by other options, its folder holds other things, or no file was found.
    ConflictError
        Another batch writes the archive now, or a worker has another version.
    MissingDependencyError
        A library is missing.
    StorageError
        The disk is full, or the archive cannot be written any more.
    """
    arrow(), duckdb()
    naming = Naming(batch)
    total = _count(batch.folders)
    with hold_archive(batch.archive):
        crew = _crew(jobs, machines)  # before anything is cleared: a scheduler may not answer
        try:
            summary = _work_through(batch, naming, crew, _Count(total, tell), tell)
        except OSError as error:
            raise StorageError(
                f"{batch.archive}: the archive cannot be written ({error.strerror or error}). What was done "
                "is kept; make room, and the same command goes on from there"
            ) from error
        finally:
            crew.end()
    if summary.refused == summary.distinct_files:
        raise InputError(
            f"{', '.join(batch.folders)}: none of the {summary.files} files could be read; the reasons stand "
            f"in {batch.archive / REFUSED}"
        )
    return summary


def _work_through(batch: Batch, naming: Naming, crew: Crew, count: _Count, tell: Tell) -> BatchSummary:
    """Reduce, fold, judge, and put the new tables in the place of the old ones."""
    statement, everything = made_ready(batch, naming)
    pieces = Pieces(batch.archive)
    _reduce_all(batch, naming, pieces, crew, count)
    tell(BatchProgress("tables"))
    into = next_folder(batch.archive)
    with engine(into) as connection:
        fold_records(connection, batch.archive, pieces, into)
        judged = None
        if batch.yardstick is not None:
            judged = judged_pieces(batch.archive, judged_by_text(statement))
            groups_to_judge(connection, batch.archive, into, judged, everything=everything)
            _judge_all(batch.yardstick, connection, into, judged, crew, tell)
            tell(BatchProgress("tables"))
        fold_verdicts(connection, batch.archive, judged, into)
        summary = write_summary(connection, into, skipped=count.now.skipped)
    write_archive_statement(into, statement)
    commit(batch.archive, pieces)
    return summary


def _count(folders: Sequence[str]) -> int:
    total = sum(1 for folder in folders for _ in found_files(folder, TAKEN))
    if not total:
        raise InputError(f"{', '.join(folders)}: no file ending in {', '.join(sorted(TAKEN))} stands there")
    return total


def _crew(jobs: int, machines: str) -> Crew:
    if machines:
        from resile.workflows.archive.batch_machines import Machines

        return Machines(machines)
    return Processes(jobs) if jobs > 1 else Alone()


class _Count:
    """How many files are done, told as they are."""

    def __init__(self, total: int, tell: Tell) -> None:
        self.now = BatchProgress("files", total=total)
        self._tell = tell
        tell(self.now)

    def add(self, *, done: int, refused: int = 0, skipped: int = 0) -> None:
        now = self.now
        self.now = replace(
            now, done=now.done + done, refused=now.refused + refused, skipped=now.skipped + skipped
        )
        self._tell(self.now)


def _reduce_all(batch: Batch, naming: Naming, pieces: Pieces, crew: Crew, count: _Count) -> None:
    """Reduce what is not done yet, and keep it piece by piece."""
    work = Work(partial(reduce_files, HowToReduce(batch.layout, __version__)), given_up)
    a_bundle = max(1, min(FILES_A_BUNDLE, count.now.total // 16))
    done = DoneRecords(batch.archive, pieces)
    for fresh in _not_done(_to_do(batch, naming), done, pieces, crew, count):
        for piece in crew.make(work, _bundles(fresh, a_bundle)):
            pieces.keep(piece)
            count.add(done=piece.files, refused=piece.refused)


def _to_do(batch: Batch, naming: Naming) -> Iterator[FileToDo]:
    seen: set[str] | None = set() if len(batch.folders) > 1 else None
    for folder in batch.folders:
        for file in found_files(folder, TAKEN):
            if seen is not None:  # a folder and one within it, named together
                if file.path in seen:
                    continue
                seen.add(file.path)
            data = _fetched(file.path) if batch.send and not file.trouble else None
            yield FileToDo(file.path, naming.told(file), data, file.trouble)


def _fetched(path: str) -> bytes | None:
    try:
        return bytes_of(path)
    except ResileError:
        return None  # whoever works on it tries again, and tells why


def _not_done(
    files: Iterator[FileToDo], done: DoneRecords, pieces: Pieces, crew: Crew, count: _Count
) -> Iterator[Iterable[FileToDo]]:
    """Give the files to reduce; those whose bytes are done are only seen again."""
    if not len(done):
        yield files
        return
    work = Work(hash_files, _not_hashed)
    while stretch := list(islice(files, _FILES_COMPARED)):
        again, fresh = [], []
        for hashed in crew.make(work, _bundles(stretch, FILES_A_BUNDLE)):
            for file, sha256, size in hashed:
                if sha256 and done.holds(sha256, file.told.text):
                    again.append((file, sha256, size))
                else:
                    fresh.append(file)
        if again:
            pieces.keep(seen_again(again))
            count.add(done=len(again), skipped=len(again))
        yield fresh


def _not_hashed(file: FileToDo) -> list[tuple[FileToDo, str, int]]:
    return [(file, "", 0)]


def _bundles(things: Iterable[T], size: int) -> Iterator[tuple[T, ...]]:
    going = iter(things)
    while bundle := tuple(islice(going, size)):
        yield bundle


def _judge_all(
    yardstick: Yardstick, connection: Any, into: Path, judged: Pieces, crew: Crew, tell: Tell
) -> None:
    """Judge the samples whose results are others than before, and keep the verdicts piece by piece."""
    total, left = groups_counted(connection)
    done = total - left
    tell(BatchProgress("samples", done, total, skipped=done))
    skipped = done
    rows = rows_to_judge(connection, into, as_made=yardstick.retest_rule.first > 0)
    groups = (
        GroupToJudge(bundle, mark, tuple(row[:-2] for row in own))
        for (bundle, mark), own in groupby(rows, key=lambda row: row[-2:])
    )
    work = Work(partial(judge_groups, yardstick), _not_judged)
    a_bundle = max(1, min(_SAMPLES_A_BUNDLE, left // 16))
    for piece in crew.make(work, _bundles(groups, a_bundle)):
        judged.keep(piece)
        done += piece.files
        tell(BatchProgress("samples", done, total, skipped=skipped))


def _not_judged(group: GroupToJudge) -> Piece:
    name = group.rows[0][2]
    raise StorageError(f"judging the sample '{name}' ended the process that judged it, twice")
