"""Comparison rounds of the record: typed or from a sheet, scored, corrected with a reason."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from resile.errors import ConflictError, InputError
from resile.records.laboratories import RoundScores
from resile.records.register import Actor, Kept, RoundResult
from resile.storage.book import Book
from resile.storage.laboratory_record import LaboratoryRecord
from resile.storage.reading import Reading
from resile.workflows.laboratories.scores import round_scores
from resile.workflows.laboratory.access.permissions import require
from resile.workflows.laboratory.bench.days import day_of
from resile.workflows.laboratory.comparisons.check_materials import CHECKED_QUANTITIES

_MOST = 400


@dataclass(frozen=True, slots=True)
class RoundsKept:
    """Rounds with their scores.

    Attributes
    ----------
    kept : tuple of Kept of RoundResult
        In the order of the scores: the oldest first.
    scores : RoundScores
        Scores, trends and findings.
    count : int
        How many the record holds; the newest are taken.
    """

    kept: tuple[Kept[RoundResult], ...]
    scores: RoundScores
    count: int


def keep_round_results(
    record: LaboratoryRecord,
    actor: Actor,
    at: str,
    results: Sequence[RoundResult],
    *,
    sheet: bytes = b"",
) -> list[Kept[RoundResult]]:
    """Keep results of a round: all of them or none.

    Parameters
    ----------
    record, actor, at
        Where they are kept, who keeps them and when.
    results : sequence of RoundResult
        One a property and material.
    sheet : bytes
        The organiser's sheet they were read from, where there is one: kept byte for byte.

    Raises
    ------
    PermissionRefusedError, InputError, ConflictError
        Where they may not be kept, one is not whole, or is kept already.
    """
    require(actor, "laboratories.write")
    whole = [checked_round(one, at) for one in results]
    if not whole:
        raise InputError("round: no result was given; type one, or choose the organiser's sheet")
    round_scores(whole)  # what cannot be scored for its numbers is refused before anything is kept
    with record.writing(by=actor.key, at=at) as book:
        file = book.keep_file(sheet) if sheet else ""
        for one in whole:
            _refuse_twice(book, one)
        return book.keep_many([replace(one, file=file or one.file) for one in whole])


def correct_round_result(
    record: LaboratoryRecord,
    actor: Actor,
    at: str,
    key: str,
    result: RoundResult,
    *,
    seen: int | None,
    reason: str,
) -> Kept[RoundResult]:
    """Correct a result of a round, or write down what was found and done about it.

    Raises
    ------
    PermissionRefusedError, InputError, RecordNotFoundError, ConflictError
        Where it may not be changed, is not whole, or somebody changed it in between.
    """
    require(actor, "laboratories.write")
    whole = checked_round(result, at)
    round_scores([whole])
    with record.writing(by=actor.key, at=at) as book:
        before = book.get(RoundResult, key).value
        return book.keep(replace(whole, file=before.file), key=key, seen=seen, reason=reason)


def checked_round(result: RoundResult, at: str) -> RoundResult:
    """Refuse a result of a round that is not whole.

    Raises
    ------
    InputError
        With what is needed.
    """
    where = f"round {result.round}".strip()
    for name, words in (
        ("scheme", "who runs the rounds"),
        ("round", "which round"),
        ("material", "its material"),
    ):
        if not getattr(result, name).strip():
            raise InputError(f"{where}: {words} is needed")
    if result.quantity not in CHECKED_QUANTITIES:
        raise InputError(f"{where}, {result.material}: '{result.quantity}' is no property of the glossary")
    day = day_of(result.day, f"{where}, day of the round")
    if day > day_of(at, "time"):
        raise InputError(f"{where}: of {day}, a day that is still to come")
    if result.laboratories is not None and result.laboratories < 1:
        raise InputError(f"{where}: {result.laboratories} laboratories; at least 1 took part")
    return replace(result, day=day.isoformat())


def _refuse_twice(book: Book, result: RoundResult) -> None:
    found = book.find(RoundResult, scheme=result.scheme, round=result.round, quantity=result.quantity)
    same = [
        one
        for one in found
        if (one.value.material, one.value.condition, one.value.temperature_c)
        == (result.material, result.condition, result.temperature_c)
    ]
    if same:
        raise ConflictError(
            f"round {result.round} of {result.scheme}, {result.material}: this property is kept already "
            f"({same[0].key}); correct that one"
        )


def rounds_kept(record: LaboratoryRecord, actor: Actor) -> RoundsKept:
    """Give the newest rounds with their scores.

    Raises
    ------
    PermissionRefusedError
        For one who may not see results.
    """
    require(actor, "runs.see")
    with record.reading() as reading:
        return scored_rounds(reading)


def scored_rounds(reading: Reading) -> RoundsKept:
    """Give the newest rounds with their scores, as `rounds_kept`."""
    found = reading.find(RoundResult, order="day", falling=True, limit=_MOST)
    kept = tuple(sorted(found, key=lambda one: (one.value.day, one.value.round, one.value.material)))
    return RoundsKept(kept, round_scores([one.value for one in kept]), reading.count(RoundResult))
