"""Who a browser is from one request to the next: one secret in a cookie, and all that hangs on it.

The cookie holds a random secret and nothing else. The token of a form is derived from it, with a salt that
differs from page to page; what is to be said on the next page is signed with it. So nothing has to be stored
for a visitor who has not signed in, no key has to be kept, and several worker processes agree. A session in
the record is found by the secret's hash.
"""

from __future__ import annotations

import hashlib
import hmac
import re
import secrets
from dataclasses import dataclass, field

from itsdangerous import BadSignature, URLSafeSerializer
from starlette.datastructures import MutableHeaders
from starlette.requests import cookie_parser
from starlette.types import ASGIApp, Message, Receive, Scope, Send

_SECRET = re.compile(r"[A-Za-z0-9_-]{43}")
_MOST_SAID = 5


@dataclass(slots=True)
class Visitor:
    """A browser.

    Attributes
    ----------
    secret : str
        The content of its cookie.
    is_new : bool
        True where the browser has yet to be given the cookie.
    said : list of tuple
        Kind and sentence of what the next page shows first.
    said_before : bool
        True where the browser brought something said.
    """

    secret: str
    is_new: bool = False
    said: list[tuple[str, str]] = field(default_factory=list)
    said_before: bool = False

    def renew(self, secret: str) -> None:
        """Take a new secret, as on signing in and out: whoever knew the old one knows nothing now."""
        self.secret, self.is_new = secret, True

    def form_token(self) -> str:
        """Give a token for one form; each call gives another, all of them hold."""
        salt = secrets.token_urlsafe(12)
        return f"{salt}.{self._mark(salt)}"

    def knows(self, token: str) -> bool:
        """Tell whether a form token was made for this browser."""
        salt, _, mark = token.partition(".")
        return bool(salt) and hmac.compare_digest(mark.encode(), self._mark(salt).encode())

    def _mark(self, salt: str) -> str:
        return hmac.new(self.secret.encode(), b"form" + salt.encode(), hashlib.sha256).hexdigest()

    def take_said(self) -> list[tuple[str, str]]:
        """Give what is to be said, once."""
        said, self.said = self.said, []
        return said

    def said_as_text(self) -> str:
        """Give what is to be said as signed text for a cookie."""
        return _signer(self.secret).dumps(self.said[-_MOST_SAID:])


def _signer(secret: str) -> URLSafeSerializer:
    return URLSafeSerializer(secret, salt="said")


def new_secret() -> str:
    """Give a secret nobody can guess."""
    return secrets.token_urlsafe(32)


def visitor_from(cookies: dict[str, str], names: tuple[str, str]) -> Visitor:
    """Recognise a browser by its cookies, or begin with a new one."""
    secret = cookies.get(names[0], "")
    if not _SECRET.fullmatch(secret):
        return Visitor(new_secret(), is_new=True)
    visitor = Visitor(secret, said_before=names[1] in cookies)
    try:
        brought = _signer(secret).loads(cookies.get(names[1], ""))
        visitor.said = [(str(kind), str(sentence)) for kind, sentence in brought]
    except (BadSignature, TypeError, ValueError):
        visitor.said = []
    return visitor


def cookie_names(*, secure: bool) -> tuple[str, str]:
    """Give the names of the two cookies; with encryption the browser itself holds them to this host."""
    prefix = "__Host-" if secure else ""
    return f"{prefix}resile", f"{prefix}resile-said"


class Visitors:
    """Recognise the browser before a page, and give it its cookies after."""

    def __init__(self, app: ASGIApp, *, secure: bool) -> None:
        self.app = app
        self.names = cookie_names(secure=secure)
        self.flags = "; Path=/; HttpOnly; SameSite=Lax" + ("; Secure" if secure else "")

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass a request on with its visitor."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        header = dict(scope["headers"]).get(b"cookie", b"").decode("latin-1")
        visitor = visitor_from(cookie_parser(header), self.names)
        scope.setdefault("state", {})["visitor"] = visitor

        async def with_cookies(message: Message) -> None:
            if message["type"] == "http.response.start" and not scope["state"].get("no_cookies"):
                self._give(visitor, MutableHeaders(scope=message))
            await send(message)

        await self.app(scope, receive, with_cookies)

    def _give(self, visitor: Visitor, headers: MutableHeaders) -> None:
        if visitor.is_new:
            headers.append("set-cookie", f"{self.names[0]}={visitor.secret}{self.flags}")
        if visitor.said:
            headers.append("set-cookie", f"{self.names[1]}={visitor.said_as_text()}{self.flags}")
        elif visitor.said_before:
            headers.append("set-cookie", f'{self.names[1]}=""{self.flags}; Max-Age=0')
