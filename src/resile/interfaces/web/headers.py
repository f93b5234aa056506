"""What every answer carries so that a browser keeps a page to itself."""

from __future__ import annotations

from starlette.datastructures import MutableHeaders
from starlette.types import ASGIApp, Message, Receive, Scope, Send

CONTENT_RULES = "; ".join(
    (
        "default-src 'none'",
        "script-src 'self'",
        "style-src 'self'",
        "img-src 'self' data: blob:",
        "connect-src 'self'",
        "font-src 'self'",
        "form-action 'self'",
        "frame-ancestors 'none'",
        "base-uri 'none'",
    )
)
"""No script or style but our own files: nothing inside a page, nothing from elsewhere."""
HEADERS = {
    "content-security-policy": CONTENT_RULES,
    "x-content-type-options": "nosniff",
    "referrer-policy": "same-origin",
    "permissions-policy": "camera=(self), geolocation=(), microphone=(), payment=(), usb=()",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "cache-control": "no-store",
}
"""Cache control only where the answer has none of its own: pages hold customers' results."""
STRICT_TRANSPORT = ("strict-transport-security", "max-age=31536000")


def protect(headers: MutableHeaders, *, secure: bool) -> None:
    """Add the protecting headers an answer does not have yet."""
    for name, value in HEADERS.items():
        headers.setdefault(name, value)
    if secure:
        headers.setdefault(*STRICT_TRANSPORT)


class ProtectingHeaders:
    """Put the protecting headers on each answer."""

    def __init__(self, app: ASGIApp, *, secure: bool) -> None:
        self.app = app
        self.secure = secure

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass a request on and add headers to its answer."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return

        async def protected(message: Message) -> None:
            if message["type"] == "http.response.start":
                protect(MutableHeaders(scope=message), secure=self.secure)
            await send(message)

        await self.app(scope, receive, protected)
