"""Numbers as a hand writes them: with a decimal point or comma, without the unit."""

from __future__ import annotations

from resile.errors import InputError
from resile.readers.grids.number_text import parse_number


def hand_number(text: str, title: str) -> float:
    """Read a number written by hand.

    Parameters
    ----------
    text, title : str
        As typed; what it is, in words.

    Raises
    ------
    InputError
        Where it is none.
    """
    bare = text.replace("\N{NO-BREAK SPACE}", " ").strip()
    for mark in (".", ","):
        number = parse_number(bare, mark)
        if number is not None:
            return number
    raise InputError(f"{title}: '{text}' is no number; write 35.012 or 35,012, without the unit")


def hand_number_or_none(text: str, title: str) -> float | None:
    """Read a number written by hand, or nothing where nothing was written.

    Parameters
    ----------
    text, title : str
        As in `hand_number`.
    """
    return hand_number(text, title) if text.strip() else None


def revision_seen(text: str) -> int:
    """Read which revision a person saw when they corrected it, as the form carries it.

    Parameters
    ----------
    text : str
        As it came.

    Raises
    ------
    InputError
        Where it is none: a correction without it could overwrite what somebody else just wrote.
    """
    if not text.isdecimal() or not 0 < int(text) < 10**9:
        raise InputError("the form does not say which revision was corrected; load the page again")
    return int(text)
