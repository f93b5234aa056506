"""How charts are begun and how far back pages look, as data."""

from __future__ import annotations

import tomllib
from functools import cache
from pathlib import Path
from typing import Any

_FILE = Path(__file__).with_name("settled.toml")


@cache
def settled() -> dict[str, Any]:
    """Give what is settled, by name."""
    return tomllib.loads(_FILE.read_text(encoding="utf-8"))
