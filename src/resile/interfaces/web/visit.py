"""One request as a page sees it: who asks, what was typed, and how to answer.

A page is a plain function; it may wait for the record, since it runs beside the server's loop::

    def sample(visit: Visit) -> Response:
        story = tell_sample(visit.record, visit.path("key"), actor=visit.actor)
        return visit.show("sample.html.j2", story=story)

    def receive(visit: Visit) -> Response:
        try:
            key = receive_sample(visit.record, sample_from(visit), actor=visit.actor, at=visit.at)
        except InputError as error:
            return visit.again("receive.html.j2", error)         # the form comes back filled
        return visit.go(f"/samples/{key}", said="Sample received.")

    routes = [get("/samples/{key}", sample), post("/samples", receive)]

`get` and `post` ask for a signed-in person unless `open_to_all`; `post` also asks for the token every
form carries (``{{ forms.token(visit) }}``, or the header ``X-CSRF``). A refusal that is not caught becomes a
page with its sentence.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any

from starlette.concurrency import run_in_threadpool
from starlette.datastructures import FormData, UploadFile
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import HTMLResponse, JSONResponse, RedirectResponse, Response
from starlette.routing import Route

from resile.errors import InputError, PermissionRefusedError, ResileError, TooManyAttemptsError, answer_for
from resile.interfaces.web.navigation import GROUPS, is_here
from resile.interfaces.web.rendering import render
from resile.interfaces.web.settings import WorkbenchSettings
from resile.interfaces.web.visitor import Visitor
from resile.records.register import Actor

STALE_FORM = "This form was not made for this browser"
_LONGEST_WHOLE = 10  # digits: above it the databases hold no such number
_MOST_FILES, _MOST_FIELDS, _LARGEST_FIELD = 200, 5000, 4 * 1024 * 1024
LOOKS = ("auto", "light", "dark")


@dataclass(frozen=True, slots=True)
class Upload:
    """A file that came with a form."""

    name: str
    content: bytes


@dataclass(slots=True)
class Visit:
    """One request.

    Attributes
    ----------
    request : Request
        The request itself, for what is not offered here.
    actor : Actor
        Who asks.
    form : FormData
        What was typed; empty for a plain visit.
    error : str
        A sentence shown above the form when it comes back.
    errors : mapping of str to str
        Sentences shown at the fields, by name.
    """

    request: Request
    actor: Actor
    form: FormData = field(default_factory=FormData)
    error: str = ""
    errors: Mapping[str, str] = field(default_factory=dict)

    @property
    def settings(self) -> WorkbenchSettings:
        """What the workbench was started with."""
        found: WorkbenchSettings = self.request.app.state.settings
        return found

    @property
    def record(self) -> Any:
        """The laboratory's record."""
        return self.request.app.state.record

    @property
    def at(self) -> str:
        """The time now, ISO 8601 in UTC."""
        now: str = self.request.app.state.clock()
        return now

    @property
    def visitor(self) -> Visitor:
        """The browser."""
        found: Visitor = self.request.state.visitor
        return found

    @property
    def address(self) -> str:
        """Path and question of this page."""
        url = self.request.url
        return f"{url.path}?{url.query}" if url.query else url.path

    @property
    def look(self) -> str:
        """How the reader wants the pages: auto, light or dark."""
        wanted = self.request.cookies.get("resile-look", "auto")
        return wanted if wanted in LOOKS else "auto"

    @property
    def known(self) -> bool:
        """True where somebody has signed in, or nobody needs to."""
        return bool(self.actor.key)

    @property
    def place(self) -> str:
        """Network address the request comes from."""
        return self.request.client.host if self.request.client else ""

    def path(self, name: str) -> str:
        """Give a part of the address."""
        return str(self.request.path_params[name])

    def text(self, name: str, default: str = "") -> str:
        """Give what was typed into a field, or stands in the address, without blanks around it."""
        found = self.form.get(name, self.request.query_params.get(name, default))
        return found.strip() if isinstance(found, str) else default

    def secret_text(self, name: str) -> str:
        """Give a password as typed: blanks belong to it, and the address never holds one."""
        found = self.form.get(name, "")
        return found if isinstance(found, str) else ""

    def texts(self, name: str) -> list[str]:
        """Give all that was chosen under one name."""
        found = [*self.form.getlist(name), *self.request.query_params.getlist(name)]
        return [one for one in found if isinstance(one, str)]

    def uploads(self, name: str) -> list[Upload]:
        """Give the files of a field; an empty field gives none."""
        files = [one for one in self.form.getlist(name) if isinstance(one, UploadFile) and one.filename]
        return [Upload(_plain_name(one.filename or ""), one.file.read()) for one in files]

    def upload(self, name: str) -> Upload:
        """Give the one file of a field."""
        found = self.uploads(name)
        if not found:
            raise InputError("no file was chosen; choose one and send the form again")
        return found[0]

    def places(self) -> list[dict[str, Any]]:
        """Give the menu: by group, the places this person may go, and whether the page lies in them."""
        served, path = self.request.app.state.places, self.request.url.path
        groups = []
        for group in GROUPS:
            allowed = (one for one in group.places if not one.permission or self.actor.may(one.permission))
            places = [(place, is_here(place, path)) for place in allowed if place.address in served]
            groups += [{"label": group.label, "places": places}] if places else []
        return groups

    def show(self, template: str, *, status: int = 200, **values: object) -> Response:
        """Answer with a page."""
        return HTMLResponse(render(template, visit=self, **values), status_code=status)

    def again(
        self, template: str, error: ResileError, *, errors: Mapping[str, str] | None = None, **values: object
    ) -> Response:
        """Answer with the form once more, filled as it came, and say what was wrong."""
        self.error, self.errors = sentence(str(error)), errors or {}
        response = self.show(template, status=answer_for(error).http_status, **values)
        if isinstance(error, TooManyAttemptsError):
            response.headers["retry-after"] = str(error.wait_s)
        return response

    def go(self, address: str, *, said: str = "", kind: str = "done") -> Response:
        """Answer a form by leading to another page of ours, which first shows what is said."""
        if said:
            self.visitor.said.append((kind, said))
        return RedirectResponse(own_address(address), status_code=303)

    def json(self, content: Any, *, status: int = 200) -> Response:
        """Answer a script."""
        return JSONResponse(content, status_code=status)


def whole(text: str) -> int | None:
    """Read a small whole number of an address or a hidden field; None for anything else."""
    return int(text) if text.isascii() and text.isdecimal() and len(text) < _LONGEST_WHOLE else None


def saved_file(content: bytes, name: str, kind: str = "application/octet-stream") -> Response:
    """Answer with a file to be saved, never shown: what was uploaded shall not run in a page."""
    headers = {"content-disposition": f"attachment; filename*=UTF-8''{_quoted_name(name)}"}
    return Response(content, media_type=kind, headers=headers)


def _quoted_name(name: str) -> str:
    from urllib.parse import quote

    return quote(name, safe="")


def own_address(address: str) -> str:
    """Give an address if it leads to a page of ours, else that of the first page."""
    plain = address.startswith("/") and not address.startswith(("//", "/\\"))
    return address if plain and address.isprintable() else "/"


def sentence(text: str) -> str:
    """Begin with a capital and end with a full stop; the name of a file stays as it came."""
    ended = text if text.endswith((".", "?", "!")) else f"{text}."
    begins_with_name = "." in ended.partition(" ")[0].rstrip(".")
    return ended if begins_with_name else ended[:1].upper() + ended[1:]


def _plain_name(name: str) -> str:
    """Give the last part of a file name, without folders and without signs that cannot be shown."""
    last = name.replace("\\", "/").rsplit("/", 1)[-1]
    return "".join(sign for sign in last if sign.isprintable())[:200] or "file"


Page = Callable[[Visit], Response]


def visit_of(request: Request, form: FormData | None = None) -> Visit:
    """Find out who asks."""
    actor: Actor = request.app.state.who(request)
    return Visit(request, actor, form if form is not None else FormData())


def get(address: str, page: Page, *, open_to_all: bool = False) -> Route:
    """Give the route of a page that only shows."""

    def shown(request: Request) -> Response:
        visit = visit_of(request)
        if not visit.known and not open_to_all:
            return visit.go(f"/sign-in?to={_quoted(visit.address)}")
        return page(visit)

    return Route(address, shown, methods=["GET"], name=page.__name__)


def post(address: str, page: Page, *, open_to_all: bool = False) -> Route:
    """Give the route of a page that changes something."""

    async def changed(request: Request) -> Response:
        async with request.form(
            max_files=_MOST_FILES, max_fields=_MOST_FIELDS, max_part_size=_LARGEST_FIELD
        ) as form:
            return await run_in_threadpool(_changed, request, form)

    def _changed(request: Request, form: FormData) -> Response:
        refuse_foreign_form(request, form)
        visit = visit_of(request, form)
        if not visit.known and not open_to_all:
            raise HTTPException(401, "nobody has signed in; sign in, then send the form again")
        return page(visit)

    return Route(address, changed, methods=["POST"], name=page.__name__)


def refuse_foreign_form(request: Request, form: Mapping[str, Any]) -> None:
    """Refuse a form that was not made by a page of ours for this browser."""
    token = request.headers.get("x-csrf") or form.get("csrf", "")
    visitor: Visitor = request.state.visitor
    foreign = request.headers.get("sec-fetch-site", "same-origin") in ("cross-site", "same-site")
    if foreign or not isinstance(token, str) or not visitor.knows(token):
        raise PermissionRefusedError(
            f"{STALE_FORM}, or is older than the last sign-in; "
            "go back, load the page again and send it once more"
        )


def _quoted(address: str) -> str:
    from urllib.parse import quote

    return quote(address, safe="/")
