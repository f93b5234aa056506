"""Looking things up in the record, with what the person who asks may see."""

from __future__ import annotations

from typing import Any, TypeVar

from resile.errors import InputError, PermissionRefusedError, RecordNotFoundError
from resile.records import register
from resile.records.register import Actor, Kept, StatementState
from resile.storage.laboratory_record import LaboratoryRecord
from resile.storage.reading import kind_of_key
from resile.storage.shelves import BY_NOUN
from resile.workflows.laboratory.access.permissions import require, require_sight

Noun = TypeVar("Noun")

MOST_AT_ONCE = 200
_NEEDED: dict[type[Any], str] = {
    register.Statement: "statements.see",
    register.SiteRecord: "offer.see",
    register.RangeRecord: "offer.see",
    register.BlendBookRecord: "offer.see",
    register.RoundResult: "runs.see",
    register.CheckMaterial: "runs.see",
    register.CheckResult: "runs.see",
    register.OwnPrecision: "runs.see",
    register.ControlWatch: "runs.see",
    register.SamplingInForce: "runs.see",
    register.Delivery: "runs.see",
    register.Person: "people.write",
    register.LaboratorySettings: "settings.write",
}
_SAMPLES = "samples.see"
_OF_A_CUSTOMER = (register.Sample, register.Statement)
"""What one who may see a single customer's samples may see at all."""
_SENT_OUT = [state.value for state in StatementState if state is not StatementState.DRAFT]


def look_up(
    record: LaboratoryRecord,
    actor: Actor,
    key: str,
    revision: int | None = None,
    *,
    kind: type[Any] | None = None,
) -> Kept[Any]:
    """Give a noun by its key.

    Parameters
    ----------
    record, actor
        The record, and who asks.
    key : str
        Key of the noun.
    revision : int or None
        An earlier revision; None for the newest.
    kind : type or None
        Class it must be of; None for any.

    Raises
    ------
    RecordNotFoundError, PermissionRefusedError
        Where there is none, or it is not for this person.
    """
    noun = kind_of_key(key)
    if kind is not None and kind is not noun:
        raise RecordNotFoundError(f"{key} is no key of a {BY_NOUN[kind].said}")
    _require_kind(actor, noun)
    with record.reading() as reading:
        if actor.customer:  # whose it is now decides, also over its earlier revisions
            _require_own(actor, reading.get(noun, key))
        kept = reading.get(noun, key, revision)
        if actor.customer:  # and whose it was: an earlier revision may name another, or be a draft
            _require_own(actor, kept)
        return kept


def look_back(
    record: LaboratoryRecord, actor: Actor, key: str, *, kind: type[Any] | None = None
) -> list[Kept[Any]]:
    """Give every revision of a noun, the first one first; for people of the laboratory alone."""
    newest = look_up(record, actor, key, kind=kind)
    if actor.customer:
        return [newest]
    with record.reading() as reading:
        return reading.history(type(newest.value), key)


def look_through(
    record: LaboratoryRecord,
    actor: Actor,
    kind: type[Noun],
    *,
    after: str = "",
    limit: int = 50,
    **equal: str,
) -> list[Kept[Noun]]:
    """Give nouns of a kind in the order of their keys.

    Parameters
    ----------
    record, actor
        The record, and who asks.
    kind : type
        Class of the noun.
    after : str
        Key after which to go on; empty for the beginning.
    limit : int
        How many at most, up to `MOST_AT_ONCE`.
    **equal
        Columns of its current table and the value each must have.

    Raises
    ------
    InputError, PermissionRefusedError
        Where the limit is out of bounds, or this kind is not for this person.
    """
    if not 1 <= limit <= MOST_AT_ONCE:
        raise InputError(f"1 to {MOST_AT_ONCE} can be given at once; asked for: {limit}")
    _require_kind(actor, kind)
    chosen: dict[str, Any] = dict(equal)
    if actor.customer:
        chosen["customer"] = actor.customer
        if kind is register.Statement:
            asked = equal.get("state")
            chosen["state"] = [state for state in _SENT_OUT if asked in (None, state)]
    table = BY_NOUN[kind].table
    conditions = [table.c.key > after]
    if actor.customer and kind is register.Statement:  # a draft given up is withdrawn, and never went out
        conditions.append(table.c.issued != "")
    with record.reading() as reading:
        return reading.find(kind, *conditions, limit=limit, **chosen)


def _require_kind(actor: Actor, kind: type[Any]) -> None:
    require(actor, _NEEDED.get(kind, _SAMPLES))
    if actor.customer and kind not in _OF_A_CUSTOMER:
        raise PermissionRefusedError(
            f"{actor.name} may see samples and certificates of one customer, and no more"
        )


def _require_own(actor: Actor, kept: Kept[Any]) -> None:
    require_sight(actor, kept.value.customer)
    if isinstance(kept.value, register.Statement) and not kept.value.issued:
        raise PermissionRefusedError("this certificate has not been issued yet")
