"""Signing in through the sign-on service of the organisation."""

from __future__ import annotations

import secrets
from dataclasses import asdict

from itsdangerous import BadSignature, URLSafeTimedSerializer
from starlette.responses import RedirectResponse, Response

from resile.errors import RecordNotFoundError, SignInNeededError
from resile.interfaces.web.sign_on import Errand, SignOnService, new_errand
from resile.interfaces.web.visit import Visit, get, own_address
from resile.interfaces.web.visitor import new_secret
from resile.workflows.laboratory.access.signing_in import sign_in_elsewhere

_COOKIE = "resile-sign-on"
_LONGEST_S = 600


def start(visit: Visit) -> Response:
    """Lead to the sign-on service."""
    errand = new_errand(own_address(visit.text("to", "/")))
    response = RedirectResponse(_service(visit).address(errand), status_code=303)
    response.set_cookie(
        _COOKIE,
        _signer(visit).dumps(asdict(errand)),
        max_age=_LONGEST_S,
        path="/sign-on",
        httponly=True,
        samesite="lax",
        secure=visit.settings.secure,
    )
    return response


def back(visit: Visit) -> Response:
    """Take a person back whom the service has recognised."""
    service = _service(visit)
    try:
        errand = Errand(**_signer(visit).loads(visit.request.cookies.get(_COOKIE, ""), max_age=_LONGEST_S))
    except (BadSignature, TypeError):
        errand = None
    if errand is None or not secrets.compare_digest(visit.text("state").encode(), errand.state.encode()):
        raise SignInNeededError("this answer belongs to no sign-in begun in this browser; start again")
    external, fresh = service.recognised(errand, visit.text("code"), visit.at), new_secret()
    sign_in_elsewhere(visit.record, visit.at, external=external, secret=fresh)
    visit.visitor.renew(fresh)
    response = visit.go(errand.to)
    response.delete_cookie(_COOKIE, path="/sign-on")
    return response


def _service(visit: Visit) -> SignOnService:
    state, settings = visit.request.app.state, visit.settings
    if settings.sign_on is None or not settings.signs_in:
        raise RecordNotFoundError("this workbench has no single sign-on; sign in with account and password")
    if not hasattr(state, "sign_on"):
        state.sign_on = SignOnService(settings.sign_on, f"{settings.address}/sign-on/back")
    found: SignOnService = state.sign_on
    return found


def _signer(visit: Visit) -> URLSafeTimedSerializer:
    return URLSafeTimedSerializer(visit.visitor.secret, salt="sign-on")


routes = [get("/sign-on", start, open_to_all=True), get("/sign-on/back", back, open_to_all=True)]
