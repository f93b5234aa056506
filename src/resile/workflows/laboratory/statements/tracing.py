"""A statement followed down to the bytes: verdict, results, runs, files; every hash on the way is checked."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from resile.errors import RecordNotFoundError, ResileError
from resile.records.register import (
    TYPED_RESULTS,
    Actor,
    Conditioning,
    Kept,
    Result,
    Run,
    Statement,
    Verdict,
)
from resile.storage.chain import hash_of
from resile.storage.laboratory_record import LaboratoryRecord
from resile.storage.lists.log import entry_at
from resile.storage.reading import Reading
from resile.workflows.laboratory.access.permissions import require
from resile.workflows.laboratory.files.keeping_runs import source_of
from resile.workflows.laboratory.statements.statements_seen import log_stands, statement_seen


@dataclass(frozen=True, slots=True)
class TraceLink:
    """One link of the chain from a statement to the bytes.

    Attributes
    ----------
    depth : int
        0 for the statement, 1 for what it rests on, and so on.
    name : str
        Key and revision, or name of a file.
    told : str
        What it is.
    sha256 : str
        Hash that was checked: of the entry in the log, or of the bytes.
    broken : str
        What is wrong; empty where the link holds.
    address : str
        Page on which it stands; empty for none.
    """

    depth: int
    name: str
    told: str
    sha256: str
    broken: str = ""
    address: str = ""


@dataclass(frozen=True, slots=True)
class Trace:
    """A statement with everything it rests on.

    Attributes
    ----------
    statement : Kept of Statement
        Where it begins.
    links : tuple of TraceLink
        Each followed by what it rests on.
    """

    statement: Kept[Statement]
    links: tuple[TraceLink, ...]

    @property
    def broken(self) -> int:
        """How many links do not hold."""
        return sum(bool(link.broken) for link in self.links)


def trace_statement(record: LaboratoryRecord, actor: Actor, named: str) -> Trace:
    """Follow a statement down to the bytes of its record files, and check every hash on the way.

    Parameters
    ----------
    record : LaboratoryRecord
        The laboratory's record.
    actor : Actor
        Who asks.
    named : str
        Number or key of the statement.

    Raises
    ------
    PermissionRefusedError, RecordNotFoundError
        Where the person may not, or there is no such statement.
    """
    require(actor, "audit.see")
    with record.reading() as reading:
        found = reading.find(Statement, number=named, limit=1)
        kept = statement_seen(reading, actor, found[0].key if found else named)
        walk = _Walk(reading)
        walk.statement(kept)
    return Trace(kept, tuple(walk.links))


class _Walk:
    def __init__(self, reading: Reading) -> None:
        self.reading = reading
        self.links: list[TraceLink] = []

    def statement(self, kept: Kept[Statement]) -> None:
        noun = kept.value
        lost = bool(noun.head) and not log_stands(self.reading, noun.head)
        wrong = "the log no longer holds the head that is printed on it" if lost else ""
        self._entry(0, kept, f"statement {noun.number}, {noun.state.value}", f"/statements/{kept.key}", wrong)
        for name, sha256 in noun.files.items():
            self._file(1, name, "page as issued", sha256, f"/statements/{kept.key}/pages/{name}")
        if noun.verdict:
            self._verdict(self.reading.get(Verdict, noun.verdict), f"/samples/{noun.sample}")

    def _verdict(self, kept: Kept[Verdict], address: str) -> None:
        noun = kept.value
        told = " ".join(part for part in (noun.specification, noun.edition) if part)
        self._entry(1, kept, f"verdict by {told}: {noun.grade or noun.outcome}", address)
        self._file(2, "verdict.json", "every line of the verdict", noun.file)
        for named in noun.results:
            key, _, revision = named.partition("/")
            try:
                self._result(self.reading.get(Result, key, int(revision)))
            except RecordNotFoundError as error:
                self.links.append(TraceLink(2, named, "result", "", str(error)))

        self._beside(noun.sample, kept.seq)

    def _beside(self, sample: str, before: int) -> None:
        """Add what else the verdict was made from: ageing records and typed tables of the sample."""
        ageings = self.reading.find(Conditioning, sample=sample)
        typed = self.reading.find(Run, sample=sample, test=TYPED_RESULTS)
        found: list[tuple[Kept[Any], str]] = [(one, "ageing record") for one in ageings]
        found += [(one, "typed table") for one in typed]
        for kept, told in found:
            if kept.seq < before:
                self._entry(2, kept, told, f"/samples/{sample}")
            if kept.seq < before and kept.value.file:
                self._file(3, kept.value.file_name, f"{told}, byte for byte", kept.value.file)

    def _result(self, kept: Kept[Result]) -> None:
        run = self._run_as_reduced(kept)
        other = kept.value.input and kept.value.input != source_of(run.value)
        wrong = "no revision of its run has the file and options it was reduced from" if other else ""
        told = f"result of {len(kept.value.lines)} values, made with resile {kept.value.software}"
        self._entry(2, kept, told, f"/runs/{run.key}/recompute", wrong)
        noun = run.value
        self._entry(3, run, f"run, {noun.test.replace('_', ' ')}", f"/runs/{run.key}")
        self._file(4, noun.file_name, "record file, byte for byte", noun.file, f"/files/{noun.file}")
        if noun.layout:
            self._file(4, "layout.toml", "how the file is read", noun.layout, f"/files/{noun.layout}")

    def _run_as_reduced(self, kept: Kept[Result]) -> Kept[Run]:
        """Give the newest revision of the run that the result was reduced from."""
        history = self.reading.history(Run, kept.value.run)
        fitting = [run for run in history if source_of(run.value) == kept.value.input]
        return (fitting or history)[-1]

    def _entry(self, depth: int, kept: Kept[Any], told: str, address: str, wrong: str = "") -> None:
        entry = entry_at(self.reading, kept.seq)
        if entry is None or hash_of(entry) != entry.hash:
            wrong = "its entry in the log was changed: the hash does not fit"
        name = f"{kept.key}, revision {kept.revision}"
        self.links.append(TraceLink(depth, name, told, entry.hash if entry else "", wrong, address))

    def _file(self, depth: int, name: str, told: str, sha256: str, address: str = "") -> None:
        wrong = ""
        try:
            self.reading.file(sha256)
        except ResileError as error:
            wrong = str(error)
        self.links.append(TraceLink(depth, name, told, sha256, wrong, address))
