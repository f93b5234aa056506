"""One kind of noun in the record, and the columns that its current table is made of."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from enum import Enum
from typing import Any

from sqlalchemy import Boolean, Column, Float, Table

from resile.errors import InputError
from resile.storage.tables import KEY, line


@dataclass(frozen=True, slots=True)
class Shelf:
    """One kind of noun in the record.

    Attributes
    ----------
    kind, prefix : str
        Name of the kind, and what its keys begin with.
    noun : type
        Its class.
    table : Table
        Its current table.
    worked_out : dict of str to callable
        Columns worked out from the noun.
    followed : dict of str to object
        Columns set by other nouns, with what they hold at first.
    said : str
        What a person calls it.
    once : str
        Sentence for a value that may stand only once.
    files : tuple of str
        Attributes that hold the SHA-256 of a file of the record.
    """

    kind: str
    prefix: str
    noun: type
    table: Table
    said: str
    worked_out: dict[str, Callable[[Any], object]] = field(default_factory=dict)
    followed: dict[str, object] = field(default_factory=dict)
    once: str = ""
    files: tuple[str, ...] = ()

    def files_of(self, noun: Any) -> set[str]:
        """Give the files that a noun names, by hash."""
        held = [getattr(noun, name) for name in self.files]
        named = [sha for one in held for sha in (one.values() if isinstance(one, dict) else [one])]
        return {sha for sha in named if sha}

    def row(self, noun: Any) -> dict[str, object]:
        """Give the columns that come from the noun itself."""
        skipped = {"key", "revision", "seq", *self.followed}
        return {
            name: self._column(noun, name)
            for name in (c.name for c in self.table.columns)
            if name not in skipped
        }

    def _column(self, noun: Any, name: str) -> object:
        if name in self.worked_out:
            return self.worked_out[name](noun)
        value = getattr(noun, name)
        if isinstance(value, Enum):
            return value.value
        if isinstance(value, str):
            self._must_fit(name, value)
        return value

    def _must_fit(self, name: str, text: str) -> None:
        """Refuse on every database what one of them could not hold, or a record could not move."""
        longest = getattr(self.table.c[name].type, "length", None)
        word = name.replace("_", " ")
        if longest and len(text) > longest:
            raise InputError(
                f"{self.said}, {word}: {len(text)} characters were given, at most {longest} can be kept"
            )
        if "\0" in text:
            raise InputError(
                f"{self.said}, {word}: '{text.split(chr(0))[0]}…' holds a zero byte; leave it out"
            )


def word(name: str, *, index: bool = False, size: int = 200) -> Column[Any]:
    """Give a column for one line of text."""
    return Column(name, line(size), nullable=False, index=index)


def key(name: str, *, index: bool = True) -> Column[Any]:
    """Give a column for the key of another noun."""
    return Column(name, KEY, nullable=False, index=index)


def number(name: str) -> Column[Any]:
    """Give a column for a number that need not be known."""
    return Column(name, Float, nullable=True)


def truth(name: str) -> Column[Any]:
    """Give a column for yes or no."""
    return Column(name, Boolean, nullable=False)
