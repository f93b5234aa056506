"""Check materials and what was found with them: each check is a verification of its instrument as well."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import timedelta

from resile.errors import InputError
from resile.judge.laboratories.checks import compared_with
from resile.records.laboratories import CheckChart
from resile.records.quantity import QUANTITIES, REPORTED_QUANTITIES, RESULT_QUANTITIES
from resile.records.register import (
    Actor,
    CheckMaterial,
    CheckResult,
    Instrument,
    Kept,
    Verification,
)
from resile.report.words import title_of
from resile.storage.laboratory_record import LaboratoryRecord
from resile.storage.lists.laboratories import newest_checks
from resile.storage.reading import Reading
from resile.workflows.laboratories.checks import check_chart
from resile.workflows.laboratory.access.permissions import require
from resile.workflows.laboratory.bench.days import day_of
from resile.workflows.laboratory.bench.instruments import enter_verification

KINDS = {
    "check-fluid": "check fluid",
    "steel-beam": "steel beam",
    "check-binder": "binder kept for checks",
}
"""Kinds of check materials, in words."""
CHECKED_QUANTITIES = tuple(name for name in RESULT_QUANTITIES if name not in REPORTED_QUANTITIES)
"""Properties that a check material may have a reference for."""
_MOST = 60
_LONGEST_DAYS = 3650


@dataclass(frozen=True, slots=True)
class MaterialSheet:
    """One check material with its zone and its newest checks.

    Attributes
    ----------
    material : Kept of CheckMaterial
        The material.
    chart : CheckChart or None
        Zone and checks, oldest first; None where there is no zone yet.
    checks : tuple of Kept of CheckResult
        In the order of the chart.
    waits : str
        Why there is no zone; empty where there is one.
    """

    material: Kept[CheckMaterial]
    chart: CheckChart | None
    checks: tuple[Kept[CheckResult], ...]
    waits: str = ""


def keep_material(
    record: LaboratoryRecord,
    actor: Actor,
    at: str,
    material: CheckMaterial,
    *,
    key: str = "",
    seen: int | None = None,
    reason: str = "",
) -> Kept[CheckMaterial]:
    """Keep a check material, or correct one.

    Parameters
    ----------
    record, actor, at
        Where it is kept, who keeps it and when.
    material : CheckMaterial
        As it is to stand.
    key, seen, reason
        As in `Book.keep`.

    Raises
    ------
    PermissionRefusedError, InputError, ConflictError
        Where it may not be kept, is not whole, or one of its name is there.
    """
    require(actor, "laboratories.write")
    whole = _whole(material)
    with record.writing(by=actor.key, at=at) as book:
        return book.keep(whole, key=key, seen=seen, reason=reason)


def _whole(material: CheckMaterial) -> CheckMaterial:
    name = material.name.strip()
    if not name:
        raise InputError("check material: its name and lot are needed, as they stand on the bottle")
    if material.kind not in KINDS:
        raise InputError(f"{name}: kind '{material.kind}'; needed is one of {', '.join(KINDS)}")
    if material.quantity not in CHECKED_QUANTITIES:
        raise InputError(f"{name}: '{material.quantity}' is no property of the glossary")
    if material.reference == 0.0:
        raise InputError(f"{name}: a reference of 0 was found; the certified value is needed")
    amounts = {
        "expanded uncertainty of the reference": material.reference_expanded,
        "standard deviation of checks": material.site_deviation,
        "largest difference allowed": material.tolerance,
    }
    for words, amount in amounts.items():
        if amount is not None and amount < 0.0:
            raise InputError(f"{name}: {words} {amount:g}; an amount above zero is needed")
    if not material.tolerance and not material.site_deviation:
        raise InputError(
            f"{name}: nothing says how far a check may lie from the reference; give the standard deviation "
            "of such checks in this laboratory, or the largest difference that the method or its maker allows"
        )
    if material.interval_days is not None and not 1 <= material.interval_days <= _LONGEST_DAYS:
        raise InputError(
            f"{name}: checks every {material.interval_days} days; 1 to {_LONGEST_DAYS} are needed"
        )
    until = material.until and day_of(material.until, f"{name}, day until which it may be used").isoformat()
    return replace(material, name=name, until=until)


def keep_check(
    record: LaboratoryRecord,
    actor: Actor,
    at: str,
    check: CheckResult,
    *,
    key: str = "",
    seen: int | None = None,
    reason: str = "",
) -> tuple[Kept[CheckResult], Kept[Verification]]:
    """Keep what was found with a check material, or correct it; the instrument is verified or fails by it.

    Parameters
    ----------
    record, actor, at
        Where it is kept, who keeps it and when.
    check : CheckResult
        What was found.
    key, seen, reason
        As in `Book.keep`.

    Returns
    -------
    check : Kept of CheckResult
        As kept.
    verification : Kept of Verification
        Of the instrument, for the property of the material: outside the zone it has failed, and what is
        measured with it is stamped so until a good check.

    Raises
    ------
    PermissionRefusedError, InputError, RecordNotFoundError, ConflictError
        Where it may not be kept, is not whole, or names a material or instrument that is not there.
    """
    require(actor, "bench.write" if actor.may("bench.write") and not key else "laboratories.write")
    if not check.material or not check.instrument:
        raise InputError("check: the material and the instrument are needed; choose both")
    done = day_of(check.done, "day of the check")
    if done > day_of(at, "time"):
        raise InputError(f"check: done on {done}, a day that is still to come")
    with record.writing(by=actor.key, at=at) as book:
        material = book.get(CheckMaterial, check.material)
        instrument = book.get(Instrument, check.instrument).value
        if material.value.until and done.isoformat() > material.value.until:
            raise InputError(
                f"{material.value.name}: it may be used until {material.value.until}, and the check is of "
                f"{done}; check with a material in date, or correct that day by its certificate"
            )
        before = book.get(CheckResult, key).value if key else None
        found = verification_of(material, instrument, check)
        again = book.get(Verification, before.verification) if before and before.verification else None
        if again is None:
            verified = enter_verification(book, found, at)
        else:
            verified = enter_verification(book, found, at, key=again.key, seen=again.revision, reason=reason)
        whole = replace(check, done=check.done.strip(), verification=verified.key)
        return book.keep(whole, key=key, seen=seen, reason=reason), verified


def verification_of(
    material: Kept[CheckMaterial], instrument: Instrument, check: CheckResult
) -> Verification:
    """Give the verification of an instrument that a check is.

    Raises
    ------
    InputError
        Where the zone is not known, or the instrument is no longer used.

    Notes
    -----
    The reading is kept with the check digit by digit, and here as it was compared: rounded as the zone is.
    """
    one = material.value
    if instrument.retired:
        raise InputError(f"{instrument.name} is no longer used; choose the instrument that was checked")
    zone = check_chart(one, ()).zone
    done = day_of(check.done, "day of the check")
    return Verification(
        instrument=check.instrument,
        what=f"{title_of(one.quantity).partition(',')[0]} by {KINDS[one.kind]}",
        done=check.done,
        due="" if not one.interval_days else (done + timedelta(days=one.interval_days)).isoformat(),
        measured=compared_with(zone, check.measured),
        reference=zone.reference,
        tolerance=zone.half_width,
        unit=QUANTITIES[one.quantity].unit,
        certificate=one.certificate,
        note="; ".join(part for part in (f"check with {one.name} ({material.key})", check.note) if part),
    )


def material_sheets(reading: Reading, *, most: int = _MOST) -> list[MaterialSheet]:
    """Give every check material with its newest checks: those in use first, by name.

    Parameters
    ----------
    reading : Reading
        The record, inside a transaction.
    most : int
        Checks of a material that are taken.
    """
    materials = reading.find(CheckMaterial, order="name")
    keys = newest_checks(reading, most=most)
    found = {one.key: one for one in reading.find(CheckResult, key=keys)} if keys else {}
    by_material: dict[str, list[Kept[CheckResult]]] = {}
    for key in keys:
        by_material.setdefault(found[key].value.material, []).append(found[key])
    sheets = [_sheet(one, by_material.get(one.key, [])) for one in materials]
    return sorted(sheets, key=lambda sheet: sheet.material.value.retired)


def _sheet(material: Kept[CheckMaterial], checks: list[Kept[CheckResult]]) -> MaterialSheet:
    ordered = tuple(sorted(checks, key=lambda one: one.value.done))
    try:
        chart = check_chart(material.value, [one.value for one in ordered])
    except InputError as error:
        return MaterialSheet(material, None, ordered, str(error))
    return MaterialSheet(material, chart, ordered)


def names_of_instruments(reading: Reading) -> Mapping[str, str]:
    """Give the names of the instruments, by key."""
    return {one.key: one.value.name for one in reading.find(Instrument, order="name")}
