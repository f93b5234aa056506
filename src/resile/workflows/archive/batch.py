"""A batch: folders of record files to an archive, by one process or many, resumed after any end.

The files are walked, reduced and kept as pieces; the pieces are folded into the tables; the samples whose
results changed are judged; the new tables take the place of the old ones. What a batch gives depends on the
files and the options alone: not on how many worked on it, nor on how often it was stopped.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from functools import partial
from itertools import groupby, islice
from pathlib import Path
from typing import Any, TypeVar

from resile.errors import InputError, ResileError, StorageError
from resile.readers.batches.file_register import FileRegister, read_file_register
from resile.readers.batches.folder_names import FolderNames
from resile.readers.batches.places import bytes_of, found_files
from resile.readers.layout import Layout, layout_to_toml
from resile.records.batch import BatchSummary, FileTold, FoundFile
from resile.storage.archive.engine import duckdb, engine
from resile.storage.archive.folding import (
    clear,
    commit,
    finish_commit,
    fold_records,
    fold_verdicts,
    groups_to_judge,
    next_folder,
    touched_groups,
    touched_rows,
)
from resile.storage.archive.holding import hold_archive
from resile.storage.archive.parquet import arrow
from resile.storage.archive.pieces import DoneRecords, Pieces
from resile.storage.archive.schema import (
    REFUSED,
    STATEMENT,
    ArchiveStatement,
    read_archive_statement,
    write_archive_statement,
    write_piece,
)
from resile.version import __version__
from resile.workflows.archive.batch_crew import Alone, Crew, Processes, Work
from resile.workflows.archive.batch_judging import judge_groups
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

FILES_A_BUNDLE = 64
"""Files that one task takes: long enough that sending it costs nothing, short enough to lose little."""
_SAMPLES_A_BUNDLE = 100
_FILES_COMPARED = 4096
"""Files whose hashes are compared with what is done, at one time."""
MADE_FROM = "record files"
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


@dataclass(frozen=True, slots=True)
class Batch:
    """What a batch is to do.

    Attributes
    ----------
    folders : tuple of str
        Folders, files or addresses.
    archive : Path
        Folder of the archive.
    yardstick : Yardstick or None
        What results are judged by; None for no verdicts.
    layout : Layout
        How files are to be understood, where that is not left to the reader.
    register : Path or None
        Table that says what each file is of.
    named : str
        Pattern by which folders are named; empty for none.
    again : bool
        Make the archive anew.
    send : bool
        Send the bytes to whoever works on them: they cannot fetch the files themselves.
    """

    folders: tuple[str, ...]
    archive: Path
    yardstick: Yardstick | None = None
    layout: Layout = field(default_factory=Layout)
    register: Path | None = None
    named: str = ""
    again: bool = False
    send: bool = False


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
    """
    arrow(), duckdb()
    naming = _Naming(batch)
    total = _count(batch.folders)
    with hold_archive(batch.archive):
        crew = _crew(jobs, machines)  # before anything is cleared: a scheduler may not answer
        try:
            summary = _work_through(batch, naming, crew, _Count(total, tell), tell)
        finally:
            crew.end()
    if summary.refused == summary.distinct_files:
        raise InputError(
            f"{', '.join(batch.folders)}: none of the {summary.files} files could be read; the reasons stand "
            f"in {batch.archive / REFUSED}"
        )
    return summary


def _work_through(batch: Batch, naming: _Naming, crew: Crew, count: _Count, tell: Tell) -> BatchSummary:
    """Reduce, fold, judge, and put the new tables in the place of the old ones."""
    everything = _prepare(batch, naming)
    pieces = Pieces(batch.archive)
    _reduce_all(batch, naming, pieces, crew, count)
    tell(BatchProgress("tables"))
    into = next_folder(batch.archive)
    with engine(into) as connection:
        fold_records(connection, batch.archive, pieces, into)
        groups_to_judge(connection, batch.archive, into, everything=everything)
        judged = _judge_all(batch.yardstick, connection, into, crew, tell) if batch.yardstick else []
        fold_verdicts(connection, batch.archive, judged, into)
        summary = write_summary(connection, into, skipped=count.now.skipped)
    commit(batch.archive, pieces)
    return summary


def _count(folders: Sequence[str]) -> int:
    total = sum(1 for folder in folders for _ in found_files(folder, ENDINGS))
    if not total:
        raise InputError(f"{', '.join(folders)}: no file ending in {', '.join(sorted(ENDINGS))} stands there")
    return total


class _Naming:
    """What register and folders say of files."""

    def __init__(self, batch: Batch) -> None:
        self.register: FileRegister | None = read_file_register(batch.register) if batch.register else None
        self._names = FolderNames(batch.named) if batch.named else None

    def told(self, file: FoundFile) -> FileTold:
        by_folders = (self._names.told(file) if self._names else None) or FileTold()
        return self.register.told(file).over(by_folders) if self.register else by_folders


def _prepare(batch: Batch, naming: _Naming) -> bool:
    """Make the archive ready; tell whether everything in it is to be judged."""
    if batch.again:
        clear(batch.archive)
    finish_commit(batch.archive)
    options = {"reading": _reading_options(batch, naming), "judging": _judging_options(batch.yardstick)}
    everything = False
    if (batch.archive / STATEMENT).is_file():
        there = read_archive_statement(batch.archive)
        _refuse_other(batch.archive, there, options["reading"])
        everything = there.options.get("judging") != options["judging"]
    write_archive_statement(batch.archive, ArchiveStatement(__version__, MADE_FROM, options))
    return everything


def _refuse_other(archive: Path, there: ArchiveStatement, reading: object) -> None:
    """Refuse to mix what was reduced in different ways."""
    anew = "name another folder, or make it anew with --again"
    if there.made_from != MADE_FROM:
        raise InputError(f"{archive}: this archive was made from a {there.made_from}; {anew}")
    if there.software != __version__:
        raise InputError(
            f"{archive}: this archive was made by resile {there.software}, and this is {__version__}; {anew}"
        )
    held = there.options.get("reading")
    if held != reading and isinstance(held, dict) and isinstance(reading, dict):
        parts = [name for name in sorted({*held, *reading}) if held.get(name) != reading.get(name)]
        raise InputError(f"{archive}: this archive was made with another {' and '.join(parts)}; {anew}")


def _reading_options(batch: Batch, naming: _Naming) -> dict[str, str]:
    return {
        "layout": layout_to_toml(batch.layout) if batch.layout != Layout() else "",
        "pattern of folders": batch.named,
        "register of files": naming.register.source.sha256 if naming.register else "",
    }


def _judging_options(yardstick: Yardstick | None) -> dict[str, str]:
    if yardstick is None:
        return {}
    return {
        "specification": yardstick.specification.identifier,
        "edition": yardstick.specification.edition,
        "sha256": yardstick.specification.sha256,
        "decision_rule": yardstick.decision_rule.name,
        "retest_rule": yardstick.retest_rule.name,
        "uncertainty_basis": yardstick.basis,
    }


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


def _reduce_all(batch: Batch, naming: _Naming, pieces: Pieces, crew: Crew, count: _Count) -> None:
    """Reduce what is not done yet, and keep it piece by piece."""
    work = Work(partial(reduce_files, HowToReduce(batch.layout, __version__)), given_up)
    a_bundle = max(1, min(FILES_A_BUNDLE, count.now.total // 16))
    done = DoneRecords(batch.archive, pieces)
    for fresh in _not_done(_to_do(batch, naming), done, pieces, crew, count):
        for piece in crew.make(work, _bundles(fresh, a_bundle)):
            pieces.keep(piece)
            count.add(done=piece.files, refused=piece.refused)


def _to_do(batch: Batch, naming: _Naming) -> Iterator[FileToDo]:
    seen: set[str] | None = set() if len(batch.folders) > 1 else None
    for folder in batch.folders:
        for file in found_files(folder, ENDINGS):
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


def _judge_all(yardstick: Yardstick, connection: Any, into: Path, crew: Crew, tell: Tell) -> list[Path]:
    """Judge the samples whose results are others than before; give the files of their verdicts."""
    folder = into / "judged"
    folder.mkdir()
    done, total = 0, touched_groups(connection)
    tell(BatchProgress("samples", 0, total))
    groups = (
        tuple(row[:-1] for row in rows)
        for _, rows in groupby(touched_rows(connection, into), key=lambda row: row[-1])
    )
    work = Work(partial(judge_groups, yardstick), _not_judged)
    files: list[Path] = []
    for verdicts in crew.make(work, _bundles(groups, _SAMPLES_A_BUNDLE)):
        files.append(folder / f"{len(files) + 1:06d}.parquet")
        write_piece(files[-1], verdicts)
        done = min(total, done + _SAMPLES_A_BUNDLE)
        tell(BatchProgress("samples", done, total))
    return files


def _not_judged(group: Sequence[Sequence[Any]]) -> bytes:
    raise StorageError(f"judging the sample '{group[0][2]}' ended the process that judged it, twice")
