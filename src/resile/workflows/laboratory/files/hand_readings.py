"""Readings typed by hand are kept as a table file, like one that was dropped: the chain ends at bytes."""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence
from dataclasses import dataclass

from resile.errors import InputError
from resile.records.determination import Condition
from resile.records.quantity import QUANTITIES, RESULT_QUANTITIES, WORD_QUANTITIES, Quantity
from resile.records.register import Actor, Instrument, Kept, Sample
from resile.report.words import CONDITION_WORDS
from resile.storage.laboratory_record import LaboratoryRecord
from resile.workflows.laboratory.access.permissions import require
from resile.workflows.laboratory.bench.bench_hub import sample_named
from resile.workflows.laboratory.bench.hand_numbers import hand_number, hand_number_or_none
from resile.workflows.laboratory.files.ingesting import KeptRecord, RecordTold, keep_record

MOST_READINGS = 8
"""Rows of the form."""
_HEADINGS = ("sample", "condition", "temperature_c", "quantity", "value", "unit")


@dataclass(frozen=True, slots=True)
class TypedReading:
    """One reading as it was typed.

    Attributes
    ----------
    quantity : str
        Name from the glossary; empty for a row that was left empty.
    value, unit : str
        As typed; the unit of the glossary where it is empty.
    condition : str
        Residue.
    temperature : str
        Test temperature as typed [°C]; may be empty.
    """

    quantity: str = ""
    value: str = ""
    unit: str = ""
    condition: str = ""
    temperature: str = ""


@dataclass(frozen=True, slots=True)
class ReadingChoices:
    """What a form of readings offers.

    Attributes
    ----------
    sample : Kept of Sample
        The sample.
    quantities : tuple of Quantity
        What can be typed, by its words.
    conditions : tuple of (str, str)
        Residues and their words.
    instruments : tuple of Kept of Instrument
        Of the laboratory, in use.
    """

    sample: Kept[Sample]
    quantities: tuple[Quantity, ...]
    conditions: tuple[tuple[str, str], ...]
    instruments: tuple[Kept[Instrument], ...]


def reading_choices(record: LaboratoryRecord, actor: Actor, sample: str) -> ReadingChoices:
    """Give what a form of readings offers.

    Parameters
    ----------
    record : LaboratoryRecord
        Where to look.
    actor : Actor
        Who asks.
    sample : str
        Number or key of the sample.

    Raises
    ------
    PermissionRefusedError, RecordNotFoundError
        Where the person may keep none, or there is no such sample.
    """
    require(actor, "runs.keep")
    whole = sample_named(record, actor, sample)
    with record.reading() as reading:
        instruments = tuple(reading.find(Instrument, retired=False, order="name"))
    typed = (QUANTITIES[name] for name in RESULT_QUANTITIES if name not in WORD_QUANTITIES)
    quantities = tuple(sorted(typed, key=lambda one: one.title))
    known = tuple((one.value, CONDITION_WORDS[one]) for one in Condition if one is not Condition.UNKNOWN)
    return ReadingChoices(whole, quantities, known, instruments)


def keep_readings(
    record: LaboratoryRecord,
    actor: Actor,
    at: str,
    sample: str,
    readings: Sequence[TypedReading],
    *,
    instrument: str = "",
    operator: str = "",
    tested: str = "",
    note: str = "",
) -> KeptRecord:
    """Keep readings typed by hand as the table they make.

    Parameters
    ----------
    record, actor
        As in `reading_choices`.
    at : str
        When, ISO 8601 in UTC.
    sample : str
        Number or key of the sample.
    readings : sequence of TypedReading
        As typed; empty rows are passed over.
    instrument, operator, tested, note : str
        As in `RecordTold`.

    Raises
    ------
    InputError
        Where nothing was typed, or a row is not whole; it names the row.
    """
    whole = sample_named(record, actor, sample)
    number = whole.value.number
    rows = [
        (number, *_row(reading, f"row {place}"))
        for place, reading in enumerate(readings, start=1)
        if reading.quantity or reading.value.strip()
    ]
    if not rows:
        raise InputError("nothing was typed: choose a quantity, and type its value")
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerows([_HEADINGS, *rows])
    clock = at[:19].replace(":", "").replace("T", "-")
    plain = "".join(sign if sign.isalnum() or sign in "-_." else "-" for sign in number)
    told = RecordTold(sample=whole.key, instrument=instrument, operator=operator, tested=tested, note=note)
    kept = keep_record(record, actor, at, out.getvalue().encode(), f"{plain}-readings-{clock}.csv", told)
    if kept.refusal is not None:
        raise kept.refusal
    return kept


def _row(reading: TypedReading, place: str) -> tuple[str, ...]:
    known = QUANTITIES.get(reading.quantity)
    if known is None:
        raise InputError(f"{place}: a value was typed and no quantity chosen; choose what was measured")
    if not reading.value.strip():
        raise InputError(f"{place}, {known.title}: no value was typed; type it, or choose no quantity")
    if not reading.condition:
        raise InputError(f"{place}, {known.title}: choose the residue it was measured on")
    temperature = hand_number_or_none(reading.temperature, f"{place}, test temperature")
    hand_number(reading.value, f"{place}, {known.title}")
    return (
        reading.condition,
        "" if temperature is None else f"{temperature:g}",
        reading.quantity,
        reading.value.strip().replace(",", "."),
        reading.unit.strip() or known.unit,
    )
