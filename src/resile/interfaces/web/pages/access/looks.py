"""Light or dark: the choice, kept in the browser, and what it makes of the colours of pictures."""

from __future__ import annotations

from starlette.responses import Response

from resile.interfaces.web.visit import LOOKS, Visit, get, post
from resile.workflows.laboratory.record.showing import DARK

_A_YEAR_S = 31_536_000


def choose_look(visit: Visit) -> Response:
    """Keep how the reader wants the pages and lead back."""
    wanted = visit.text("look")
    response = visit.go(visit.text("back", "/"))
    response.set_cookie(
        "resile-look",
        wanted if wanted in LOOKS else "auto",
        max_age=_A_YEAR_S,
        samesite="lax",
        httponly=True,
        secure=visit.settings.secure,
    )
    return response


def dark_colours(visit: Visit) -> Response:
    """Give what each colour of a picture becomes on a dark page."""
    return visit.json(DARK)


routes = [
    get("/pictures/dark-colours.json", dark_colours, open_to_all=True),
    post("/look", choose_look, open_to_all=True),
]
