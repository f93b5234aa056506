"""A unit as printed: with brackets, as a clock, or with a broken degree sign."""

from __future__ import annotations

import re

from resile.units import Unit, find_unit

_BROKEN_DEGREE = re.compile(r"^(?:[^\w\s%/.,+*-]{1,3}|Â[°º]|В°|�|o|0)\s*([CСFcс])$")
_ENCODED_TWICE = re.compile("Â([°º\u00b5·²³])|Î¼")
"""Signs of two bytes in UTF-8 that were read as a code page and written as UTF-8 once more."""
_CLOCK_UNIT = re.compile(r"^(?:h{1,2}:)?m{1,2}:s{1,2}(?:[.,][0sfzm]{1,6})?$", re.IGNORECASE)
_MISPRINTED_DEGREES = {"®c", "ºc", "˚c", "oc"}


def read_unit(text: str) -> tuple[Unit | None, str]:
    """Give the unit a text means, and a remark where the text was not spelt properly.

    Parameters
    ----------
    text : str
        Unit as printed, with or without brackets.

    Returns
    -------
    tuple of (Unit or None, str)
        None where it is no unit; the remark is empty where there is nothing to say.
    """
    bare = text.strip().strip("[](){}<>（）【】").strip()
    unit = find_unit(bare)
    if unit is not None:
        misprinted = bare.casefold() in _MISPRINTED_DEGREES
        return unit, f"degree sign printed as {bare[:-1]!r}" if misprinted else ""
    if _CLOCK_UNIT.match(bare):
        return find_unit("s"), ""
    once = _ENCODED_TWICE.sub(lambda mark: mark[1] or "µ", bare)
    unit = find_unit(once) if once != bare else None
    if unit is not None and not _BROKEN_DEGREE.match(bare):
        return unit, f"{bare!r} read as {once}: the file was encoded twice"
    broken = _BROKEN_DEGREE.match(bare)
    if broken:
        letter = "F" if broken[1] == "F" else "C"
        return find_unit(f"°{letter}"), f"{bare!r} read as °{letter}: the degree sign is misprinted"
    return None, ""
