"""The words of an ageing record: fields, columns and methods as people write them (``ageing_words.toml``)."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any

from resile.readers.grids.vocabulary import fold
from resile.readers.word_lists import load_words

SHORT = "short-term"
LONG = "long-term"
_UNIT_BEHIND = re.compile(r"(.*?)\s*(?:[\[(]([^\[\]()]*)[\])]|,\s*(\S+))\s*")


@dataclass(frozen=True, slots=True)
class Word:
    """What a name or heading means: the field, the unit printed with it, and the unit of the record."""

    name: str
    unit_text: str
    unit: str = ""


def method_identifier(text: str) -> str:
    """Give the name of a method file for a method as people write it; the text itself where unknown."""
    vocabulary = _vocabulary()
    for identifier, words in {**vocabulary["short"], **vocabulary["long"]}.items():
        if fold(text) in {fold(word) for word in (identifier, *words)}:
            return str(identifier)
    return text.strip()


def kind_of_method(text: str) -> str:
    """Give the kind of ageing of a method as people write it; short-term where it is not known."""
    return LONG if method_identifier(text) in _vocabulary()["long"] else SHORT


def _vocabulary() -> dict[str, dict[str, Any]]:
    return load_words("resile.readers.ageing", "ageing_words.toml")


@cache
def _words(section: str) -> dict[str, tuple[str, str]]:
    return {
        fold(word): (name, entry.get("unit", ""))
        for name, entry in _vocabulary()[section].items()
        for word in (name, *entry["words"])
    }


def word_of(sections: Sequence[str], text: str) -> Word | None:
    """Give what a name or heading means, with or without its unit behind it."""
    known = {word: meant for section in sections for word, meant in _words(section).items()}
    bare = text.strip().rstrip(":=").strip()
    if fold(bare) in known:
        name, unit = known[fold(bare)]
        return Word(name, "", unit)
    split = _UNIT_BEHIND.fullmatch(bare)
    if split and fold(split[1]) in known:
        name, unit = known[fold(split[1])]
        return Word(name, split[2] or split[3] or "", unit)
    return None
