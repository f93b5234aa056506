"""The heat history of cans: into the oven, out of it, how often still, and what is to be said of it later."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime

from resile.errors import ConflictError, InputError, PermissionRefusedError
from resile.judge.rules.heating import BeyondLimit, heats_left, judge_heatings
from resile.records.finding import Finding
from resile.records.house_rule import HeatingRule
from resile.records.register import Actor, Can, Heating, Kept, Run, Sample, Specimen
from resile.storage.book import Book
from resile.storage.laboratory_record import LaboratoryRecord
from resile.storage.lists.heatings import OpenHeating, open_heatings, was_heated
from resile.storage.reading import Reading
from resile.workflows.laboratory.access.permissions import require, require_sight
from resile.workflows.laboratory.bench.house import heating_rule_in_force

_OUT = "taken out of the oven"
_HOTTEST_C = 400.0
_LONGEST_MIN = 7 * 24 * 60.0


@dataclass(frozen=True, slots=True)
class HeatingLine:
    """One heating with what is said of it.

    Attributes
    ----------
    heating : Kept of Heating
        The heating.
    number : int
        Which one of the can it is.
    findings : tuple of Finding
        Where it lies beyond the rule.
    """

    heating: Kept[Heating]
    number: int
    findings: tuple[Finding, ...]


@dataclass(frozen=True, slots=True)
class CanSheet:
    """A can with its heat history.

    Attributes
    ----------
    can : Kept of Can
        The can.
    sample : Kept of Sample
        What is in it.
    heatings : tuple of HeatingLine
        The first one first.
    left : int or None
        How often it may still be heated; None where the rule does not say.
    rule : HeatingRule
        The rule in force.
    in_oven : HeatingLine or None
        The heating that has not ended.
    """

    can: Kept[Can]
    sample: Kept[Sample]
    heatings: tuple[HeatingLine, ...]
    left: int | None
    rule: HeatingRule
    in_oven: HeatingLine | None

    @property
    def findings(self) -> tuple[Finding, ...]:
        """All that is said of its heatings."""
        return tuple(finding for line in self.heatings for finding in line.findings)


def can_sheet(record: LaboratoryRecord, actor: Actor, key: str) -> CanSheet:
    """Give a can with its heat history.

    Parameters
    ----------
    record : LaboratoryRecord
        Where it is kept.
    actor : Actor
        Who asks.
    key : str
        Key of the can.
    """
    require(actor, "runs.see")
    with record.reading() as reading:
        can = reading.get(Can, key)
        sample = reading.get(Sample, can.value.sample)
        require_sight(actor, sample.value.customer)
        return _sheet(reading, can, sample)


def cans_of_sample(record: LaboratoryRecord, actor: Actor, sample: str) -> list[CanSheet]:
    """Give the cans of a sample with their heat histories, by name.

    Parameters
    ----------
    record, actor
        As in `can_sheet`.
    sample : str
        Key of the sample.
    """
    require(actor, "runs.see")
    with record.reading() as reading:
        whole = reading.get(Sample, sample)
        require_sight(actor, whole.value.customer)
        return [_sheet(reading, can, whole) for can in reading.find(Can, sample=sample, order="name")]


def _sheet(reading: Reading, can: Kept[Can], sample: Kept[Sample]) -> CanSheet:
    rule = heating_rule_in_force(reading)
    kept = reading.find(Heating, can=can.key, order="started")
    judged = _judged(kept, rule, can.value)
    lines = tuple(
        HeatingLine(one, number, tuple(beyond.finding for beyond in found))
        for number, (one, found) in enumerate(zip(kept, judged, strict=True), start=1)
    )
    in_oven = next((line for line in lines if line.heating.value.duration_min is None), None)
    return CanSheet(can, sample, lines, heats_left(len(lines), rule), rule, in_oven)


def _judged(
    kept: Sequence[Kept[Heating]], rule: HeatingRule, can: Can
) -> tuple[tuple[BeyondLimit, ...], ...]:
    return judge_heatings([one.value for one in kept], rule, can=can.name, modified=can.modified)


def heat_findings(reading: Reading, *, sample: str, can: str = "", until: str = "") -> tuple[Finding, ...]:
    """Give what the heat history says about results of a sample: shown with every later result.

    Parameters
    ----------
    reading : Reading
        The record, inside a transaction.
    sample : str
        Key of the sample.
    can : str
        Key of the can that the specimen was poured from; empty where it is not known: all cans count.
    until : str
        Day or time of the test; heatings that began later do not count. Empty for all.

    Returns
    -------
    tuple of Finding
        Can by can, in the order of the heatings.
    """
    if not sample or not was_heated(reading, sample):
        return ()
    rule = heating_rule_in_force(reading)
    cans = [reading.get(Can, can)] if can else reading.find(Can, sample=sample, order="name")
    found: list[Finding] = []
    for one in cans:
        kept = reading.find(Heating, can=one.key, order="started")
        before = [heating for heating in kept if not until or _began_before(heating.value, until)]
        found += [beyond.finding for group in _judged(before, rule, one.value) for beyond in group]
    return tuple(found)


def heat_findings_of_run(reading: Reading, run: Run) -> tuple[Finding, ...]:
    """Give what the heat history says about one run: of the can of its specimen where that is known.

    Parameters
    ----------
    reading : Reading
        The record, inside a transaction.
    run : Run
        As it is kept.
    """
    can = reading.get(Specimen, run.specimen).value.can if run.specimen else ""
    return heat_findings(reading, sample=run.sample, can=can, until=run.tested)


def _began_before(heating: Heating, until: str) -> bool:
    return heating.started[: len(until)] <= until


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


def cans_in_oven(reading: Reading, *, limit: int = 20) -> list[OpenHeating]:
    """List the cans that are in the oven, the longest there first.

    Parameters
    ----------
    reading : Reading
        The record, inside a transaction.
    limit : int
        How many are listed.
    """
    return open_heatings(reading, limit=limit)


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
