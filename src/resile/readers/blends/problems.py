"""Everything that is wrong with a blend book, collected and told at once."""

from __future__ import annotations

import difflib
from collections.abc import Sequence

from resile.errors import FileFormatError

_MOST_TOLD = 12


class Problems:
    """What cannot be used, in the order in which it was found."""

    def __init__(self) -> None:
        self._told: list[str] = []

    def add(self, place: str, what: str) -> None:
        """Add one: where, what was found, what is needed."""
        text = f"{place}: {what}" if place else what
        if text not in self._told:
            self._told.append(text)

    def refuse(self) -> None:
        """Raise all of them as one refusal; nothing happens where there is none.

        Raises
        ------
        FileFormatError
            One sentence for each, at most a dozen and the number of the others.
        """
        if not self._told:
            return
        shown = self._told[:_MOST_TOLD]
        more = len(self._told) - len(shown)
        raise FileFormatError("; ".join(shown) + (f"; and {more} more" if more else ""))


def known_names(typed: str, known: Sequence[str]) -> str:
    """Give the names there are, the nearest first where one is near.

    Parameters
    ----------
    typed : str
        As written.
    known : sequence of str
        The names.

    Returns
    -------
    str
        For the end of a message, in brackets.
    """
    return f" ({nearest_name(typed, known, after='; ')}known are {', '.join(known)})"


def nearest_name(
    typed: str, known: Sequence[str], *, before: str = "", after: str = "", like: float = 0.55
) -> str:
    """Give the name that may have been meant.

    Parameters
    ----------
    typed : str
        As written.
    known : sequence of str
        The names.
    before, after : str
        What stands around it.
    like : float
        How alike they must be, 0 to 1.

    Returns
    -------
    str
        Empty where none is near.
    """
    folded = {name.casefold(): name for name in known}
    near = difflib.get_close_matches(typed.casefold(), folded, n=1, cutoff=like)
    return f"{before}perhaps {folded[near[0]]!r}{after}" if near else ""
