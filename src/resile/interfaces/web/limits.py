"""What is held back before a page sees a request: wrong host, too large a body, files of this computer."""

from __future__ import annotations

from starlette.datastructures import Headers
from starlette.exceptions import HTTPException
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from resile.interfaces.web.settings import MB, host_of
from resile.workflows.handed_in import from_outside


class KnownHosts:
    """Answer only requests for a host name of ours.

    A page elsewhere can have its own name point at this computer; its requests then carry that
    name, and stop here.
    """

    def __init__(self, app: ASGIApp, *, hosts: tuple[str, ...]) -> None:
        self.app = app
        self.hosts = frozenset(host.lower() for host in hosts)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass a request on where its host is known."""
        if scope["type"] in ("http", "websocket") and self.hosts:
            named = Headers(scope=scope).get("host", "")
            try:
                known = host_of(named) in self.hosts
            except ValueError:
                known = False
            if not known:
                raise HTTPException(421, f"this workbench does not answer to the name {named[:80]!r}")
        await self.app(scope, receive, send)


class BodyLimit:
    """Stop reading a body that is larger than allowed, whether or not it says its size."""

    def __init__(self, app: ASGIApp, *, limit_bytes: int) -> None:
        self.app = app
        self.limit_bytes = limit_bytes

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass a request on and count what it brings."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        stated = Headers(scope=scope).get("content-length", "0")
        if stated.isascii() and stated.isdecimal() and int(stated) > self.limit_bytes:
            raise self._too_large()
        taken = 0

        async def counted() -> Message:
            nonlocal taken
            message = await receive()
            taken += len(message.get("body", b""))
            if taken > self.limit_bytes:
                raise self._too_large()
            return message

        await self.app(scope, counted, send)

    def _too_large(self) -> HTTPException:
        return HTTPException(413, f"at most {self.limit_bytes / MB:.0f} MB are taken at once")


class NothingOpened:
    """Let no request open a file of this computer: rules are found by name, files as they were sent."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass a request on; threads that answer it inherit the guard."""
        with from_outside():
            await self.app(scope, receive, send)
