"""Comparison rounds: scored, typed or from the organiser's sheet, corrected."""

from __future__ import annotations

from typing import Any

from starlette.responses import Response

from resile.errors import InputError, ResileError
from resile.interfaces.web.visit import Visit, get, post, saved_file
from resile.records.reading import HeldFile
from resile.records.register import RoundResult
from resile.workflows.laboratory.bench.hand_numbers import hand_number, hand_number_or_none, revision_seen
from resile.workflows.laboratory.comparisons.comparison_pictures import score_pictures
from resile.workflows.laboratory.comparisons.exports import rounds_csv
from resile.workflows.laboratory.comparisons.round_sheets import keep_round_sheet
from resile.workflows.laboratory.comparisons.rounds_kept import (
    correct_round_result,
    keep_round_results,
    rounds_kept,
)
from resile.workflows.laboratory.comparisons.typed_choices import CONDITIONS, QUANTITIES_OFFERED, condition_of
from resile.workflows.laboratory.record.looking import look_up

_PAGE = "laboratories/rounds.html.j2"
_CORRECTION = "laboratories/round_correction.html.j2"


def rounds(visit: Visit, refusal: ResileError | None = None) -> Response:
    """List the rounds with their scores."""
    seen = rounds_kept(visit.record, visit.actor)
    values: dict[str, Any] = {
        "seen": seen,
        "pictures": score_pictures(seen.scores.scores),
        "quantities": QUANTITIES_OFFERED,
        "conditions": CONDITIONS,
    }
    return visit.show(_PAGE, **values) if refusal is None else visit.again(_PAGE, refusal, **values)


def keep_round(visit: Visit) -> Response:
    """Keep a result that was typed."""
    try:
        kept = keep_round_results(visit.record, visit.actor, visit.at, [_result(visit)])
    except InputError as error:
        return rounds(visit, error)
    return visit.go("/laboratory/rounds", said=f"Kept as {kept[0].key}.")


def keep_sheet(visit: Visit) -> Response:
    """Keep the results of an organiser's sheet."""
    try:
        sent = visit.upload("sheet")
        kept, notes = keep_round_sheet(
            visit.record,
            visit.actor,
            visit.at,
            HeldFile(sent.name, sent.content),
            scheme=visit.text("sheet_scheme"),
            day=visit.text("sheet_day"),
        )
    except InputError as error:
        return rounds(visit, error)
    said = f"{len(kept)} results of {sent.name} are kept. " + " ".join(notes)
    return visit.go("/laboratory/rounds", said=said.strip())


def correction(visit: Visit, refusal: ResileError | None = None) -> Response:
    """Show the form that corrects a result of a round."""
    kept = look_up(visit.record, visit.actor, visit.path("key"), kind=RoundResult)
    values: dict[str, Any] = {"kept": kept, "quantities": QUANTITIES_OFFERED, "conditions": CONDITIONS}
    return (
        visit.show(_CORRECTION, **values) if refusal is None else visit.again(_CORRECTION, refusal, **values)
    )


def correct_round(visit: Visit) -> Response:
    """Keep a correction of a result of a round."""
    try:
        correct_round_result(
            visit.record,
            visit.actor,
            visit.at,
            visit.path("key"),
            _result(visit),
            seen=revision_seen(visit.text("seen")),
            reason=visit.text("reason"),
        )
    except InputError as error:
        return correction(visit, error)
    return visit.go("/laboratory/rounds", said="The correction is kept.")


def rounds_table(visit: Visit) -> Response:
    """Send the rounds as CSV."""
    table = rounds_csv(visit.record, visit.actor)
    return saved_file(table.encode("utf-8-sig"), "rounds.csv", "text/csv; charset=utf-8")


def _result(visit: Visit) -> RoundResult:
    number = hand_number_or_none(visit.text("laboratories"), "laboratories")
    return RoundResult(
        scheme=visit.text("scheme"),
        round=visit.text("round"),
        material=visit.text("material"),
        day=visit.text("day"),
        quantity=visit.text("quantity"),
        condition=condition_of(visit.text("condition")),
        temperature_c=hand_number_or_none(visit.text("temperature_c"), "test temperature"),
        value=hand_number(visit.text("value"), "what this laboratory reported"),
        assigned=hand_number_or_none(visit.text("assigned"), "assigned value"),
        assigned_standard=hand_number_or_none(
            visit.text("assigned_standard"), "uncertainty of the assigned value"
        ),
        deviation=hand_number_or_none(visit.text("deviation"), "standard deviation of the round"),
        own_standard=hand_number_or_none(visit.text("own_standard"), "own uncertainty"),
        laboratories=None if number is None else round(number),
        note=visit.text("note"),
    )


routes = [
    get("/laboratory/rounds", rounds),
    get("/laboratory/rounds.csv", rounds_table),
    post("/laboratory/rounds", keep_round),
    post("/laboratory/rounds/sheet", keep_sheet),
    get("/laboratory/rounds/{key}/correct", correction),
    post("/laboratory/rounds/{key}/correct", correct_round),
]
