"""Numbers as people print them: decimal marks, thousands marks, exponents, and what is no number."""

from __future__ import annotations

import re

_PLAIN = re.compile(r"[+-]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eEdD][+-]?[0-9]{1,3})?\Z")
_ODD_SIGNS = str.maketrans({"−": "-", "–": "-", "—": "-", "＋": "+", "．": ".", "，": ","})
_BLANKS = (" ", "\u00a0", "\u202f", "\u2009")
_GROUPED = {
    ",": re.compile(r"[+-]?[0-9]{1,3}(?:,[0-9]{3})+(?:\.[0-9]*)?(?:[eE][+-]?[0-9]{1,3})?\Z"),
    ".": re.compile(r"[+-]?[0-9]{1,3}(?:\.[0-9]{3})+(?:,[0-9]*)?(?:[eE][+-]?[0-9]{1,3})?\Z"),
    "'": re.compile(r"[+-]?[0-9]{1,3}(?:'[0-9]{3})+(?:[.,][0-9]*)?(?:[eE][+-]?[0-9]{1,3})?\Z"),
    " ": re.compile(r"[+-]?[0-9]{1,3}(?: [0-9]{3})+(?:[.,][0-9]*)?(?:[eE][+-]?[0-9]{1,3})?\Z"),
}
MISSING_WORDS = frozenset(
    {"", "-", "–", "—", "--", "n/a", "na", "#n/a", "none", "null", "nan", "inf", "-inf", "+inf"}
)


def parse_number(text: str, decimal_mark: str = ".", thousands_mark: str = "") -> float | None:
    """Give the number a text prints, or None where it prints none.

    Parameters
    ----------
    text : str
        One cell.
    decimal_mark : str
        ``"."`` or ``","``.
    thousands_mark : str
        ``","``, ``"."``, ``"'"``, ``" "`` or empty for none. Every blank counts as a blank.

    Returns
    -------
    float or None
        A finite number. Words such as ``nan`` and ``inf`` print no number.

    Examples
    --------
    >>> parse_number("1.234,5", ",", ".")
    1234.5
    """
    bare = text.strip().translate(_ODD_SIGNS)
    if thousands_mark:
        for blank in _BLANKS if thousands_mark == " " else ():
            bare = bare.replace(blank, " ")
        if _GROUPED[thousands_mark].match(bare):
            bare = bare.replace(thousands_mark, "")
    if decimal_mark == ",":
        if "." in bare:
            return None
        bare = bare.replace(",", ".", 1)
    if not _PLAIN.match(bare):
        return None
    number = float(bare.replace("d", "e").replace("D", "e"))
    return number if abs(number) < float("inf") else None


_BOUND = re.compile(r"(?:[<>≤≥=~≈]|max\b|min\b|ca\b|about\b)", re.IGNORECASE)
_NUMBER = r"[+−-]?\d*[.,]?\d+"
_RANGE = re.compile(
    rf"{_NUMBER}\s*(?:-|–|−|…|\.\.\.?|to|bis|à)\s*{_NUMBER}(?:\s*[^\d\s−–-].*)?", re.IGNORECASE
)
_WITH_DOUBT = re.compile(rf"{_NUMBER}\s*(?:±|\+/-)")


def why_no_number(text: str) -> str:
    """Say why a cell is not a number.

    Parameters
    ----------
    text : str
        The cell.

    Returns
    -------
    str
        The reason in words.
    """
    bare = text.strip()
    if not bare:
        return "empty"
    if bare.casefold() in MISSING_WORDS:
        return f"{bare!r} is not a value"
    shown = repr(bare[:24])
    if _BOUND.match(bare):
        return f"{shown} is a bound, not a measured value; the value itself is needed"
    if _RANGE.fullmatch(bare):
        return f"{shown} is a range; one value is needed, or a row for each determination"
    if _WITH_DOUBT.match(bare):
        return f"{shown} holds a value and its uncertainty; the value alone is needed"
    return f"{shown} is not a number"
