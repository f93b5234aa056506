"""Checking a parsed file against what it may hold, with every fault in words."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, TypeVar

from resile.errors import SpecificationError
from resile.specifications.search import SpecificationFile

if TYPE_CHECKING:
    from pydantic import BaseModel

ModelT = TypeVar("ModelT", bound="BaseModel")


def _place(location: tuple[int | str, ...], content: dict[str, Any]) -> str:
    """Give the place of a fault as a person finds it: block number, block name, key."""
    words: list[str] = []
    node: Any = content
    for part in location:
        if not isinstance(node, dict | list):
            break  # below a plain value pydantic names the branch of a union, which is no key of the file
        if isinstance(part, int):
            node = node[part] if isinstance(node, list) and part < len(node) else None
            name = node.get("name", node.get("code", "")) if isinstance(node, dict) else ""
            words[-1:] = [f"{words[-1] if words else 'entry'} {part + 1}" + (f" ('{name}')" if name else "")]
        else:
            node = node.get(part) if isinstance(node, dict) else None
            words.append(part)
    return ", key ".join(words) if words else "the file"


def _sentence(error: dict[str, Any], content: dict[str, Any]) -> str:
    """Give one fault in words."""
    place = _place(tuple(error["loc"]), content)
    kind = error["type"]
    if kind == "missing":
        return f"{place}: missing"
    if kind == "extra_forbidden":
        return f"{place}: not a key known here"
    text = str(error["msg"]).removeprefix("Value error, ").removeprefix("Input ")
    if error["type"] == "string_pattern_mismatch":
        text = "may hold letters, digits, points, hyphens and underscores, and begins with a letter or digit"
    found = error.get("input")
    shown = f"found {found!r}; it " if isinstance(found, str | int | float | bool) else ""
    return f"{place}: {shown}{text}"


def checked_file(model: type[ModelT], file: SpecificationFile) -> ModelT:
    """Check a parsed file against its model, or refuse it with every fault.

    Parameters
    ----------
    model : type of pydantic.BaseModel
        What the file may hold.
    file : SpecificationFile
        Parsed.

    Returns
    -------
    pydantic.BaseModel
        The content.

    Raises
    ------
    SpecificationError
        Names the file and every fault in it.
    """
    from pydantic import ValidationError

    try:
        return model.model_validate(file.content)
    except ValidationError as error:
        faults = list(
            dict.fromkeys(_sentence(dict(e), file.content) for e in error.errors(include_url=False))
        )
        count = "one thing is wrong" if len(faults) == 1 else f"{len(faults)} things are wrong"
        raise SpecificationError(f"{file.path}: {count}: " + "; ".join(faults)) from error
