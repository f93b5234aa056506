"""The heat history of cans: how often still, and what is to be said of it with every later result."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from resile.judge.rules.heating import BeyondLimit, heats_left, judge_heatings
from resile.records.finding import Finding
from resile.records.house_rule import HeatingRule
from resile.records.register import Actor, Can, Heating, Kept, Run, Sample, Specimen
from resile.storage.laboratory_record import LaboratoryRecord
from resile.storage.lists.heatings import OpenHeating, open_heatings, was_heated
from resile.storage.reading import Reading
from resile.workflows.laboratory.access.permissions import require, require_sight
from resile.workflows.laboratory.bench.house import heating_rule_in_force


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
