"""What a heading says: words and symbols to quantities, with the unit printed beside them.

The words are data (``headings.toml``). Use `read_heading` for one column; it never guesses in silence: a
heading read in spite of a slip carries a remark, and one that fits two quantities, or whose unit cannot
belong to it, is a question.
"""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from resile.readers.grids.levelled_headings import match_levelled
from resile.readers.grids.printed_units import read_unit
from resile.readers.grids.stated import what_is_stated
from resile.readers.grids.vocabulary import fold, quantity_dimension, vocabulary
from resile.records.quantity import RESULT_QUANTITIES
from resile.units import Unit, weight_of

_BRACKETED = re.compile(r"[\[(（【{<]\s*([^\[\]()（）【】{}<>]*?)\s*[\])）】}>]")
_UNIT_WORDS = re.compile(r"^(.*\S)\s+(?:in|en|em|w|в)\s+(\S.*)$")
_GLUED = re.compile(r"^(.*[^\W\d_])\s*([%‰])$")
_CLOSE = 0.86
_NUMBERED = re.compile(
    r"(?<![^\W_])(?:(?:beam|specimen|Balken|Probe)[\s_.]*)?\d{1,2}(?![\w.,])", re.IGNORECASE
)
_SIDE_BY_SIDE = ("load_mn", "deflection_mm")


@dataclass(frozen=True, slots=True)
class HeadingReading:
    """How one heading was understood.

    Attributes
    ----------
    heading : str
        As printed, rows joined with a blank.
    quantity : str or None
        Name of the quantity; None where it is unknown, unused or in question.
    unit : Unit or None
        Unit printed with the heading, or in the units row.
    unit_text : str
        That unit as printed; empty where none was found.
    candidates : tuple of str
        Quantities it may be, where that is a question; empty otherwise.
    remark : str
        A sentence for a person; empty where there is nothing to say.
    """

    heading: str
    quantity: str | None
    unit: Unit | None = None
    unit_text: str = ""
    candidates: tuple[str, ...] = ()
    remark: str = ""


def _splits(text: str) -> Iterator[tuple[str, str]]:
    """Give the ways in which words and a unit may share a heading, the plainest first."""
    for found in reversed(list(_BRACKETED.finditer(text))):
        yield f"{text[: found.start()]} {text[found.end() :]}".strip(), found[1]
    glued = _GLUED.match(text)
    if glued:
        yield glued[1], glued[2]
    worded = _UNIT_WORDS.match(text)
    if worded:
        yield worded[1], worded[2]
    for mark in (",", "/", ";", ":"):
        start = text.find(mark)
        while start > 0:
            yield text[:start].strip(), text[start + 1 :].strip()
            start = text.find(mark, start + 1)
    tokens = re.split(r"[\s_]+", text.strip())
    for size in (3, 2, 1):
        if len(tokens) > size:
            yield " ".join(tokens[:-size]), " ".join(tokens[-size:])


def _match(words: str) -> tuple[str | None, str]:
    """Give the quantity words mean and a remark; only exact words, symbols and listed slips."""
    known = vocabulary()
    bare = words.strip().strip(".:;,*\"'").strip()
    for symbol in (
        words.strip().rstrip(".:;,"),
        bare,
    ):  # the star of G* and the primes of G'' are no ornament
        if symbol in known.symbols:
            return known.symbols[symbol], ""
    named_twice = _same_thing_twice(bare)
    if named_twice is not None:
        return named_twice, ""
    folded = fold(_BRACKETED.sub(lambda m: f" {m[1]} ", words))
    if folded in known.misspelt:
        right = known.misspelt[folded]
        found = known.words.get(right) or match_levelled(right, known)
        return found, f"{bare!r} read as {right!r}: it is misspelt"
    if len(folded) == 1 and folded.isascii() and folded.isalpha() and folded != "r":
        return None, ""
    if folded in known.words:
        return known.words[folded], ""
    return match_levelled(folded, known), ""


def _same_thing_twice(words: str) -> str | None:
    """Give the quantity of a heading with word and symbol: "shear strain, γ", "time (t)", "stress τ"."""
    known = vocabulary()
    opened = _BRACKETED.sub(lambda m: f", {m[1]}", words)
    head, _, symbol = opened.replace(",", " ").strip().rpartition(" ")
    quantity = known.symbols.get(symbol)
    return quantity if quantity is not None and known.words.get(fold(head)) == quantity else None


def _resembling(words: str) -> tuple[str | None, str]:
    """Give the quantity whose word the text nearly is, if there is one only, and a remark that says so."""
    known = vocabulary()
    folded = fold(_BRACKETED.sub(lambda m: f" {m[1]} ", words))
    if len(folded) < 6 or folded in known.unused or folded in known.maybe:
        return None, ""
    pool = [*known.words, *known.unused]
    near = difflib.get_close_matches(folded, pool, n=3, cutoff=_CLOSE)
    found = {known.words.get(word) for word in near}
    if len(found) != 1 or None in found:
        return None, ""
    return found.pop(), f"{words.strip()!r} read as {near[0]!r}: it is spelt otherwise than any word we know"


def _fits(quantity: str, unit: Unit) -> bool:
    return unit.dimension == quantity_dimension(quantity)


def _by_unit(words: str, quantity: str, unit: Unit) -> str:
    """Give the quantity of a word that two share, by its unit: a deflection in mm is no angle."""
    if _fits(quantity, unit):
        return quantity
    folded = fold(_BRACKETED.sub(lambda m: f" {m[1]} ", words))
    return next((name for name in vocabulary().also.get(folded, ()) if _fits(name, unit)), quantity)


def _read_text(text: str) -> HeadingReading | None:
    """Read one heading text in which words and unit may stand together; None where nothing is known."""
    misfit: HeadingReading | None = None
    for words, unit_text in _splits(text):
        unit, unit_remark = read_unit(unit_text)
        if unit is None:
            continue
        quantity, remark = _match(words)
        if quantity is None:
            continue
        remark = "; ".join(part for part in (remark, unit_remark) if part)
        quantity = _by_unit(words, quantity, unit)
        if _fits(quantity, unit):
            return HeadingReading(text, quantity, unit, unit_text, remark=remark)
        misfit = misfit or HeadingReading(text, quantity, unit, unit_text, remark=remark)
    quantity, remark = _match(text)
    if quantity is not None:
        return HeadingReading(text, quantity, remark=remark)
    return misfit


def _read_slips(text: str) -> HeadingReading | None:
    """Read a heading that is spelt a little wrong."""
    for words, unit_text in _splits(text):
        unit, unit_remark = read_unit(unit_text)
        quantity, remark = _resembling(words) if unit is not None else (None, "")
        if quantity is not None and unit is not None and _fits(quantity, unit):
            remark = "; ".join(part for part in (remark, unit_remark) if part)
            return HeadingReading(text, quantity, unit, unit_text, remark=remark)
    quantity, remark = _resembling(text)
    return HeadingReading(text, quantity, remark=remark) if quantity else None


def _read_unknown(heading: str, texts: Sequence[str]) -> HeadingReading:
    """Say of an unknown heading what it may be, and which unit it shows."""
    known = vocabulary()
    for text in texts:
        for words, unit_text in (*_splits(text), (text, "")):
            maybe = known.maybe.get(fold(words))
            unit, _ = read_unit(unit_text) if unit_text else (None, "")
            if maybe and (unit is None or _fits(maybe, unit)):
                title = known.titles[maybe]
                return HeadingReading(
                    heading,
                    None,
                    unit,
                    unit_text if unit else "",
                    (maybe,),
                    f"may be the {title}: say so to use it",
                )
    for text in texts:
        for found in reversed(_BRACKETED.findall(text)):
            unit, remark = read_unit(found)
            if unit is not None:
                return HeadingReading(heading, None, unit, found, remark=remark)
    return HeadingReading(heading, None)


def _with_unit_row(reading: HeadingReading, unit_text: str) -> HeadingReading:
    """Join a reading with what the units row prints below it."""
    printed = unit_text.strip()
    if not printed:
        return reading
    unit, remark = read_unit(printed)
    if unit is None:
        remark = f"{printed!r} under the heading is not a unit we know"
        return replace(reading, remark="; ".join(part for part in (reading.remark, remark) if part))
    if reading.unit is not None and reading.unit != unit:
        remark = f"the heading says {reading.unit_text!r}, the units row {printed!r}: the units row was taken"
    remark = "; ".join(part for part in (reading.remark, remark) if part)
    quantity = reading.quantity and _by_unit(reading.heading, reading.quantity, unit)
    return replace(reading, quantity=quantity, unit=unit, unit_text=printed, remark=remark)


def _check_unit(reading: HeadingReading) -> HeadingReading:
    """Turn a reading whose unit cannot belong to its quantity into a question."""
    quantity, unit = reading.quantity, reading.unit
    if quantity is None or unit is None or _fits(quantity, unit):
        return reading
    dimension = quantity_dimension(quantity)
    if not dimension:
        return reading if unit.dimension == "ratio" else replace(reading, quantity=None)
    if dimension == "slope" and unit.dimension == "ratio":
        return reading
    if dimension == "force" and unit.dimension == "mass":
        remark = f"a mass in {unit.name} read as its weight by standard gravity"
        remark = "; ".join(part for part in (reading.remark, remark) if part)
        return replace(reading, unit=weight_of(unit), remark=remark)
    remark = f"{reading.unit_text!r} is a unit of {unit.dimension}, which does not fit {quantity}"
    remark = "; ".join(part for part in (reading.remark, remark) if part)
    return replace(reading, quantity=None, candidates=(quantity,), remark=remark)


def read_heading(parts: Sequence[str], unit_text: str = "") -> HeadingReading:
    """Read the heading of one column.

    Parameters
    ----------
    parts : sequence of str
        The cells of the heading rows above the column, from the top.
    unit_text : str
        What a row of units prints for it; empty where there is none.

    Returns
    -------
    HeadingReading
        Quantity and unit, or the reason why not.

    Examples
    --------
    >>> read_heading(["shear strain [%]"]).quantity
    'strain'
    >>> read_heading(["Jnr_3p2_perkPa"]).quantity
    'jnr_3.2'
    """
    return _read_heading(tuple(parts), unit_text)


@lru_cache(maxsize=4096)
def _read_heading(parts: tuple[str, ...], unit_text: str) -> HeadingReading:
    cells = [re.sub(r"\s+", " ", part).strip() for part in parts if part.strip()]
    heading = " ".join(cells)
    if not cells:
        return _with_unit_row(HeadingReading("", None), unit_text)
    texts = list(dict.fromkeys([*(" ".join(cells[i:]) for i in range(len(cells))), *reversed(cells[:-1])]))
    for read in (_read_text, _read_slips):
        for text in texts:
            reading = read(text)
            if reading is not None:
                reading = replace(reading, heading=heading)
                return _check_unit(_with_unit_row(reading, unit_text))
    apart = _read_stated(heading)
    return _with_unit_row(apart or _read_unknown(heading, texts), unit_text)


def _read_stated(heading: str) -> HeadingReading | None:
    """Read the heading of a result that states a temperature, a frequency or the replicate as well."""
    bare = what_is_stated(heading).bare
    reading = _read_text(bare) if bare != heading else None
    if reading is not None and reading.quantity in RESULT_QUANTITIES:
        return _check_unit(replace(reading, heading=heading))
    bare = _NUMBERED.sub(" ", heading)
    reading = _read_text(bare) if bare != heading else None
    if reading is not None and reading.quantity in _SIDE_BY_SIDE:
        return _check_unit(replace(reading, heading=heading))
    return None
