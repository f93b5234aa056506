"""Which mark is decimal and which groups thousands: decided from all numbers of a file, or asked."""

from __future__ import annotations

import re
from collections.abc import Iterable

from resile.errors import AmbiguousFileError

_NUMBER = re.compile(r"[+-]?(?:[0-9][0-9.,']*|[.,][0-9]+)(?:[eEdD][+-]?[0-9]+)?\Z")
_ONE_GROUP = {mark: re.compile(rf"[+-]?[1-9][0-9]{{0,2}}{re.escape(mark)}[0-9]{{3}}\Z") for mark in ".,"}
_GROUPS = {mark: re.compile(rf"[+-]?[1-9][0-9]{{0,2}}(?:{re.escape(mark)}[0-9]{{3}})+\Z") for mark in ".,"}
_BLANK_GROUPS = re.compile(r"[+-]?[1-9][0-9]{0,2}(?:[ \u00a0\u202f\u2009][0-9]{3})+(?:[.,][0-9]+)?\Z")
_APOSTROPHES = re.compile(r"[+-]?[1-9][0-9]{0,2}(?:'[0-9]{3})+(?:[.,][0-9]+)?\Z")
_PROOF = {
    mark: re.compile(
        rf"(?<![0-9])0{re.escape(mark)}[0-9]|{re.escape(mark)}[0-9]{{1,2}}(?![0-9])"
        rf"|{re.escape(mark)}[0-9]{{4}}|[0-9]{{4}}{re.escape(mark)}[0-9]"
    )
    for mark in ".,"
}
_TYPOGRAPHIC = re.compile(r"(?<=[0-9])[’‘´`](?=[0-9]{3})")
_EITHER = {".": ",", ",": "."}


def with_plain_apostrophes(text: str) -> str:
    """Give a text with the typographic apostrophes between digits made plain: 3’200 to 3'200.

    Parameters
    ----------
    text : str
        A whole file.

    Returns
    -------
    str
        The same text where there are none.
    """
    return _TYPOGRAPHIC.sub("'", text) if any(mark in text for mark in "’‘´`") else text


def looks_like_number(cell: str) -> bool:
    """Tell whether a cell is a number under some reading of its marks."""
    bare = cell.strip()
    return bool(_NUMBER.match(bare) or _BLANK_GROUPS.match(bare))


def evident_decimal_mark(sample: str) -> str:
    """Give the decimal mark that a stretch of numbers proves by itself; empty where it proves none.

    Parameters
    ----------
    sample : str
        Some lines of numbers.

    Returns
    -------
    str
        ``"."`` or ``","``: a mark after a leading zero, or not followed by exactly three digits, is decimal.
    """
    for mark in ".,":
        if mark in sample:
            return mark if _PROOF[mark].search(sample) else ""
    return ""


def _both_in_one(cells: Iterable[str], path: str) -> tuple[str, str] | None:
    """Decide from numbers that hold both marks: the last is decimal."""
    last = {cell[max(cell.rfind("."), cell.rfind(","))] for cell in cells if "." in cell and "," in cell}
    if len(last) > 1:
        raise AmbiguousFileError(
            f"{path}: some numbers end with a decimal point and others with a decimal comma; "
            "which of . and , is the decimal mark?",
            option="--decimal-mark",
        )
    decimal = next(iter(last), None)
    return (decimal, _EITHER[decimal]) if decimal else None


def _one_mark(cells: set[str], mark: str, path: str) -> tuple[str, str]:
    """Decide where only one of the two marks is ever printed."""
    if any(not _GROUPS[mark].match(cell) for cell in cells):
        return mark, ""
    if any(not _ONE_GROUP[mark].match(cell) for cell in cells):
        return _EITHER[mark], mark
    shown = min(cells, key=len)
    whole = shown.replace(mark, "")
    raise AmbiguousFileError(
        f"{path}: every number with a {mark!r} has three digits after it, so {shown!r} may mean "
        f"{float(shown.replace(mark, '.')):g} or {whole}; is {mark!r} the decimal mark?",
        option="--decimal-mark",
    )


def decide_marks(cells: Iterable[str], path: str) -> tuple[str, str]:
    """Give the decimal mark and the thousands mark of a file.

    Parameters
    ----------
    cells : iterable of str
        Every number of the file as printed.
    path : str
        Named in a question.

    Returns
    -------
    tuple of (str, str)
        Decimal mark, and thousands mark (empty for none).

    Raises
    ------
    AmbiguousFileError
        ``1.000`` may be one or a thousand, and no other number decides it.
    """
    numbers = {cell.strip() for cell in cells}
    numbers = {re.split("[eEdD]", n)[0] if "e" in n.casefold() else n for n in numbers}
    plain = {n for n in numbers if n and looks_like_number(n)}
    extra = "'" if any(_APOSTROPHES.match(n) for n in plain) else ""
    extra = extra or (" " if any(_BLANK_GROUPS.match(n) for n in plain) else "")
    if extra:
        plain = {re.sub(r"[\s']", "", n) for n in plain}
    both = _both_in_one(plain, path)
    if both:
        return both
    dots = {n for n in plain if "." in n}
    commas = {n for n in plain if "," in n}
    if dots and commas:
        dot_decimal = any(not _GROUPS["."].match(n) for n in dots)
        comma_decimal = any(not _GROUPS[","].match(n) for n in commas)
        if dot_decimal == comma_decimal:
            raise AmbiguousFileError(
                f"{path}: numbers such as {min(dots)!r} and {min(commas)!r} use two decimal marks; "
                "which is it? (--decimal-mark)",
                option="--decimal-mark",
            )
        return (".", ",") if dot_decimal else (",", ".")
    if extra:
        return ("," if commas else "."), extra
    if dots:
        return _one_mark(dots, ".", path)
    return _one_mark(commas, ",", path) if commas else (".", "")
