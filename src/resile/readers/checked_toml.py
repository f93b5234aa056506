"""Small TOML files a person writes: checked against a model, every error told at once with its key."""

from __future__ import annotations

import datetime
import difflib
import tomllib
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

from resile.errors import FileFormatError, SpecificationError
from resile.readers.source_file import read_source
from resile.records.reading import HeldFile, SourceFile

if TYPE_CHECKING:
    from pydantic import BaseModel
    from pydantic_core import ErrorDetails

    Model = TypeVar("Model", bound=BaseModel)

MAX_BYTES = 1_000_000


def read_checked_toml(path: Path | HeldFile, model: type[Model], what: str) -> tuple[Model, SourceFile]:
    """Read a TOML file and check it.

    Parameters
    ----------
    path : Path or HeldFile
        The file, on the disk or in hand.
    model : type of pydantic.BaseModel
        What it must hold.
    what : str
        What the file is, for messages: ``"test order"``.

    Returns
    -------
    tuple of (model, SourceFile)
        The checked content, and the bytes it came from.

    Raises
    ------
    RecordNotFoundError
        No such file.
    FileFormatError
        Too large, not UTF-8, or not TOML (with its line).
    SpecificationError
        Keys missing, unknown or wrong; all of them in one message.
    """
    from pydantic import ValidationError

    table, source = _load(path, what)
    try:
        return model.model_validate(table), source
    except ValidationError as error:
        problems = "; ".join(_in_words(details, model) for details in error.errors())
        raise SpecificationError(f"{path}: the {what} cannot be used: {problems}") from error


def as_text(value: object) -> object:
    """Give a date, time or number as the text a person wrote; anything else unchanged."""
    if isinstance(value, datetime.date | datetime.time | datetime.datetime):
        return value.isoformat()
    if isinstance(value, int | float) and not isinstance(value, bool):
        return f"{value:g}" if isinstance(value, float) else str(value)
    return value


def _load(path: Path | HeldFile, what: str) -> tuple[dict[str, Any], SourceFile]:
    data, source = read_source(path, f"{what} (.toml)", MAX_BYTES)
    try:
        return tomllib.loads(data.decode("utf-8-sig").replace("\r\n", "\n")), source
    except UnicodeDecodeError as error:
        raise FileFormatError(f"{path}: the {what} is not UTF-8 text; save it as UTF-8") from error
    except (tomllib.TOMLDecodeError, RecursionError) as error:
        raise FileFormatError(f"{path}: the {what} is not TOML: {error}") from error


def _in_words(details: ErrorDetails, model: type[BaseModel]) -> str:
    key = _key(details["loc"])
    found = details.get("input")
    match details["type"]:
        case "missing":
            return f"key {key!r} is missing"
        case "extra_forbidden":
            return f"key {key!r} is not known{_nearest(details['loc'], model)}"
        case "string_type":
            return f"key {key!r} must be a text in quotes, found {found!r}"
        case "float_type" | "float_parsing" | "finite_number":
            return f"key {key!r} must be a number, found {found!r}"
        case "bool_type" | "bool_parsing":
            return f"key {key!r} must be true or false, found {found!r}"
        case "list_type" | "tuple_type":
            return f"key {key!r} must be a list, found {found!r}"
        case "model_type" | "dict_type" | "model_attributes_type":
            return f"key {key!r} must be a table, found {found!r}"
        case "literal_error":
            return f"key {key!r} must be {details['ctx']['expected']}, found {found!r}"
        case "value_error":
            return f"key {key!r}: {details['ctx']['error']}"
        case _:
            message = details["msg"]
            return f"key {key!r}: {message[:1].lower()}{message[1:]}, found {found!r}"


def _key(places: Sequence[str | int]) -> str:
    """Write ``("record", 1, "file")`` as a person counts: ``record 2, file``."""
    parts: list[str] = []
    for place in places:
        if isinstance(place, int) and parts:
            parts[-1] = f"{parts[-1]} {place + 1},"
        else:
            parts.append(str(place))
    text = ""
    for part in parts:
        text += part if not text else (f" {part}" if text.endswith(",") else f".{part}")
    return text.rstrip(",")


def _nearest(places: Sequence[str | int], model: type[BaseModel]) -> str:
    """Name the keys that are known there; the nearest first where one is near."""
    known = _known_keys(places[:-1], model)
    near = difflib.get_close_matches(str(places[-1]), known, n=1)
    listed = ", ".join(known)
    return f" (perhaps {near[0]!r}; known are {listed})" if near else f" (known are {listed})"


def _known_keys(places: Sequence[str | int], model: type[BaseModel]) -> list[str]:
    from pydantic import BaseModel as Base

    current: type[BaseModel] = model
    for place in places:
        if isinstance(place, int):
            continue
        field = next((f for name, f in current.model_fields.items() if (f.alias or name) == place), None)
        kinds = [field.annotation, *getattr(field.annotation, "__args__", ())] if field else []
        inner = next((kind for kind in kinds if isinstance(kind, type) and issubclass(kind, Base)), None)
        if inner is None:
            break
        current = inner
    return [f.alias or name for name, f in current.model_fields.items()]
