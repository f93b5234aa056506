"""Results left out of a chart: with the cause that was found alone, and never out of the record."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from resile.errors import InputError
from resile.records.register import Actor, ControlWatch, ExcludedResult, Kept, Result
from resile.storage.laboratory_record import LaboratoryRecord
from resile.workflows.laboratory.access.permissions import require
from resile.workflows.laboratory.control.shown import SeenChart


def leave_out(
    record: LaboratoryRecord,
    actor: Actor,
    at: str,
    key: str,
    results: Sequence[str],
    *,
    seen: int,
    reason: str,
) -> Kept[ControlWatch]:
    """Leave results out of the set-up, with the cause that was found; they stay in the record.

    Parameters
    ----------
    record, actor, at
        The record, who leaves them out, and when.
    key : str
        Key of the chart.
    results : sequence of str
        Keys of the results.
    seen : int
        Revision of the chart that the person saw.
    reason : str
        The cause that was found.

    Raises
    ------
    InputError
        Without a reason, or where no result was chosen.
    """
    require(actor, "control.write")
    if not results:
        raise InputError("no result was chosen to be left out; choose one")
    if not reason.strip():
        raise InputError(
            "a result is left out only with the cause that was found: a wrong sample, a wrong residue, "
            "an instrument that had failed. Being far away is no cause"
        )
    with record.writing(by=actor.key, at=at) as book:
        before = book.get(ControlWatch, key).value
        for one in results:
            book.get(Result, one)
        others = tuple(one for one in before.excluded if one.result not in results)
        added = tuple(ExcludedResult(result=one, reason=reason, by=actor.key, at=at) for one in results)
        told = f"left out: {reason}"
        return book.keep(replace(before, excluded=(*others, *added)), key=key, seen=seen, reason=told)


def take_back(
    record: LaboratoryRecord, actor: Actor, at: str, key: str, result: str, *, seen: int, reason: str
) -> Kept[ControlWatch]:
    """Let a result count again that was left out.

    Parameters
    ----------
    record, actor, at, key, seen, reason
        As in `leave_out`.
    result : str
        Key of the result.
    """
    require(actor, "control.write")
    with record.writing(by=actor.key, at=at) as book:
        before = book.get(ControlWatch, key).value
        kept = tuple(one for one in before.excluded if one.result != result)
        if kept == before.excluded:
            raise InputError(f"result {result} is not left out of this chart")
        return book.keep(
            replace(before, excluded=kept), key=key, seen=seen, reason=reason and f"taken back: {reason}"
        )


@dataclass(frozen=True, slots=True)
class LeftOutFor:
    """Results that were left out for one cause.

    Attributes
    ----------
    reason : str
        The cause that was found.
    on : str
        Day on which the last of them was left out.
    results : tuple of (str, str)
        Key of each result, and its lot and day in words, in order of sampling.
    span : str
        First and last lot in words.
    """

    reason: str
    on: str
    results: tuple[tuple[str, str], ...]
    span: str


def left_out_by_reason(seen: SeenChart) -> list[LeftOutFor]:
    """Put the results that are left out of a chart together by the cause that was found.

    Parameters
    ----------
    seen : SeenChart
        The chart as it stands.

    Returns
    -------
    list of LeftOutFor
        In the order in which causes were first given.
    """
    known = {one.key: (one.taken, one.lot) for one in seen.results.results}
    by_reason: dict[str, list[ExcludedResult]] = {}
    for one in seen.kept.value.excluded:
        by_reason.setdefault(one.reason, []).append(one)
    return [_left_out_for(reason, some, known) for reason, some in by_reason.items()]


def _left_out_for(
    reason: str, some: Sequence[ExcludedResult], known: dict[str, tuple[str, str]]
) -> LeftOutFor:
    # A result that another finding keeps off the chart by now has its key alone.
    placed = sorted((*known.get(one.result, ("", one.result)), one.result) for one in some)
    lots = list(dict.fromkeys(lot for _, lot, _ in placed))
    return LeftOutFor(
        reason=reason,
        on=max(one.at for one in some)[:10],
        results=tuple((key, f"lot {lot}, {day[:10]}" if day else lot) for day, lot, key in placed),
        span=lots[0] if len(lots) == 1 else f"{lots[0]} to {lots[-1]}",
    )
