"""The laboratory's own precision: proposed from the record, kept with a reason, ended."""

from __future__ import annotations

from typing import Any

from starlette.responses import Response

from resile.errors import InputError, ResileError
from resile.interfaces.web.visit import Visit, get, post, saved_file
from resile.workflows.laboratory.bench.hand_numbers import hand_number_or_none, revision_seen
from resile.workflows.laboratory.comparisons.comparison_pictures import budget_pictures, precision_picture
from resile.workflows.laboratory.comparisons.exports import precision_csv, precision_toml
from resile.workflows.laboratory.comparisons.precision_pages import precision_sheet, proposal_page
from resile.workflows.laboratory.comparisons.proposing import (
    Question,
    end_precision,
    keep_precision,
    list_precisions,
)
from resile.workflows.laboratory.comparisons.typed_choices import (
    EVERY_CONDITION,
    QUANTITIES_OFFERED,
    condition_of,
)

_LIST, _PROPOSAL = "laboratories/precision.html.j2", "laboratories/proposal.html.j2"
_ONE = "laboratories/precision_one.html.j2"


def precision(visit: Visit, refusal: ResileError | None = None) -> Response:
    """List every own precision, and ask for a new one."""
    values: dict[str, Any] = {
        "lines": list_precisions(visit.record, visit.actor, visit.at),
        "quantities": QUANTITIES_OFFERED,
        "conditions": EVERY_CONDITION,
    }
    return visit.show(_LIST, **values) if refusal is None else visit.again(_LIST, refusal, **values)


def proposal(visit: Visit, refusal: ResileError | None = None) -> Response:
    """Show what the record says of one property."""
    try:
        page = proposal_page(visit.record, visit.actor, _question(visit))
    except InputError as error:
        return precision(visit, error)
    values: dict[str, Any] = {"page": page, "pictures": budget_pictures([page.beside] if page.beside else [])}
    return visit.show(_PROPOSAL, **values) if refusal is None else visit.again(_PROPOSAL, refusal, **values)


def keep(visit: Visit) -> Response:
    """Keep what was proposed."""
    try:
        kept = keep_precision(
            visit.record,
            visit.actor,
            visit.at,
            _question(visit),
            reason=visit.text("reason"),
            valid_until=visit.text("valid_until"),
            lowest=hand_number_or_none(visit.text("lowest"), "lowest value"),
            highest=hand_number_or_none(visit.text("highest"), "highest value"),
        )
    except InputError as error:
        return proposal(visit, error)
    said = f"Kept as {kept.key}. Verdicts that were kept stay as they are."
    return visit.go(f"/laboratory/precision/{kept.key}", said=said)


def one_precision(visit: Visit, refusal: ResileError | None = None) -> Response:
    """Show one own precision with its history."""
    sheet = precision_sheet(visit.record, visit.actor, visit.path("key"))
    beside = [sheet.beside] if sheet.beside else []
    values: dict[str, Any] = {
        "sheet": sheet,
        "picture": precision_picture(beside),
        "pictures": budget_pictures(beside),
    }
    return visit.show(_ONE, **values) if refusal is None else visit.again(_ONE, refusal, **values)


def end(visit: Visit) -> Response:
    """Say until when an own precision may be used."""
    key = visit.path("key")
    try:
        end_precision(
            visit.record,
            visit.actor,
            visit.at,
            key,
            valid_until=visit.text("valid_until"),
            seen=revision_seen(visit.text("seen")),
            reason=visit.text("reason"),
        )
    except InputError as error:
        return one_precision(visit, error)
    return visit.go(f"/laboratory/precision/{key}", said="The day is kept with its reason.")


def precision_table(visit: Visit) -> Response:
    """Send every own precision as CSV."""
    table = precision_csv(visit.record, visit.actor, visit.at)
    return saved_file(table.encode("utf-8-sig"), "own-precision.csv", "text/csv; charset=utf-8")


def precision_file(visit: Visit) -> Response:
    """Send every own precision as a file for the command line."""
    text = precision_toml(visit.record, visit.actor)
    return saved_file(text.encode(), "own-precision.toml", "application/toml")


def _question(visit: Visit) -> Question:
    return Question(
        visit.text("quantity"),
        condition_of(visit.text("condition")),
        visit.text("since"),
        visit.text("until"),
        relative=visit.text("scale", "relative") == "relative",
    )


routes = [
    get("/laboratory/precision", precision),
    get("/laboratory/precision.csv", precision_table),
    get("/laboratory/precision.toml", precision_file),
    get("/laboratory/precision/proposal", proposal),
    post("/laboratory/precision/proposal", keep),
    get("/laboratory/precision/{key}", one_precision),
    post("/laboratory/precision/{key}", end),
]
