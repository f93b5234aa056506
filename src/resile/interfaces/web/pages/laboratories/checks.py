"""Check materials, and checks of instruments with them."""

from __future__ import annotations

from typing import Any

from starlette.responses import Response

from resile.errors import InputError, ResileError
from resile.interfaces.web.visit import Visit, get, post, saved_file
from resile.records.register import CheckMaterial, CheckResult
from resile.workflows.laboratory.bench.hand_numbers import hand_number, hand_number_or_none, revision_seen
from resile.workflows.laboratory.comparisons.check_lists import checks_of_material, checks_seen
from resile.workflows.laboratory.comparisons.check_materials import KINDS, keep_check, keep_material
from resile.workflows.laboratory.comparisons.comparison_pictures import check_pictures
from resile.workflows.laboratory.comparisons.exports import checks_csv, materials_csv
from resile.workflows.laboratory.comparisons.typed_choices import (
    EVERY_CONDITION,
    QUANTITIES_OFFERED,
    condition_of,
)
from resile.workflows.laboratory.record.looking import look_up

_CHECKS, _CHECK = "laboratories/checks.html.j2", "laboratories/check_correction.html.j2"
_MATERIALS, _MATERIAL = "laboratories/materials.html.j2", "laboratories/material.html.j2"


def checks(visit: Visit, refusal: ResileError | None = None) -> Response:
    """List the newest checks with their zones."""
    seen = checks_seen(visit.record, visit.actor, visit.at)
    values: dict[str, Any] = {"seen": seen, "pictures": check_pictures(seen.in_use, seen.instruments)}
    return visit.show(_CHECKS, **values) if refusal is None else visit.again(_CHECKS, refusal, **values)


def enter_check(visit: Visit) -> Response:
    """Keep what was found with a check material."""
    try:
        kept, verified = keep_check(visit.record, visit.actor, visit.at, _check(visit))
    except InputError as error:
        return checks(visit, error)
    if verified.value.passed:
        return visit.go(
            "/laboratory/checks", said=f"{kept.key}: inside the zone; the instrument is verified."
        )
    said = f"{kept.key}: outside the zone. The instrument has failed; what to review is listed below."
    return visit.go(f"/instruments/{kept.value.instrument}", said=said, kind="caution")


def check_correction(visit: Visit, refusal: ResileError | None = None) -> Response:
    """Show the form that corrects a check."""
    kept = look_up(visit.record, visit.actor, visit.path("key"), kind=CheckResult)
    values: dict[str, Any] = {"kept": kept, "seen": checks_seen(visit.record, visit.actor, visit.at)}
    return visit.show(_CHECK, **values) if refusal is None else visit.again(_CHECK, refusal, **values)


def correct_check(visit: Visit) -> Response:
    """Keep a correction of a check; the verification it is follows."""
    try:
        keep_check(
            visit.record,
            visit.actor,
            visit.at,
            _check(visit),
            key=visit.path("key"),
            seen=revision_seen(visit.text("seen")),
            reason=visit.text("reason"),
        )
    except InputError as error:
        return check_correction(visit, error)
    return visit.go("/laboratory/checks", said="The correction is kept, with the verification that it is.")


def materials(visit: Visit, refusal: ResileError | None = None) -> Response:
    """List the check materials."""
    values: dict[str, Any] = {"seen": checks_seen(visit.record, visit.actor, visit.at), **_offered()}
    return visit.show(_MATERIALS, **values) if refusal is None else visit.again(_MATERIALS, refusal, **values)


def register_material(visit: Visit) -> Response:
    """Keep a new check material."""
    try:
        kept = keep_material(visit.record, visit.actor, visit.at, _material(visit))
    except InputError as error:
        return materials(visit, error)
    return visit.go(f"/laboratory/materials/{kept.key}", said=f"{kept.value.name} is kept as {kept.key}.")


def material(visit: Visit, refusal: ResileError | None = None) -> Response:
    """Show one check material with its checks, and the form that corrects it."""
    sheet, instruments = checks_of_material(visit.record, visit.actor, visit.path("key"))
    values: dict[str, Any] = {
        "sheet": sheet,
        "instruments": instruments,
        "pictures": check_pictures([sheet], instruments),
        **_offered(),
    }
    return visit.show(_MATERIAL, **values) if refusal is None else visit.again(_MATERIAL, refusal, **values)


def correct_material(visit: Visit) -> Response:
    """Keep a correction of a check material."""
    key = visit.path("key")
    try:
        keep_material(
            visit.record,
            visit.actor,
            visit.at,
            _material(visit),
            key=key,
            seen=revision_seen(visit.text("seen")),
            reason=visit.text("reason"),
        )
    except InputError as error:
        return material(visit, error)
    return visit.go(f"/laboratory/materials/{key}", said="The correction is kept.")


def checks_table(visit: Visit) -> Response:
    """Send the checks as CSV."""
    table = checks_csv(visit.record, visit.actor)
    return saved_file(table.encode("utf-8-sig"), "checks.csv", "text/csv; charset=utf-8")


def materials_table(visit: Visit) -> Response:
    """Send the check materials as CSV."""
    table = materials_csv(visit.record, visit.actor)
    return saved_file(table.encode("utf-8-sig"), "check-materials.csv", "text/csv; charset=utf-8")


def _offered() -> dict[str, Any]:
    return {"kinds": tuple(KINDS.items()), "quantities": QUANTITIES_OFFERED, "conditions": EVERY_CONDITION}


def _check(visit: Visit) -> CheckResult:
    return CheckResult(
        material=visit.text("material"),
        instrument=visit.text("instrument"),
        measured=hand_number(visit.text("measured"), "measured"),
        done=visit.text("done"),
        operator=visit.text("operator"),
        note=visit.text("note"),
    )


def _material(visit: Visit) -> CheckMaterial:
    days = hand_number_or_none(visit.text("interval_days"), "days between checks")
    return CheckMaterial(
        name=visit.text("name"),
        kind=visit.text("kind"),
        quantity=visit.text("quantity"),
        reference=hand_number(visit.text("reference"), "reference"),
        reference_expanded=hand_number_or_none(
            visit.text("reference_expanded"), "uncertainty of the reference"
        ),
        site_deviation=hand_number_or_none(visit.text("site_deviation"), "standard deviation of checks"),
        tolerance=hand_number_or_none(visit.text("tolerance"), "largest difference allowed"),
        interval_days=None if days is None else round(days),
        temperature_c=hand_number_or_none(visit.text("temperature_c"), "temperature"),
        condition=condition_of(visit.text("condition")),
        certificate=visit.text("certificate"),
        until=visit.text("until"),
        retired=bool(visit.text("retired")),
        note=visit.text("note"),
    )


routes = [
    get("/laboratory/checks", checks),
    get("/laboratory/checks.csv", checks_table),
    post("/laboratory/checks", enter_check),
    get("/laboratory/checks/{key}/correct", check_correction),
    post("/laboratory/checks/{key}/correct", correct_check),
    get("/laboratory/materials", materials),
    get("/laboratory/materials.csv", materials_table),
    post("/laboratory/materials", register_material),
    get("/laboratory/materials/{key}", material),
    post("/laboratory/materials/{key}", correct_material),
]
