"""What programs can do, read out of the description that programs themselves read (OpenAPI)."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from starlette.applications import Starlette
from starlette.routing import Mount

from resile.interfaces.web.api.application import ADDRESS

_KINDS = {
    "string": "text",
    "number": "number",
    "integer": "whole number",
    "boolean": "yes or no",
    "array": "list",
    "object": "object",
}
_GROUPS = {
    "record": "What the record holds, and adding to it",
    "compute": "Tasks that keep nothing",
}
"""Words for the parts of the description; a part without words stands under its own name."""


@dataclass(frozen=True, slots=True)
class Given:
    """One thing a task is given.

    Attributes
    ----------
    name, where, kind : str
        Name; in the address, the question or the body; what it must be, in words.
    needed : bool
        True where it cannot be left out.
    words : str
        What the description says of it.
    """

    name: str
    where: str
    kind: str
    needed: bool
    words: str


@dataclass(frozen=True, slots=True)
class Task:
    """One task of the interface.

    Attributes
    ----------
    method, address : str
        As a program calls it.
    title, words : str
        What it does.
    given : tuple of Given
        What it takes.
    """

    method: str
    address: str
    title: str
    words: str
    given: tuple[Given, ...]


def described_tasks(app: Starlette) -> dict[str, list[Task]]:
    """Give every task by the part it belongs to, in the order of the description.

    Parameters
    ----------
    app : Starlette
        The workbench, with the interface mounted in it.
    """
    api = next(route.app for route in app.routes if isinstance(route, Mount) and route.path == ADDRESS)
    description: dict[str, Any] = api.openapi()  # type: ignore[attr-defined]
    schemas = description.get("components", {}).get("schemas", {})
    groups: dict[str, list[Task]] = {}
    for address, methods in description["paths"].items():
        for method, told in methods.items():
            tag = (told.get("tags") or ["compute"])[0]
            group = groups.setdefault(_GROUPS.get(tag, tag), [])
            group.append(_task(f"{ADDRESS}{address}", method, told, schemas))
    return groups


def _task(address: str, method: str, told: dict[str, Any], schemas: dict[str, Any]) -> Task:
    places = {"path": "in the address", "query": "in the question", "header": "in the head"}
    given = [
        Given(
            one["name"],
            places.get(one["in"], one["in"]),
            _kind(one.get("schema", {}), schemas),
            bool(one.get("required")),
            one.get("description", ""),
        )
        for one in told.get("parameters", [])
    ]
    given += _of_body(told.get("requestBody", {}), schemas)
    return Task(method.upper(), address, told["summary"], told.get("description", ""), tuple(given))


def _of_body(body: dict[str, Any], schemas: dict[str, Any]) -> list[Given]:
    found = []
    for media, content in body.get("content", {}).items():
        schema = _resolved(content["schema"], schemas)
        where = "as JSON" if "json" in media else "as a form field"
        for name, one in schema.get("properties", {}).items():
            words = one.get("description", "") or _resolved(one, schemas).get("description", "")
            found.append(Given(name, where, _kind(one, schemas), name in schema.get("required", ()), words))
    return found


def _kind(schema: dict[str, Any], schemas: dict[str, Any]) -> str:
    schema = _resolved(schema, schemas)
    for many in ("anyOf", "oneOf"):
        if many in schema:
            kinds = [_kind(one, schemas) for one in schema[many] if one.get("type") != "null"]
            return " or ".join(dict.fromkeys(kinds))
    if "enum" in schema:
        return "one of " + ", ".join(str(one) or "nothing" for one in schema["enum"])
    if schema.get("format") == "binary" or "contentMediaType" in schema:
        return "file"
    if schema.get("type") == "array":
        return f"list of {_kind(schema.get('items', {}), schemas)}"
    return _KINDS.get(schema.get("type", ""), "any") + _bounds(schema)


def _bounds(schema: dict[str, Any]) -> str:
    told = [
        f"{word} {schema[key]:g}"
        for key, word in (
            ("minimum", "from"),
            ("exclusiveMinimum", "above"),
            ("maximum", "to"),
            ("exclusiveMaximum", "below"),
        )
        if key in schema
    ]
    told += [f"up to {schema['maxLength']} characters"] if "maxLength" in schema else []
    return f", {' '.join(told)}" if told else ""


def _resolved(schema: dict[str, Any], schemas: dict[str, Any]) -> dict[str, Any]:
    while "$ref" in schema:
        schema = schemas[schema["$ref"].rsplit("/", 1)[-1]]
    return schema
