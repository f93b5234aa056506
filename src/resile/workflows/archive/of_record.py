"""Questions to the laboratory's record: its archive is brought up to date first, and then asked."""

from __future__ import annotations

import threading
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TypeVar

import orjson

from resile.errors import RecordNotFoundError
from resile.records.archive_answers import (
    AnswerTable,
    ArchiveContents,
    ResultsWanted,
    Trend,
)
from resile.records.register import Actor
from resile.records.rejudging import Rejudging
from resile.specifications.search import names_only
from resile.storage.archive.schema import read_archive_statement
from resile.storage.laboratory_record import LaboratoryRecord
from resile.storage.lists.log import last_entry
from resile.workflows.archive import questions
from resile.workflows.archive.from_record import ArchivedRecord, archive_record, require_whole_sight
from resile.workflows.archive.rejudging import Told, rejudge_archive
from resile.workflows.judging.agreement import agree
from resile.workflows.laboratory.comparisons.precision_in_verdicts import precision_for

T = TypeVar("T")
_MANY_ENTRIES = 2000
_NAMED = "the record of the laboratory"
_MANY_RESULTS = 20_000
_at_work = threading.Lock()


@dataclass(frozen=True, slots=True, kw_only=True)
class JudgedAnewBy:
    """What a record is judged by, before and after, by name.

    Attributes
    ----------
    before, after : str
        Specifications.
    rule, rule_after : str
        Decision rules.
    basis : str
        What the uncertainty rests on; for ``own`` the precision that the record keeps counts.
    retest_rule : str
        Which determinations count.
    """

    before: str
    after: str
    rule: str = "simple"
    rule_after: str = "simple"
    basis: str = "reproducibility"
    retest_rule: str = "mean-of-all"


def is_near(record: LaboratoryRecord, actor: Actor, folder: Path) -> bool:
    """Tell whether the archive of a record is up to date, or soon is.

    Raises
    ------
    PermissionRefusedError
        Where the person may not see runs.
    """
    require_whole_sight(actor)
    try:
        stands = int(read_archive_statement(folder).options.get("seq", 0))
    except RecordNotFoundError:
        stands = 0
    with record.reading() as reading:
        return last_entry(reading).seq - stands < _MANY_ENTRIES


def brought_up_to_date(record: LaboratoryRecord, actor: Actor, folder: Path) -> ArchivedRecord:
    """Bring the archive of a record up to date; one at a time in a process."""
    with _at_work:
        return archive_record(record, actor, folder)


def asked_of_record(record: LaboratoryRecord, actor: Actor, folder: Path, question: Callable[[Path], T]) -> T:
    """Answer a question of `resile.workflows.archive.questions` from the record.

    Parameters
    ----------
    record : LaboratoryRecord
        The laboratory's record.
    actor : Actor
        Who asks.
    folder : Path
        Where its archive stands.
    question : callable
        Is given the archive.

    Returns
    -------
    object
        The answer.

    Raises
    ------
    PermissionRefusedError
        Where the person may not see runs, or sees those of one customer alone.
    """
    return question(brought_up_to_date(record, actor, folder).archive)


def judged_anew(
    record: LaboratoryRecord,
    actor: Actor,
    folder: Path,
    by: JudgedAnewBy,
    wanted: ResultsWanted,
    *,
    progress: Told | None = None,
) -> Rejudging:
    """Judge the whole record by two yardsticks; rules are names, and open no file of this computer."""
    archive = brought_up_to_date(record, actor, folder).archive
    own = precision_for(record, actor, by.basis)
    with names_only():
        before, after = (
            agree(
                specification,
                decision_rule=rule,
                uncertainty_basis=by.basis,
                retest_rule=by.retest_rule,
                precision=own,
            )
            for specification, rule in ((by.before, by.rule), (by.after, by.rule_after))
        )
    found = rejudge_archive(archive, before, after, wanted=wanted, progress=progress)
    return replace(found, archive=_NAMED)  # where its archive stands for the moment is no news to anybody


def takes_long(record: LaboratoryRecord, actor: Actor, folder: Path) -> bool:
    """Tell whether judging the record anew is work for the background."""
    return (
        not is_near(record, actor, folder)
        or brought_up_to_date(record, actor, folder).results > _MANY_RESULTS
    )


def mark_of(record: LaboratoryRecord, by: JudgedAnewBy, wanted: ResultsWanted) -> str:
    """Name an answer by what it was worked out from: the record as it is, and the question."""
    with record.reading() as reading:
        newest = last_entry(reading)
    return orjson.dumps([newest.hash, by, wanted]).decode()


def as_bytes(found: Rejudging) -> bytes:
    """Give an answer as bytes to be remembered."""
    return orjson.dumps(found)


def from_bytes(content: bytes) -> Rejudging:
    """Give a remembered answer back."""
    from pydantic import TypeAdapter

    return TypeAdapter(Rejudging).validate_json(content)


__all__ = [
    "AnswerTable",
    "ArchiveContents",
    "JudgedAnewBy",
    "ResultsWanted",
    "Trend",
    "as_bytes",
    "asked_of_record",
    "brought_up_to_date",
    "from_bytes",
    "is_near",
    "judged_anew",
    "mark_of",
    "questions",
    "takes_long",
]
