"""The interface for programs as an application of its own, mounted below ``/api/v1``."""

from __future__ import annotations

from typing import Any

from fastapi import FastAPI
from fastapi.exceptions import RequestValidationError
from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import Response

from resile.interfaces.web import answers
from resile.interfaces.web.api import blending, comparing, computing, controlling, keeping, kept, modelling
from resile.interfaces.web.api.asking import PROBLEMS
from resile.version import __version__

ADDRESS = "/api/v1"

_ABOUT = """
The tasks of the command line and of the workbench, with the same numbers. Sign in with a token
(`Authorization: Bearer resile_…`, made under *Tokens*); it may do what its person may do. A laboratory of
one person, on its own computer, needs none. Refusals are problem documents (RFC 9457); `detail` is one
sentence. Names and units of all keys are those of the glossary; numbers have full precision.
"""


def make_api(owner: Starlette) -> FastAPI:
    """Give the interface.

    Parameters
    ----------
    owner : Starlette
        The workbench: its state has record, clock and settings.

    Returns
    -------
    FastAPI
    """
    handlers: dict[Any, Any] = {
        **answers.HANDLERS,
        RequestValidationError: _not_as_described,
        Exception: answers.fault,
    }
    api = FastAPI(
        title="resile",
        version=__version__,
        description=_ABOUT,
        openapi_url="/openapi.json",
        docs_url=None,
        redoc_url=None,
        responses=PROBLEMS,
        exception_handlers=handlers,
    )
    api.state.owner = owner
    api.state.settings = owner.state.settings
    api.include_router(computing.router)
    api.include_router(blending.router)
    api.include_router(modelling.router)
    api.include_router(controlling.router)
    api.include_router(kept.router)
    api.include_router(keeping.router)
    api.include_router(comparing.router)
    return api


def _not_as_described(request: Request, error: Exception) -> Response:
    """Say which parts of a request are not as the description has them."""
    assert isinstance(error, RequestValidationError)
    return answers.answer(request, 422, "; ".join(_told(one) for one in error.errors()) + ".")


def _told(one: Any) -> str:
    where = ".".join(str(part) for part in one["loc"])
    return f"{where}: {one['msg'][:1].lower()}{one['msg'][1:]}"
