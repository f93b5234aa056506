"""The invented laboratory beside others and itself: rounds, check materials, checks, an own precision.

All numbers are invented for demonstration; nothing was measured.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, timedelta

from resile.errors import InputError
from resile.records.determination import Condition
from resile.records.register import Actor, CheckMaterial, CheckResult, Instrument, RoundResult
from resile.storage.laboratory_record import LaboratoryRecord
from resile.workflows.laboratory.comparisons.check_materials import keep_check, keep_material
from resile.workflows.laboratory.comparisons.proposing import Question, keep_precision
from resile.workflows.laboratory.comparisons.rounds_kept import keep_round_results

_NOTE = "Invented for demonstration."
_AGED = Condition.SHORT_TERM_AGED
_MATERIALS = (
    CheckMaterial(
        name="Check fluid Q-60 (invented)",
        kind="check-fluid",
        quantity="rotational_viscosity",
        reference=0.6012,
        reference_expanded=0.0014,
        site_deviation=0.0019,
        temperature_c=60.0,
        certificate="Q-60/17 (invented)",
        interval_days=30,
        note=_NOTE,
        invented=True,
    ),
    CheckMaterial(
        name="Steel beam 4 (invented)",
        kind="steel-beam",
        quantity="creep_stiffness",
        reference=212.0,
        reference_expanded=2.4,
        site_deviation=1.6,
        interval_days=30,
        note=_NOTE,
        invented=True,
    ),
    CheckMaterial(
        name="Binder K, 40 cans (invented)",
        kind="check-binder",
        quantity="jnr_3.2",
        reference=0.842,
        reference_expanded=0.03,
        site_deviation=0.034,
        temperature_c=64.0,
        condition=_AGED,
        interval_days=30,
        note=_NOTE,
        invented=True,
    ),
)
_CHECKS: dict[str, tuple[str, tuple[tuple[int, float], ...]]] = {
    "Check fluid Q-60 (invented)": (
        "rotational_viscosity",
        ((-84, 0.6021), (-63, 0.5999), (-42, 0.6034), (-21, 0.6062), (-20, 0.6019), (-3, 0.6008)),
    ),
    "Steel beam 4 (invented)": (
        "bending_beam",
        ((-88, 212.9), (-60, 210.6), (-31, 213.4), (-2, 211.7)),
    ),
    "Binder K, 40 cans (invented)": (
        "creep_recovery",
        ((-90, 0.861), (-75, 0.829), (-61, 0.853), (-47, 0.872), (-33, 0.838), (-19, 0.866), (-5, 0.857)),
    ),
}
"""Test of the instrument that is checked, days from today and what was found; one lies outside its zone."""
_ROUNDS = (
    ("spring of the year before", -420, 0.512, 0.498, 0.041, 71.2, 70.4, 1.3),
    ("autumn of the year before", -240, 1.94, 1.86, 0.13, 34.9, 35.8, 1.6),
    ("spring", -60, 0.287, 0.261, 0.0215, 82.7, 83.9, 1.1),
)
"""Name, days from today; reported, assigned and its deviation of Jnr3.2 [1/kPa], the same of R3.2 [%]."""


def keep_comparisons(record: LaboratoryRecord, actor: Actor, at: str, instruments: Mapping[str, str]) -> str:
    """Keep rounds, check materials with their checks, and what they say of the laboratory's own precision.

    Parameters
    ----------
    record, actor, at
        Where it is kept, who keeps it and when.
    instruments : mapping of str to str
        Name and key of each instrument.

    Returns
    -------
    str
        Key of the own precision; empty where the record has no duplicates.
    """
    for name, days, *numbers in _ROUNDS:
        keep_round_results(record, actor, at, _round(name, _day(at, days), *numbers))
    for material in _MATERIALS:
        kept = keep_material(record, actor, at, material)
        test, found = _CHECKS[material.name]
        instrument = _instrument_for(record, test, instruments)
        for days, measured in found if instrument else ():
            check = CheckResult(
                material=kept.key,
                instrument=instrument,
                measured=measured,
                done=_day(at, days),
                operator="T. Marrow (invented)",
                note=_NOTE,
            )
            keep_check(record, actor, at, check)
    try:
        own = keep_precision(
            record,
            actor,
            at,
            Question("jnr_3.2", _AGED),
            reason="Invented: what two years of duplicates, checks and rounds would show.",
            valid_until=_day(at, 365),
            lowest=0.1,
            highest=4.0,
            invented=True,
        )
    except InputError:  # no two specimens of one sample yet: there is nothing to keep
        return ""
    return own.key


def _round(
    name: str,
    day: str,
    jnr: float,
    jnr_assigned: float,
    jnr_deviation: float,
    recovery: float,
    recovery_assigned: float,
    recovery_deviation: float,
) -> list[RoundResult]:
    return [
        RoundResult(
            scheme="Tussowey binder rounds (invented)",
            round=name,
            material="sample A",
            day=day,
            quantity=quantity,
            condition=_AGED,
            temperature_c=64.0,
            value=value,
            assigned=assigned,
            assigned_standard=deviation / 5.0,
            deviation=deviation,
            laboratories=31,
            note=_NOTE,
            invented=True,
        )
        for quantity, value, assigned, deviation in (
            ("jnr_3.2", jnr, jnr_assigned, jnr_deviation),
            ("percent_recovery_3.2", recovery, recovery_assigned, recovery_deviation),
        )
    ]


def _instrument_for(record: LaboratoryRecord, test: str, instruments: Mapping[str, str]) -> str:
    with record.reading() as reading:
        found = [
            one
            for one in reading.find(Instrument, key=sorted(instruments.values()))
            if test in one.value.tests
        ]
    return found[0].key if found else ""


def _day(at: str, days: int) -> str:
    return (date.fromisoformat(at[:10]) + timedelta(days=days)).isoformat()
