"""The bench of the invented laboratory: instruments with their verifications, and heated cans."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, datetime, timedelta

from resile.records.order import Instrument as OrderedInstrument
from resile.records.order import TestOrder
from resile.records.register import Actor, Can, Heating, Instrument, Verification
from resile.storage.laboratory_record import LaboratoryRecord
from resile.workflows.laboratory.bench.heating import keep_heating
from resile.workflows.laboratory.bench.instruments import keep_instrument, keep_verification

_DUE_IN_DAYS = {"rheometer on bench 1": 5, "beam bench in the cold room": -3}
"""Days until the newest verification runs out; one is due soon, one is overdue."""

_DUE_OTHERWISE = 75
_HEATINGS = ((150.0, 40.0, "split into cans"), (155.0, 30.0, "poured for the oven"))


def days_from(at: str, days: int) -> str:
    """Give the day so many days after a time."""
    return (date.fromisoformat(at[:10]) + timedelta(days=days)).isoformat()


def keep_bench(
    record: LaboratoryRecord, actor: Actor, at: str, orders: Sequence[TestOrder]
) -> dict[str, str]:
    """Keep every instrument that the orders name, verified before the tests and once more lately.

    Returns
    -------
    dict of str to str
        Name and key of each.
    """
    named: dict[str, OrderedInstrument] = {}
    for order in orders:
        for one in order.instruments:
            before = named.get(one.name, one)
            tests = tuple(dict.fromkeys((*before.tests, *one.tests)))
            named[one.name] = replace(one, tests=tests, plate_diameter_mm=before.plate_diameter_mm)
    keys = {}
    for one in named.values():
        kept = keep_instrument(
            record,
            actor,
            at,
            Instrument(name=one.name, tests=one.tests, interval_days=90, note="Invented for demonstration."),
        )
        keys[one.name] = kept.key
        due = _DUE_IN_DAYS.get(one.name, _DUE_OTHERWISE)
        first = min(one.verified or days_from(at, -120), days_from(at, -1))
        for done, until in ((first, days_from(first, 90)), (days_from(at, due - 90), days_from(at, due))):
            keep_verification(record, actor, at, _verification(kept.key, done, until))
    return keys


def _verification(instrument: str, done: str, due: str) -> Verification:
    return Verification(
        instrument=instrument,
        what="temperature",
        done=done,
        due=due,
        measured=64.02,
        reference=64.0,
        unit="°C",
        tolerance=0.1,
        note="Invented for demonstration.",
    )


def keep_heatings(record: LaboratoryRecord, actor: Actor, at: str, sample: str) -> None:
    """Keep the heatings of the cans of a sample, on the day before."""
    with record.reading() as reading:
        cans = reading.find(Can, sample=sample)
    yesterday = datetime.fromisoformat(at.replace("Z", "+00:00")) - timedelta(days=1)
    for place, (temperature_c, duration_min, purpose) in enumerate(_HEATINGS):
        if not cans:
            return
        started = yesterday + timedelta(hours=2 * place)
        heating = Heating(
            can=cans[0].key,
            sample=sample,
            started=started.isoformat(timespec="seconds").replace("+00:00", "Z"),
            temperature_c=temperature_c,
            duration_min=duration_min,
            purpose=purpose,
        )
        keep_heating(record, actor, at, heating)
