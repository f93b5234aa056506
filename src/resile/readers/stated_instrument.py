"""The instrument that a line above the columns of a record names."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache

from resile.readers.grids.vocabulary import fold
from resile.readers.word_lists import load_words


def instrument_in_lines(details: Mapping[str, str]) -> str:
    """Give the name of the instrument as the file has it.

    Parameters
    ----------
    details : mapping of str to str
        Lines of the file, as name and text, for example ``{"Instrument": "rheometer 2"}``.

    Returns
    -------
    str
        Empty where no line names one.
    """
    return next((text.strip() for name, text in details.items() if fold(name) in _words()), "")


@cache
def _words() -> frozenset[str]:
    return frozenset(
        fold(word) for word in load_words("resile.readers.series", "words.toml")["instrument"]["words"]
    )
