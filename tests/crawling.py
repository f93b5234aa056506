"""Every page of a workbench, found by its links: what stands on it, and what is wrong with it as text.

``crawl`` begins at the first page, follows links of the same origin, a few of each kind, and gives the pages
with what was found wrong: `tests/interfaces/web/test_every_page.py` asks so daily, and
`tests/browser/test_every_page_in_browser.py` looks at the same pages in a real browser by night.
"""

import re
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from html.parser import HTMLParser
from urllib.parse import parse_qsl, urlencode, urljoin, urlsplit

import httpx
from starlette.applications import Starlette
from starlette.routing import Match, Route

SPREADING = {"name", "form", "stock"}
"""Places of an address that name a thing of ours and no thing kept: each content is a kind of its own."""
_CONTROLS = ("input", "select", "textarea")
_NO_LABEL = {"hidden", "submit", "button", "image", "reset"}
_VOID = {"area", "base", "br", "col", "embed", "hr", "img", "input", "link", "meta", "source", "track", "wbr"}
_LEADING = {"a": "href", "img": "src", "script": "src", "link": "href", "source": "src"}
_ASKED_BY_SCRIPT = ("hx-get", "data-chart")


def _is_sent(told: dict[str, str]) -> bool:
    """Tell whether a field goes with its form as it stands."""
    kind = told.get("type", "text")
    return kind not in ("file", "submit") and (kind not in ("checkbox", "radio") or "checked" in told)


@dataclass(slots=True)
class Form:
    """A form as it stands: how it is sent, where to, and its fields."""

    method: str
    action: str
    fields: dict[str, str] = field(default_factory=dict)


class Written(HTMLParser):
    """What stands on a page, as far as a crawl asks."""

    def __init__(self, html: str) -> None:
        super().__init__(convert_charrefs=True)
        self.title = ""
        self.heads = 0
        self.ids: Counter[str] = Counter()
        self.leads: list[tuple[str, str]] = []
        self.forms: list[Form] = []
        self.told_at: list[str] = []
        self.levels: list[int] = []
        self.unnamed: list[str] = []
        self._controls: list[tuple[str, str]] = []
        self._for: set[str] = set()
        self._open: list[str] = []
        self._choice: list[str] = []
        self.feed(html)
        self.close()
        self.unlabelled = [told for key, told in self._controls if key not in self._for]

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Take note of a tag."""
        told = {name: value or "" for name, value in attrs}
        if tag not in _VOID:
            self._open.append(tag)
        if "id" in told:
            self.ids[told["id"]] += 1
        for name in ("aria-labelledby", "aria-describedby", "aria-controls", "list", "popovertarget", "form"):
            self.told_at += told.get(name, "").split() if name != "form" or tag != "form" else []
        if re.fullmatch("h[1-6]", tag):
            self.levels.append(int(tag[1]))
            self.heads += tag == "h1"
        if tag in _LEADING and told.get(_LEADING[tag]):
            self.leads.append((tag, told[_LEADING[tag]]))
        self.leads += [(name, told[name]) for name in _ASKED_BY_SCRIPT if told.get(name)]
        self._take_form(tag, told)
        if tag == "label":
            self._for.add(told.get("for", ""))
        if tag == "img" and "alt" not in told:
            self.unnamed.append(f"picture without words: {told.get('src', '')[:80]}")
        if tag in _CONTROLS and told.get("type", "text") not in _NO_LABEL:
            named = told.get("aria-label") or told.get("aria-labelledby") or "label" in self._open
            if not named:
                self._controls.append((told.get("id", "\0"), f"{tag} {told.get('name', '')}"))

    def _take_form(self, tag: str, told: dict[str, str]) -> None:
        """Fill forms as they stand: what is typed, chosen and ticked before anybody did anything."""
        if tag == "form":
            self.forms.append(Form(told.get("method", "get").lower(), told.get("action", "")))
        if "formaction" in told and self.forms:
            whole = self.forms[-1]
            self.forms.insert(
                -1, Form(told.get("formmethod", whole.method), told["formaction"], whole.fields)
            )
        for by_script in ("data-try", "data-suppose"):
            if by_script in told and tag == "form":
                self.forms.insert(-1, Form("get", told[by_script], self.forms[-1].fields))
        if "form" not in self._open or not self.forms:
            return
        self._fill(self.forms[-1].fields, tag, told)

    def _fill(self, fields: dict[str, str], tag: str, told: dict[str, str]) -> None:
        if tag == "select":
            self._choice = [told.get("name", "")]
        elif tag == "option" and self._choice and ("selected" in told or len(self._choice) == 1):
            fields[self._choice[0]] = told.get("value", "")
            self._choice += ["chosen"]
        elif tag == "textarea":
            fields[told.get("name", "")] = ""
        elif tag == "input" and told.get("name") and _is_sent(told):
            fields[told["name"]] = told.get("value", "")

    def handle_endtag(self, tag: str) -> None:
        """Close what was opened last of the kind."""
        if tag in self._open:
            while self._open.pop() != tag:
                pass

    def handle_data(self, data: str) -> None:
        """Take the title."""
        if self._open and self._open[-1] == "title":
            self.title += data


@dataclass(frozen=True, slots=True)
class Lead:
    """An address, the page that leads there, and whether a form does."""

    to: str
    page: str
    by_form: bool = False


@dataclass(slots=True)
class Crawl:
    """What a crawl saw.

    Attributes
    ----------
    kinds : dict of str to list of str
        Address of a route and the addresses asked, pages and files alike.
    pages : dict of str to str
        Address and route of each page that is HTML with a frame.
    faults : list of tuple of str
        Page, what, where.
    """

    kinds: dict[str, list[str]] = field(default_factory=dict)
    pages: dict[str, str] = field(default_factory=dict)
    faults: list[tuple[str, str, str]] = field(default_factory=list)


def get_routes(app: Starlette) -> dict[str, Route]:
    """Give the routes of the workbench that answer a plain question, by address."""
    return {
        one.path: one
        for one in app.router.routes
        if isinstance(one, Route) and "GET" in (one.methods or ()) and not one.path.startswith("/assets")
    }


def route_of(app: Starlette, path: str, method: str = "GET") -> tuple[str, dict[str, str]] | None:
    """Give the address of the route that answers a path, and what stands at its places."""
    scope = {"type": "http", "path": path, "root_path": "", "method": method, "headers": []}
    for one in app.router.routes:
        match, told = one.matches(scope)
        if match is Match.FULL:
            places = {name: str(value) for name, value in told.get("path_params", {}).items()}
            return str(getattr(one, "path", "")), places
    return None


def crawl(
    client: httpx.Client, app: Starlette, *, starts: Sequence[str] = ("/",), of_a_kind: int = 3
) -> Crawl:
    """Follow the links of a workbench from some pages on.

    Parameters
    ----------
    client : httpx.Client
        A browser without script, signed in where one has to.
    app : Starlette
        The workbench, for its routes.
    starts : sequence of str
        Where to begin.
    of_a_kind : int
        How many addresses of one kind are asked; a kind is a route, what its places name, and which
        questions the address holds.
    """
    seen = Crawl()
    waiting = [Lead(address, "the beginning") for address in starts]
    known, asked_of = set(starts), Counter(_kind(app, one) for one in starts)
    while waiting:
        for found in _asked(client, app, seen, waiting.pop(0)):
            kind = _kind(app, found.to)
            if found.to in known or asked_of[kind] >= of_a_kind:
                continue
            known.add(found.to)
            asked_of[kind] += 1
            waiting.append(found)
    return seen


def _kind(app: Starlette, address: str) -> tuple[object, ...]:
    parts = urlsplit(address)
    route = route_of(app, parts.path)
    if route is None:
        return ("nothing", parts.path)
    named = tuple(value for name, value in route[1].items() if name in SPREADING)
    return (route[0], named, tuple(sorted({name for name, _ in parse_qsl(parts.query)})))


def _asked(client: httpx.Client, app: Starlette, seen: Crawl, lead: Lead) -> Iterator[Lead]:
    """Ask for one address, take note of what is wrong, and give where it leads."""
    route = route_of(app, urlsplit(lead.to).path)
    if route is None:
        seen.faults.append((lead.page, "leads to no page", lead.to))
        return
    answer = client.get(lead.to)
    seen.kinds.setdefault(route[0], []).append(lead.to)
    if answer.is_redirect:
        yield from _inside(lead.to, answer.headers["location"])
        return
    # A form that nobody filled may well be refused; that page has to be in order all the same.
    if answer.status_code not in ((200, 422) if lead.by_form else (200,)):
        seen.faults.append((lead.page, f"leads to an answer {answer.status_code}", lead.to))
        return
    if not answer.content:
        seen.faults.append((lead.page, "leads to an empty file", lead.to))
    if not answer.headers.get("content-type", "").startswith("text/html"):
        return
    written = Written(answer.text)
    if "<html" in answer.text:
        seen.pages |= {lead.to: route[0]} if answer.status_code == 200 else {}
        seen.faults += [(lead.to, what, where) for what, where in faults_of_page(app, written)]
    yield from _leads_of(written, lead)


def _leads_of(written: Written, lead: Lead) -> Iterator[Lead]:
    """Give where a page leads: its links, what its scripts ask, its forms as they stand."""
    for _, address in written.leads:
        yield from _inside(lead.to, address)
    for form in written.forms:
        if form.method == "get":
            asked = f"{form.action.partition('#')[0] or urlsplit(lead.to).path}?{urlencode(form.fields)}"
            yield from _inside(lead.to, asked, by_form=True)


def _inside(page: str, address: str, *, by_form: bool = False) -> Iterator[Lead]:
    """Give an address of ours; nothing for another's, a picture in the page, or a place of the page."""
    whole = urlsplit(urljoin(f"http://here{page}", address))
    if whole.netloc != "here" or whole.scheme != "http" or whole.path.startswith(("/assets/", "/api/")):
        return
    yield Lead(f"{whole.path}?{whole.query}" if whole.query else whole.path, page, by_form)


def faults_of_page(app: Starlette, written: Written) -> Iterator[tuple[str, str]]:
    """Say what is wrong with a page as far as its text tells."""
    if written.heads != 1:
        yield "has not one main heading", str(written.heads)
    if not written.title.strip() or written.title.startswith("Workbench"):
        yield "has no title of its own", written.title
    yield from (("an id is given twice", one) for one, times in written.ids.items() if times > 1)
    yield from (
        ("refers to an id that is not there", one) for one in written.told_at if one not in written.ids
    )
    yield from (("a field has no label", one) for one in written.unlabelled)
    yield from (("is not named", one) for one in written.unnamed)
    for before, after in zip(written.levels, written.levels[1:], strict=False):
        if after > before + 1:
            yield "skips a level of headings", f"h{before} to h{after}"
    yield from _faults_of_leads(app, written)


def _faults_of_leads(app: Starlette, written: Written) -> Iterator[tuple[str, str]]:
    for tag, lead in written.leads:
        if tag == "a" and lead.startswith("#") and lead[1:] not in written.ids:
            yield "leads to a place that is not there", lead
    for form in written.forms:
        if form.action and route_of(app, urlsplit(form.action).path, form.method.upper()) is None:
            yield "a form leads to no page", f"{form.method} {form.action}"
