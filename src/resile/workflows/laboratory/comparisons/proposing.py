"""The laboratory's own precision from its record: proposed, looked at, kept by a person with a reason."""

from __future__ import annotations

from dataclasses import dataclass, replace

from resile.errors import InputError
from resile.records.determination import Condition
from resile.records.laboratories import OwnPrecisionFound, PrecisionComparison
from resile.records.register import Actor, Kept, OwnPrecision
from resile.storage.laboratory_record import LaboratoryRecord
from resile.storage.reading import Reading
from resile.workflows.laboratories.compared import compare_precision
from resile.workflows.laboratories.own_precision import own_precision, precision_to_keep
from resile.workflows.laboratory.access.permissions import require
from resile.workflows.laboratory.bench.days import day_of
from resile.workflows.laboratory.comparisons.check_materials import CHECKED_QUANTITIES
from resile.workflows.laboratory.comparisons.collecting import Collected, collect
from resile.workflows.laboratory.samples.named import person_name


@dataclass(frozen=True, slots=True)
class Question:
    """Which property, and from which days.

    Attributes
    ----------
    quantity : str
        Name from the glossary.
    condition : Condition
        Residue; unknown for every residue.
    since, until : str
        Days of the data, both included; empty for no bound.
    relative : bool
        True for standard deviations as ratios of the value.
    """

    quantity: str
    condition: Condition = Condition.UNKNOWN
    since: str = ""
    until: str = ""
    relative: bool = True


@dataclass(frozen=True, slots=True)
class Proposal:
    """What the record says of the precision of one property.

    Attributes
    ----------
    question : Question
        What was asked.
    collected : Collected
        What it rests on.
    found : OwnPrecisionFound
        Worked out; not kept.
    compared : tuple of PrecisionComparison
        Beside what is published.
    in_force : Kept of OwnPrecision or None
        What is kept for the property and residue today.
    """

    question: Question
    collected: Collected
    found: OwnPrecisionFound
    compared: tuple[PrecisionComparison, ...]
    in_force: Kept[OwnPrecision] | None


def propose(record: LaboratoryRecord, actor: Actor, question: Question) -> Proposal:
    """Work out an own precision from the record; nothing is kept.

    Raises
    ------
    PermissionRefusedError, InputError
        Where the person may not see results, or the record holds no duplicates of the property.
    """
    require(actor, "runs.see")
    asked = _checked(question)
    with record.reading() as reading:
        collected = collect(reading, asked.quantity, asked.condition, since=asked.since, until=asked.until)
        standing = in_force(reading, asked.quantity, asked.condition)
    found = _found(asked, collected)
    return Proposal(asked, collected, found, _compared(found), standing)


def _checked(question: Question) -> Question:
    if question.quantity not in CHECKED_QUANTITIES:
        raise InputError(f"'{question.quantity[:80]}' is no property of the glossary that is measured")
    since = question.since and day_of(question.since, "first day of the data").isoformat()
    until = question.until and day_of(question.until, "last day of the data").isoformat()
    if since and until and since > until:
        raise InputError(f"data from {since} to {until}: the first day must not be the later one")
    return replace(question, since=since, until=until)


def _found(question: Question, collected: Collected) -> OwnPrecisionFound:
    return own_precision(
        question.quantity,
        duplicates=collected.duplicates,
        checks=collected.checks,
        rounds=collected.rounds,
        condition=question.condition,
        relative=question.relative,
    )


def _compared(found: OwnPrecisionFound) -> tuple[PrecisionComparison, ...]:
    if found.lowest is None or found.highest is None:
        return ()
    return compare_precision(found)


def keep_precision(
    record: LaboratoryRecord,
    actor: Actor,
    at: str,
    question: Question,
    *,
    reason: str,
    valid_until: str = "",
    lowest: float | None = None,
    highest: float | None = None,
    invented: bool = False,
) -> Kept[OwnPrecision]:
    """Keep what the record says today as the laboratory's own precision.

    Parameters
    ----------
    record, actor, at
        Where it is kept, who keeps it and when.
    question : Question
        Property and days, as it was looked at.
    reason : str
        Why it may stand: kept with it.
    valid_until : str
        Day until which it may be used; empty until it is replaced.
    lowest, highest : float, optional
        Values it is to hold for, where a person says so; those of its duplicates otherwise.
    invented : bool
        True in the demonstration.

    Raises
    ------
    PermissionRefusedError, InputError
        Where it may not be kept, no reason is given, or the record does not give one.
    """
    require(actor, "laboratories.write")
    if not reason.strip():
        raise InputError(
            "own precision: say why it may stand; it changes the uncertainty of verdicts to come"
        )
    proposal = propose(record, actor, question)
    if not proposal.found.until:
        raise InputError("own precision: none of its data has a day, so nothing says from when it holds")
    if not proposal.found.standard > 0.0:
        raise InputError("own precision: its data do not scatter at all; look at them before it is kept")
    valid = valid_until and day_of(valid_until, "day until which it may be used").isoformat()
    if valid and valid <= proposal.found.until:
        raise InputError(f"own precision: valid until {valid}, but its data reach to {proposal.found.until}")
    kept = precision_to_keep(proposal.found, valid_until=valid, invented=invented)
    whole = _ranged(kept, lowest, highest)
    with record.writing(by=actor.key, at=at) as book:
        return book.keep(whole, reason=reason.strip())


def _ranged(own: OwnPrecision, lowest: float | None, highest: float | None) -> OwnPrecision:
    low = own.lowest if lowest is None else lowest
    high = own.highest if highest is None else highest
    if low is not None and high is not None and low >= high:
        raise InputError(f"own precision: values from {low:g} to {high:g}; the first must be the smaller one")
    return replace(own, lowest=low, highest=high)


def end_precision(
    record: LaboratoryRecord,
    actor: Actor,
    at: str,
    key: str,
    *,
    valid_until: str,
    seen: int | None,
    reason: str,
) -> Kept[OwnPrecision]:
    """Say until when an own precision may be used; verdicts that were kept stay as they are.

    Raises
    ------
    PermissionRefusedError, InputError, RecordNotFoundError, ConflictError
        Where it may not be changed, the day is none, no reason is given, or somebody changed it in between.
    """
    require(actor, "laboratories.write")
    day = day_of(valid_until, "day until which it may be used").isoformat()
    with record.writing(by=actor.key, at=at) as book:
        own = book.get(OwnPrecision, key).value
        return book.keep(replace(own, valid_until=day), key=key, seen=seen, reason=reason)


@dataclass(frozen=True, slots=True)
class PrecisionLine:
    """One own precision in the list.

    Attributes
    ----------
    kept : Kept of OwnPrecision
        As it stands.
    author : str
        Who kept it.
    standing : str
        ``in force``, ``replaced`` or ``ended`` on the day asked.
    """

    kept: Kept[OwnPrecision]
    author: str
    standing: str


def list_precisions(record: LaboratoryRecord, actor: Actor, day: str) -> list[PrecisionLine]:
    """List every own precision with how it stands on a day: the newest first.

    Parameters
    ----------
    record, actor
        The record, and who asks.
    day : str
        ISO 8601.
    """
    require(actor, "runs.see")
    with record.reading() as reading:
        return precision_lines(reading, day)


def precision_lines(reading: Reading, day: str) -> list[PrecisionLine]:
    """Give every own precision with how it stands on a day, as `list_precisions`."""
    found = reading.find(OwnPrecision, order="until", falling=True)
    newest: set[tuple[str, Condition]] = set()
    names = {one.by: "" for one in found}
    names = {key: person_name(reading, key) for key in names}
    lines = []
    for one in found:
        place = one.value.quantity, one.value.condition
        if one.value.valid_until and one.value.valid_until < day[:10]:
            standing = "ended"
        elif place in newest:
            standing = "replaced"
        else:
            standing = "in force"
            newest.add(place)
        lines.append(PrecisionLine(one, names[one.by], standing))
    return lines


def in_force(reading: Reading, quantity: str, condition: Condition) -> Kept[OwnPrecision] | None:
    """Give the newest own precision of a property and residue; None where none is kept."""
    found = reading.find(
        OwnPrecision, quantity=quantity, condition=condition.value, order="until", falling=True, limit=1
    )
    return found[0] if found else None
