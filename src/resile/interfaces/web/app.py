"""The workbench as one application: pages gathered, guards put before them."""

from __future__ import annotations

import importlib
import os
import pkgutil
from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager

from starlette.applications import Starlette
from starlette.middleware import Middleware
from starlette.middleware.exceptions import ExceptionMiddleware
from starlette.middleware.gzip import GZipMiddleware
from starlette.requests import Request
from starlette.routing import BaseRoute

from resile.interfaces.web import answers, assets, pages
from resile.interfaces.web.api.application import ADDRESS, make_api
from resile.interfaces.web.headers import ProtectingHeaders
from resile.interfaces.web.limits import BodyLimit, KnownHosts, NothingOpened
from resile.interfaces.web.navigation import places_served
from resile.interfaces.web.settings import ENVIRONMENT, WorkbenchSettings
from resile.interfaces.web.visitor import Visitors
from resile.records.register import Actor
from resile.workflows.laboratory.access.permissions import one_person
from resile.workflows.laboratory.access.signing_in import actor_of_session
from resile.workflows.laboratory.record.opening import now, open_record


def make_app(settings: WorkbenchSettings, *, clock: Callable[[], str] | None = None) -> Starlette:
    """Give the workbench.

    Parameters
    ----------
    settings : WorkbenchSettings
        Which record, who may reach it, what is allowed.
    clock : callable, optional
        Gives the time, ISO 8601 in UTC; the computer's clock where not given.

    Returns
    -------
    Starlette
        An application for any server of the kind.
    """
    app = Starlette(
        lifespan=_closing,
        routes=[*assets.routes, *gathered_routes()],
        middleware=[
            Middleware(ProtectingHeaders, secure=settings.secure),
            Middleware(GZipMiddleware, minimum_size=1000, compresslevel=5),
            Middleware(Visitors, secure=settings.secure),
            Middleware(ExceptionMiddleware, handlers=answers.HANDLERS),
            Middleware(KnownHosts, hosts=settings.hosts),
            Middleware(BodyLimit, limit_bytes=settings.upload_limit_bytes),
            Middleware(NothingOpened),
        ],
        exception_handlers={**answers.HANDLERS, Exception: answers.fault},
    )
    app.router.redirect_slashes = False
    app.state.settings = settings
    app.state.clock = clock or now
    app.state.record = open_record(settings.record)
    app.state.who = _who
    app.mount(ADDRESS, make_api(app))
    app.state.places = places_served(app.router)
    return app


def app_from_environment() -> Starlette:
    """Give the workbench in a worker process, from the settings `resile serve` left in the environment."""
    return make_app(WorkbenchSettings.from_text(os.environ[ENVIRONMENT]))


def gathered_routes() -> list[BaseRoute]:
    """Collect the routes of all modules in the folders under ``pages``."""
    found: list[BaseRoute] = []
    modules = (one for one in pkgutil.walk_packages(pages.__path__, f"{pages.__name__}.") if not one.ispkg)
    for module in sorted(modules, key=lambda module: module.name):
        found += importlib.import_module(module.name).routes
    return found


@asynccontextmanager
async def _closing(app: Starlette) -> AsyncIterator[None]:
    yield
    app.state.record.close()


def _who(request: Request) -> Actor:
    """Find out once a request who asks."""
    state = request.app.state
    if not state.settings.signs_in:
        return one_person()
    if not hasattr(request.state, "actor"):
        request.state.actor = actor_of_session(
            state.record,
            state.clock(),
            secret=request.state.visitor.secret,
            idle_minutes=state.settings.idle_minutes,
        )
    found: Actor = request.state.actor
    return found
