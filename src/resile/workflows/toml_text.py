"""Files in TOML that the workbench writes from what was typed: a person can read them and go on with them."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping, Sequence
from typing import Any

_BARE = re.compile(r"[A-Za-z0-9_-]+")


def toml_text(content: Mapping[str, Any]) -> str:
    """Write a table as TOML.

    Parameters
    ----------
    content : mapping
        Text, truth, numbers, lists of them, tables, and lists of tables; what is None is left out.

    Returns
    -------
    str
        Plain keys first, then tables, each under its heading.
    """
    return "\n".join(_lines(content, "")).strip("\n") + "\n"


def _lines(content: Mapping[str, Any], path: str) -> list[str]:
    given = {key: value for key, value in content.items() if value is not None}
    later = {key: value for key, value in given.items() if isinstance(value, Mapping) or _is_tables(value)}
    lines = [f"{_key(key)} = {_value(value)}" for key, value in given.items() if key not in later]
    for key, value in later.items():
        inner = f"{path}.{_key(key)}" if path else _key(key)
        if isinstance(value, Mapping):
            lines += ["", f"[{inner}]", *_lines(value, inner)]
        else:
            for one in value:
                lines += ["", f"[[{inner}]]", *_lines(one, inner)]
    return lines


def _is_tables(value: object) -> bool:
    listed = isinstance(value, Sequence) and not isinstance(value, str)
    return listed and bool(value) and all(isinstance(one, Mapping) for one in value)  # type: ignore[attr-defined]


def _key(name: str) -> str:
    return name if _BARE.fullmatch(name) else json.dumps(name, ensure_ascii=False).replace("\x7f", "\\u007F")


def _value(value: Any) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007F")
    if isinstance(value, Sequence):
        return f"[{', '.join(_value(one) for one in value)}]"
    return repr(value)
