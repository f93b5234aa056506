"""Instruments and their verifications."""

from __future__ import annotations

from typing import Any

from starlette.responses import Response

from resile.errors import InputError, ResileError
from resile.interfaces.web.visit import Visit, get, post
from resile.records.order import TESTS_OF_INSTRUMENTS
from resile.records.register import Instrument, Verification
from resile.workflows.laboratory.bench.hand_numbers import hand_number_or_none, revision_seen
from resile.workflows.laboratory.bench.instruments import keep_instrument, keep_verification
from resile.workflows.laboratory.bench.instruments_seen import instrument_sheet, list_instruments
from resile.workflows.laboratory.bench.verification_pictures import verification_pictures


def instruments(visit: Visit, refusal: ResileError | None = None) -> Response:
    """List the instruments."""
    lines = list_instruments(visit.record, visit.actor, visit.at)
    values: dict[str, Any] = {"lines": lines, "tests": TESTS_OF_INSTRUMENTS}
    if refusal is not None:
        return visit.again("bench/instruments.html.j2", refusal, **values)
    return visit.show("bench/instruments.html.j2", **values)


def register_instrument(visit: Visit) -> Response:
    """Keep a new instrument."""
    try:
        kept = keep_instrument(visit.record, visit.actor, visit.at, _instrument(visit))
    except InputError as error:
        return instruments(visit, error)
    return visit.go(f"/instruments/{kept.key}", said=f"{kept.value.name} is kept as {kept.key}.")


def instrument(visit: Visit, refusal: ResileError | None = None) -> Response:
    """Show one instrument with its history."""
    sheet = instrument_sheet(visit.record, visit.actor, visit.path("key"), visit.at)
    values: dict[str, Any] = {
        "sheet": sheet,
        "pictures": verification_pictures(sheet),
        "tests": TESTS_OF_INSTRUMENTS,
    }
    if refusal is not None:
        return visit.again("bench/instrument.html.j2", refusal, **values)
    return visit.show("bench/instrument.html.j2", **values)


def correction(visit: Visit, refusal: ResileError | None = None) -> Response:
    """Show the form that corrects an instrument."""
    sheet = instrument_sheet(visit.record, visit.actor, visit.path("key"), visit.at)
    values: dict[str, Any] = {"sheet": sheet, "tests": TESTS_OF_INSTRUMENTS}
    if refusal is not None:
        return visit.again("bench/instrument_correction.html.j2", refusal, **values)
    return visit.show("bench/instrument_correction.html.j2", **values)


def correct_instrument(visit: Visit) -> Response:
    """Keep a correction of an instrument."""
    key = visit.path("key")
    try:
        keep_instrument(
            visit.record,
            visit.actor,
            visit.at,
            _instrument(visit),
            key=key,
            seen=revision_seen(visit.text("seen")),
            reason=visit.text("reason"),
        )
    except InputError as error:
        return correction(visit, error)
    return visit.go(f"/instruments/{key}", said="The correction is kept.")


def verify(visit: Visit) -> Response:
    """Keep a verification."""
    key = visit.path("key")
    try:
        certificates = visit.uploads("file")
        kept = keep_verification(
            visit.record,
            visit.actor,
            visit.at,
            _verification(visit, key),
            certificate=certificates[0].content if certificates else b"",
        )
    except InputError as error:
        return instrument(visit, error)
    if kept.value.passed:
        return visit.go(f"/instruments/{key}", said=f"{kept.value.what}: verified.")
    said = f"{kept.value.what}: failed. What was measured since the last good verification is listed below."
    return visit.go(f"/instruments/{key}", said=said, kind="caution")


def _instrument(visit: Visit) -> Instrument:
    interval = hand_number_or_none(visit.text("interval_days"), "days between verifications")
    return Instrument(
        name=visit.text("name"),
        tests=tuple(visit.texts("tests")),
        serial=visit.text("serial"),
        place=visit.text("place"),
        note=visit.text("note"),
        plate_diameter_mm=hand_number_or_none(visit.text("plate_diameter_mm"), "plate diameter"),
        gap_mm=hand_number_or_none(visit.text("gap_mm"), "gap"),
        interval_days=None if interval is None else round(interval),
        retired=bool(visit.text("retired")),
    )


def _verification(visit: Visit, key: str) -> Verification:
    return Verification(
        instrument=key,
        what=visit.text("what"),
        done=visit.text("done"),
        due=visit.text("due"),
        passed=visit.text("passed", "yes") == "yes",
        measured=hand_number_or_none(visit.text("measured"), "measured"),
        reference=hand_number_or_none(visit.text("reference"), "reference"),
        unit=visit.text("unit"),
        tolerance=hand_number_or_none(visit.text("tolerance"), "tolerance"),
        certificate=visit.text("certificate"),
        note=visit.text("note"),
    )


routes = [
    get("/instruments", instruments),
    post("/instruments", register_instrument),
    get("/instruments/{key}", instrument),
    get("/instruments/{key}/correct", correction),
    post("/instruments/{key}/correct", correct_instrument),
    post("/instruments/{key}/verifications", verify),
]
