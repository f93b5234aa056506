"""Headings that carry a stress level or a comparison: Jnr at 3.2 kPa, recovery difference, slope of Jnr."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass

_LEVEL = re.compile(r"(?<![\d.])(\d+(?:[.,p]\d+)?)\s*(kpa|pa|кпа|па|千帕|帕)?(?![\d])")
_PASCAL = {"pa", "па", "帕"}
_WORD = re.compile(r"[^\W\d_]+|%", re.UNICODE)
_BARE_PASCALS = {"100": "0.1", "3200": "3.2"}


@dataclass(frozen=True, slots=True)
class Vocabulary:
    """Heading words in the form in which they are compared (see ``headings.toml``)."""

    titles: Mapping[str, str]
    dimensions: Mapping[str, str]
    words: Mapping[str, str]
    maybe: Mapping[str, str]
    symbols: Mapping[str, str]
    also: Mapping[str, tuple[str, ...]]
    unused: frozenset[str]
    misspelt: Mapping[str, str]
    levelled: Mapping[str, str]
    filler: frozenset[str]
    difference: frozenset[str]
    slope: frozenset[str]


def _level_name(number: str, unit: str) -> str:
    """Give a level as it stands in a quantity name, in kPa: ``"3.2"``."""
    plain = number.replace(",", ".").replace("p", ".")
    if unit in _PASCAL:
        return f"{float(plain) / 1000.0:g}"
    if not unit and plain in _BARE_PASCALS:
        return _BARE_PASCALS[plain]
    return f"{float(plain):g}"


def _base_of(text: str, known: Vocabulary) -> str | None:
    """Give the levelled quantity that is all a text says, filler words apart."""
    if text in known.levelled:
        return known.levelled[text]
    kept = " ".join(word for word in text.split() if word not in known.filler)
    return known.levelled.get(kept)


def _strip_words(text: str, wanted: frozenset[str]) -> str | None:
    """Give the text without the first wanted word in it, or None where it holds none."""
    for word in sorted(wanted, key=len, reverse=True):
        if word in text:
            return text.replace(word, " ", 1)
    return None


def _tidy(text: str) -> str:
    return " ".join(_WORD.findall(text))


def match_levelled(folded: str, known: Vocabulary) -> str | None:
    """Give the quantity of a heading with a stress level, a difference or a slope in it.

    Parameters
    ----------
    folded : str
        Heading without its unit, folded (see `headings.fold`).
    known : Vocabulary
        The heading words.

    Returns
    -------
    str or None
        ``jnr_3.2``, ``percent_recovery_0.1``, ``jnr_difference_percent``, …; None where it is no such
        heading.
    """
    for wanted, endings in (
        (known.slope, {"jnr": "jnr_slope_percent"}),
        (
            known.difference,
            {"jnr": "jnr_difference_percent", "percent_recovery": "recovery_difference_percent"},
        ),
    ):
        rest = _strip_words(folded, wanted)
        if rest is not None:
            words = _tidy(_LEVEL.sub(" ", rest))
            base = _base_of(words, known) or _base_of(words.replace("%", "").strip(), known)
            return endings.get(base or "")
    levels = _LEVEL.findall(folded)
    if len(levels) != 1:
        return None
    base = _base_of(_tidy(_LEVEL.sub(" ", folded)), known)
    return f"{base}_{_level_name(*levels[0])}" if base else None
