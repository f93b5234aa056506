"""Style, scripts and letters: files of the package, read once, kept by browsers until they change."""

from __future__ import annotations

import gzip
import hashlib
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

HERE = Path(__file__).parent / "assets"
LETTERS = Path(__file__).parents[2] / "report" / "fonts"
"""The letters of the printed reports serve the pages as well."""
EXPLAINING = Path(__file__).parents[2] / "report" / "templates" / "explain.css"
"""The page for people outside the laboratory looks alike in the workbench and when it is sent."""
KINDS = {
    ".css": "text/css; charset=utf-8",
    ".js": "text/javascript; charset=utf-8",
    ".svg": "image/svg+xml",
    ".ttf": "font/ttf",
    ".txt": "text/plain; charset=utf-8",
    ".md": "text/plain; charset=utf-8",
    ".json": "application/json",
    ".png": "image/png",
}
FOR_A_YEAR = "public, max-age=31536000, immutable"


@dataclass(frozen=True, slots=True)
class Asset:
    """One file as it is sent."""

    kind: str
    content: bytes
    packed: bytes


@cache
def assets() -> dict[str, Path]:
    """Give the files that may be asked for, by name; nothing else can be."""
    found = {path.relative_to(HERE).as_posix(): path for path in sorted(HERE.rglob("*")) if path.is_file()}
    found |= {f"letters/{path.name}": path for path in sorted(LETTERS.iterdir()) if path.is_file()}
    found["explain/explain.css"] = EXPLAINING
    return {name: path for name, path in found.items() if path.suffix in KINDS}


@cache
def digest() -> str:
    """Give the digest over all files that stands in their addresses: a changed file has a new address."""
    whole = hashlib.sha256()
    for name, path in assets().items():
        whole.update(name.encode() + b"\0" + path.read_bytes())
    return whole.hexdigest()[:16]


def asset_address(name: str) -> str:
    """Give the address of a file by its name; a name that is not there is a fault of the template."""
    if name not in assets():
        raise KeyError(name)
    return f"/assets/{digest()}/{name}"


@cache
def _asset(name: str) -> Asset:
    path = assets()[name]
    content = path.read_bytes()
    return Asset(KINDS[path.suffix], content, gzip.compress(content, 6, mtime=0))


def asset(request: Request) -> Response:
    """Send a file of the package."""
    request.state.no_cookies = True
    name = request.path_params["name"]
    if name not in assets():
        raise HTTPException(404, "there is no such file of the workbench")
    found = _asset(name)
    current = request.path_params["digest"] == digest()
    headers = {"cache-control": FOR_A_YEAR if current else "no-cache", "vary": "accept-encoding"}
    if "gzip" in request.headers.get("accept-encoding", ""):
        headers["content-encoding"] = "gzip"
        return Response(found.packed, media_type=found.kind, headers=headers)
    return Response(found.content, media_type=found.kind, headers=headers)


routes = [Route("/assets/{digest}/{name:path}", asset)]
