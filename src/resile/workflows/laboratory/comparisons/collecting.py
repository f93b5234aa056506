"""What the record holds for an own precision: duplicates among the runs, checks of materials, rounds."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from resile.records.determination import Condition
from resile.records.laboratories import MaterialChecks, Replicates
from resile.records.register import CheckMaterial, CheckResult, Result, RoundResult
from resile.storage.lists.laboratories import DuplicateRun, duplicate_runs, newest_checks
from resile.storage.reading import Reading
from resile.workflows.laboratory.comparisons.check_materials import names_of_instruments

_SAME_TEMPERATURE_C = 0.5
_MOST_CHECKS = 400


@dataclass(frozen=True, slots=True)
class DuplicateValue:
    """One value of a sample that was tested by two specimens or more.

    Attributes
    ----------
    sample, run : str
        Number of the sample and key of the run.
    condition : str
        Residue.
    temperature_c : float or None
        Test temperature [°C].
    value : float
        In the unit of the quantity.
    day, operator, instrument : str
        When, by whom and with what; the instrument by its name.
    """

    sample: str
    run: str
    condition: str
    temperature_c: float | None
    value: float
    day: str
    operator: str
    instrument: str


@dataclass(frozen=True, slots=True)
class Collected:
    """What speaks about the precision of one property.

    Attributes
    ----------
    values : tuple of DuplicateValue
        Every value of a sample, residue and temperature that was tested twice or more.
    duplicates : tuple of Replicates
        Those of one operator, instrument and day.
    checks : tuple of MaterialChecks
        Check materials of the property, with their checks.
    rounds : tuple of RoundResult
        Rounds of the property.
    """

    values: tuple[DuplicateValue, ...]
    duplicates: tuple[Replicates, ...]
    checks: tuple[MaterialChecks, ...]
    rounds: tuple[RoundResult, ...]


def collect(
    reading: Reading,
    quantity: str,
    condition: Condition = Condition.UNKNOWN,
    *,
    since: str = "",
    until: str = "",
) -> Collected:
    """Collect what the record holds of one property.

    Parameters
    ----------
    reading : Reading
        The record, inside a transaction.
    quantity : str
        Name from the glossary.
    condition : Condition
        Residue; unknown for every residue.
    since, until : str
        Days, both included; empty for no bound.
    """
    residue = "" if condition is Condition.UNKNOWN else condition.value
    runs = duplicate_runs(reading, since=since, until=until, condition=residue)
    sets = list(_sets(reading, runs, quantity))
    return Collected(
        values=tuple(value for one in sets for value in one),
        duplicates=tuple(found for one in sets for found in _replicates(one)),
        checks=_checks(reading, quantity, condition, since, until),
        rounds=_rounds(reading, quantity, condition, since, until),
    )


def _sets(reading: Reading, runs: Sequence[DuplicateRun], quantity: str) -> Iterator[list[DuplicateValue]]:
    """Give the values of one sample, residue and temperature by two specimens or more."""
    results = {one.key: one.value for one in reading.find(Result, key=[run.result for run in runs])}
    instruments = names_of_instruments(reading)
    held: dict[tuple[str, str], list[tuple[DuplicateRun, DuplicateValue]]] = {}
    for run in runs:
        for line in results[run.result].lines:
            if line.quantity != quantity or line.value is None:
                continue
            name = instruments.get(run.instrument, run.instrument)
            value = DuplicateValue(
                sample=run.sample_number,
                run=run.run,
                condition=run.condition,
                temperature_c=line.temperature_c,
                value=line.value,
                day=run.tested[:10],
                operator=run.operator,
                instrument=name,
            )
            held.setdefault((run.sample, run.condition), []).append((run, value))
    for each in held.values():
        for group in _by_temperature(each):
            if len({run.specimen for run, _ in group}) > 1:
                yield _one_a_specimen(group)


def _by_temperature(
    values: Sequence[tuple[DuplicateRun, DuplicateValue]],
) -> list[list[tuple[DuplicateRun, DuplicateValue]]]:
    groups: list[list[tuple[DuplicateRun, DuplicateValue]]] = []
    for one in values:
        for group in groups:
            if _same(group[0][1].temperature_c, one[1].temperature_c):
                group.append(one)
                break
        else:
            groups.append([one])
    return groups


def _same(first: float | None, second: float | None) -> bool:
    if first is None or second is None:
        return first is second
    return abs(first - second) <= _SAME_TEMPERATURE_C


def _one_a_specimen(group: Sequence[tuple[DuplicateRun, DuplicateValue]]) -> list[DuplicateValue]:
    """Keep the first value of each specimen: the same specimen measured again is no duplicate."""
    first: dict[str, DuplicateValue] = {}
    for run, value in group:
        first.setdefault(run.specimen, value)
    return list(first.values())


def _replicates(values: Sequence[DuplicateValue]) -> Iterator[Replicates]:
    held: dict[tuple[str, str, str], list[DuplicateValue]] = {}
    for one in values:
        held.setdefault((one.day, one.operator, one.instrument), []).append(one)
    for (day, operator, instrument), same in held.items():
        if len(same) > 1:
            yield Replicates(
                values=tuple(one.value for one in same),
                when=day,
                sample=same[0].sample,
                operator=operator,
                instrument=instrument,
            )


def _checks(
    reading: Reading, quantity: str, condition: Condition, since: str, until: str
) -> tuple[MaterialChecks, ...]:
    keys = newest_checks(reading, most=_MOST_CHECKS)
    checks = {one.key: one.value for one in reading.find(CheckResult, key=keys)} if keys else {}
    of_material: dict[str, list[CheckResult]] = {}
    for key in keys:
        if _between(checks[key].done, since, until):
            of_material.setdefault(checks[key].material, []).append(checks[key])
    return tuple(
        MaterialChecks(material=one.value, checks=tuple(of_material[one.key]))
        for one in reading.find(CheckMaterial, order="name")
        if one.key in of_material
        and one.value.quantity == quantity
        and (condition is Condition.UNKNOWN or one.value.condition in (condition, Condition.UNKNOWN))
    )


def _rounds(
    reading: Reading, quantity: str, condition: Condition, since: str, until: str
) -> tuple[RoundResult, ...]:
    found = reading.find(RoundResult, quantity=quantity, order="day")
    return tuple(
        one.value
        for one in found
        if _between(one.value.day, since, until)
        and (condition is Condition.UNKNOWN or one.value.condition is condition)
    )


def _between(day: str, since: str, until: str) -> bool:
    return day[:10] >= since and (not until or day[:10] <= until[:10])
