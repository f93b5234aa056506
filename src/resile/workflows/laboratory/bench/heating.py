"""Heatings of cans are kept: into the oven, out of it, corrected, within the rule or by permission."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime

from resile.errors import ConflictError, InputError, PermissionRefusedError
from resile.judge.rules.heating import BeyondLimit, judge_heatings
from resile.records.register import Actor, Can, Heating, Kept
from resile.storage.book import Book
from resile.storage.laboratory_record import LaboratoryRecord
from resile.workflows.laboratory.access.permissions import require
from resile.workflows.laboratory.bench.house import heating_rule_in_force

_OUT = "taken out of the oven"

_HOTTEST_C = 400.0

_LONGEST_MIN = 7 * 24 * 60.0


def start_heating(
    record: LaboratoryRecord,
    actor: Actor,
    at: str,
    can: str,
    temperature_c: float,
    *,
    purpose: str = "",
    permit: bool = False,
) -> Kept[Heating]:
    """Note that a can goes into the oven now.

    Parameters
    ----------
    record, actor
        As in `can_sheet`.
    at : str
        When, ISO 8601 in UTC.
    can : str
        Key of the can.
    temperature_c : float
        Oven temperature [°C].
    purpose : str
        What for.
    permit : bool
        True to let a heating beyond the rule stand, by one who may.

    Raises
    ------
    InputError, PermissionRefusedError, ConflictError
        Where it lies beyond the rule and nobody permits it, or the can is in the oven already.
    """
    heating = Heating(can=can, sample="", started=at, temperature_c=temperature_c, purpose=purpose)
    return keep_heating(record, actor, at, heating, permit=permit)


def keep_heating(
    record: LaboratoryRecord, actor: Actor, at: str, heating: Heating, *, permit: bool = False
) -> Kept[Heating]:
    """Keep one heating of a can: one that begins, or one that is over.

    Parameters
    ----------
    record, actor, at, permit
        As in `start_heating`.
    heating : Heating
        Its can, start and temperature; its sample is that of the can.

    Raises
    ------
    InputError, PermissionRefusedError, ConflictError
        As in `start_heating`, or where a number cannot be.
    """
    require(actor, "bench.write")
    _check(heating, at)
    with record.writing(by=actor.key, at=at) as book:
        can = book.get(Can, heating.can)
        whole = replace(heating, sample=can.value.sample, permitted_by="")
        earlier = book.find(Heating, can=can.key, order="started")
        if heating.duration_min is None and any(one.value.duration_min is None for one in earlier):
            raise ConflictError(f"can {can.value.name} is in the oven already; take it out first")
        beyond = _refused(book, can, [*(one.value for one in earlier), whole])
        if beyond:
            whole = replace(whole, permitted_by=_permitted(actor, permit, beyond[0]))
        return book.keep(whole)


def _refused(book: Book, can: Kept[Can], heatings: list[Heating]) -> list[BeyondLimit]:
    """Give the limits that refuse the last heating given."""
    last = heatings[-1]
    ordered = sorted(heatings, key=lambda one: one.started)
    rule = heating_rule_in_force(book)
    judged = judge_heatings(ordered, rule, can=can.value.name, modified=can.value.modified)
    own = next(found for one, found in zip(ordered, judged, strict=True) if one is last)
    return [one for one in own if one.limit.refuses]


def _permitted(actor: Actor, permit: bool, beyond: BeyondLimit) -> str:
    told = f"{beyond.finding.message} {beyond.limit.advice}".strip()
    if not permit:
        raise InputError(f"{told} ({beyond.limit.source})")
    if not actor.may("heating.permit"):
        raise PermissionRefusedError(f"{told} {actor.name} may not let it stand; a specialist can")
    return actor.key


def stop_heating(
    record: LaboratoryRecord,
    actor: Actor,
    at: str,
    key: str,
    *,
    seen: int | None = None,
    preparation_min: float | None = None,
) -> Kept[Heating]:
    """Note that a can is taken out of the oven now: a fact, kept whatever the rule says and flagged by it.

    Parameters
    ----------
    record, actor, at
        As in `start_heating`.
    key : str
        Key of the heating.
    seen : int or None
        Revision that the person saw.
    preparation_min : float or None
        From the oven to the last specimen poured [min], where it is known already.

    Raises
    ------
    ConflictError
        Where it was taken out already.
    """
    require(actor, "bench.write")
    with record.writing(by=actor.key, at=at) as book:
        kept = book.get(Heating, key)
        if kept.value.duration_min is not None:
            raise ConflictError(f"this can was taken out of the oven already, at {kept.at}")
        stayed = minutes_between(kept.value.started, at)
        out = replace(kept.value, duration_min=stayed, preparation_min=preparation_min)
        return book.keep(out, key=key, seen=seen, reason=_OUT)


def correct_heating(
    record: LaboratoryRecord,
    actor: Actor,
    at: str,
    key: str,
    heating: Heating,
    *,
    reason: str,
    seen: int | None = None,
) -> Kept[Heating]:
    """Correct one heating; what was permitted stays so.

    Parameters
    ----------
    record, actor, at
        As in `start_heating`.
    key, seen, reason
        As in `Book.keep`.
    heating : Heating
        As it is to stand; can and sample stay as they are.
    """
    require(actor, "bench.write")
    _check(heating, at)
    with record.writing(by=actor.key, at=at) as book:
        kept = book.get(Heating, key).value
        whole = replace(heating, can=kept.can, sample=kept.sample, permitted_by=kept.permitted_by)
        return book.keep(whole, key=key, seen=seen, reason=reason)


def minutes_between(start: str, end: str) -> float:
    """Give the minutes from one time to another, to a hundredth of a minute.

    Parameters
    ----------
    start, end : str
        ISO 8601; without a zone they are in UTC.

    Raises
    ------
    InputError
        Where one is no time, or the end comes before the start.
    """
    minutes = (_time(end) - _time(start)).total_seconds() / 60.0
    if minutes < 0:
        raise InputError(f"it ends at {end}, before it began at {start}")
    return round(minutes, 2)


def _time(text: str) -> datetime:
    try:
        found = datetime.fromisoformat(text)
    except ValueError:
        raise InputError(f"'{text}' is no time; needed: such as 2026-03-02T08:30") from None
    return found if found.tzinfo else found.replace(tzinfo=UTC)


def _check(heating: Heating, at: str) -> None:
    if _time(heating.started) > _time(at):
        raise InputError(f"heating: it begins at {heating.started}, which is still to come")
    if not 0.0 < heating.temperature_c <= _HOTTEST_C:
        raise InputError(
            f"heating: an oven temperature of {heating.temperature_c:g} °C was found; "
            f"above 0 and at most {_HOTTEST_C:g} °C is needed"
        )
    for minutes, what in (
        (heating.duration_min, "time in the oven"),
        (heating.preparation_min, "preparation"),
    ):
        if minutes is not None and not 0.0 <= minutes <= _LONGEST_MIN:
            raise InputError(
                f"heating: {what} of {minutes:g} min was found; 0 to {_LONGEST_MIN:g} min is needed"
            )
