"""What changed in the numbers between two versions of the program, as its changelog says."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cache
from pathlib import Path

_FILE = Path(__file__).with_name("numbers_that_change.toml")
"""Made from the changelog by docs/reference/make_reference.py: the changelog alone is written by hand."""


@dataclass(frozen=True, slots=True)
class NumberThatChanged:
    """One entry under "Numbers that change".

    Attributes
    ----------
    version : str
        Version that brought it; empty for one that is not released yet.
    text : str
        Which result, by how much, why.
    """

    version: str
    text: str


@cache
def all_number_changes() -> tuple[NumberThatChanged, ...]:
    """Give every entry, the newest version first."""
    found = tomllib.loads(_FILE.read_text(encoding="utf-8"))
    return tuple(NumberThatChanged(one["version"], one["text"]) for one in found["change"])


def numbers_changed_since(version: str) -> tuple[NumberThatChanged, ...]:
    """Give what changed in the numbers after a version, up to the program that is running.

    Parameters
    ----------
    version : str
        That gave the older result. One that is no version number is older than all.

    Returns
    -------
    tuple of NumberThatChanged
        What is not released yet counts as later than every version.
    """
    since = _order(version)
    return tuple(one for one in all_number_changes() if not one.version or _order(one.version) > since)


def _order(version: str) -> tuple[int, ...]:
    numbers = version.split("+")[0].split(".")
    return tuple(int(one) for one in numbers) if all(one.isdecimal() for one in numbers) else ()
