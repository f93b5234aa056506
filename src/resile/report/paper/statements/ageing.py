"""The ageing records on the page: how the oven and the vessel were run."""

from __future__ import annotations

from resile.records.ageing import AgeingRecord, Bottle, LongTermAgeingRecord
from resile.records.determination import Condition
from resile.records.verdict import GradeStatement
from resile.report.document import ReportDocument
from resile.report.numbers import NOT_KNOWN, fixed
from resile.report.paper.models.model import LEFT, RIGHT, Column, Section, Table
from resile.report.words import CONDITION_WORDS

_NOBODY_SAYS = (
    "No ageing record was handed over. That the residue is the right one rests on the word "
    "of whoever prepared it."
)


def ageing_sections(document: ReportDocument) -> tuple[Section, ...]:
    """Give the sections of the ageing records, or say that one was not handed over.

    Parameters
    ----------
    document : ReportDocument
        Records and statement.

    Returns
    -------
    tuple of Section
        Short-term ageing; long-term ageing where there is a record or a result that hangs on it.
    """
    found = []
    statement, short_term, long_term = document.statement, document.ageing, document.long_term_ageing
    if short_term is not None:
        tables = (bottle_table(short_term),) if short_term.bottles else ()
        facts = ageing_facts(short_term)
        found.append(Section(key="ageing", title="Short-term ageing", facts=facts, tables=tables))
    elif statement is not None:
        found.append(Section(key="ageing", title="Short-term ageing", paragraphs=(_NOBODY_SAYS,)))
    if long_term is not None:
        found.append(
            Section(
                key="long-term-ageing",
                title="Long-term ageing",
                facts=ageing_facts(long_term),
                tables=(pan_table(long_term),) if long_term.pans else (),
            )
        )
    elif statement is not None and _tested_after_pressure(statement):
        found.append(Section(key="long-term-ageing", title="Long-term ageing", paragraphs=(_NOBODY_SAYS,)))
    return tuple(found)


def _tested_after_pressure(statement: GradeStatement) -> bool:
    return any(result.condition is Condition.LONG_TERM_AGED for result in statement.results)


def ageing_facts(record: AgeingRecord | LongTermAgeingRecord) -> tuple[tuple[str, str], ...]:
    """Give the conditions of the oven or the vessel, as label and value."""
    known = (
        ("Method", record.method or "not stated"),
        ("Aged on", record.aged_on or "not stated"),
    )
    return (*known, *(_oven(record) if isinstance(record, AgeingRecord) else _vessel(record)))


def _oven(record: AgeingRecord) -> tuple[tuple[str, str], ...]:
    mass = record.mass_change_percent
    return (
        ("Oven temperature", _number(record.temperature_c, 1, "°C")),
        ("Time in the oven", _number(record.duration_min, 1, "min")),
        ("Air flow", _number(record.air_flow_ml_min, 0, "mL/min")),
        ("Rotation", _number(record.rotation_r_min, 1, "r/min")),
        ("Return to temperature", _number(record.recovery_min, 1, "min")),
        ("Mean mass change", "not stated" if mass is None else f"{fixed(mass, 3, signed=True)} %"),
    )


def _vessel(record: LongTermAgeingRecord) -> tuple[tuple[str, str], ...]:
    feed = "not stated" if record.feed is Condition.UNKNOWN else CONDITION_WORDS[record.feed]
    named = f", aged as in {record.short_term_record}" if record.short_term_record else ""
    pans = _number(record.pan_count, 0, "")
    across = "" if record.pan_diameter_mm is None else f", {_number(record.pan_diameter_mm, 0, 'mm')} across"
    told = (("Declared departure", record.departure), ("Seen", record.note))
    return (
        ("Put into the pans", f"{feed}{named}"),
        ("Chamber temperature", _number(record.temperature_c, 1, "°C")),
        ("Air pressure", _number(record.pressure_mpa, 2, "MPa")),
        ("Time under pressure", _number(record.duration_h, 1, "h")),
        ("Pans", f"{pans}{across}"),
        ("Pressure released in", _number(record.release_min, 1, "min")),
        (
            "Pans heated",
            _joined((record.pan_heating_min, 1, "min"), (record.pan_heating_temperature_c, 0, "°C")),
        ),
        (
            "Degassed",
            _joined(
                (record.degassing_min, 1, "min"),
                (record.degassing_temperature_c, 0, "°C"),
                (record.degassing_pressure_kpa, 1, "kPa absolute"),
            ),
        ),
        *((label, words) for label, words in told if words),
    )


def _joined(*numbers: tuple[float | None, int, str]) -> str:
    known = [_number(value, decimals, unit) for value, decimals, unit in numbers if value is not None]
    return " at ".join([known[0], " and ".join(known[1:])]).removesuffix(" at ") if known else "not stated"


def _number(value: float | None, decimals: int, unit: str) -> str:
    return "not stated" if value is None else f"{fixed(value, decimals)} {unit}".strip()


def pan_table(record: LongTermAgeingRecord) -> Table:
    """Tabulate the pans."""
    return Table(
        "Pans.",
        (
            Column("Pan", share=0.8),
            Column("Binder (g)", RIGHT, 1.1),
            Column("Film (mm)", RIGHT, 1.1),
            Column("Seen", LEFT, 4.0),
        ),
        tuple(
            (pan.name, fixed(pan.mass_g, 1), fixed(pan.film_mm, 2), pan.note or NOT_KNOWN)
            for pan in record.pans
        ),
        "Film: mass over the floor of the pan, at 1 g/cm³.",
    )


def bottle_table(record: AgeingRecord) -> Table:
    """Tabulate the bottles."""
    rows = [_bottle_row(bottle) for bottle in record.bottles]
    if record.mass_change_percent is not None:
        rows.append(("mean", "", "", "", fixed(record.mass_change_percent, 3, signed=True), ""))
    return Table(
        "Bottles. A gain in mass is positive, a loss negative.",
        (
            Column("Bottle", share=0.8),
            Column("Empty (g)", RIGHT, 1.1),
            Column("Before (g)", RIGHT, 1.1),
            Column("After (g)", RIGHT, 1.1),
            Column("Mass change (%)", RIGHT, 1.4),
            Column("Seen", LEFT, 3.0),
        ),
        tuple(rows),
        strong=(len(rows) - 1,) if record.mass_change_percent is not None else (),
    )


def _bottle_row(bottle: Bottle) -> tuple[str, ...]:
    change = bottle.mass_change_percent
    return (
        bottle.name,
        fixed(bottle.empty_g, 3),
        fixed(bottle.before_g, 3),
        fixed(bottle.after_g, 3),
        NOT_KNOWN if change is None else fixed(change, 3, signed=True),
        bottle.note or NOT_KNOWN,
    )
