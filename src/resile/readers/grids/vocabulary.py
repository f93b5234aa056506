"""The words of headings: how words are compared, which quantity each names, and of which dimension it is."""

from __future__ import annotations

import re
import unicodedata
from functools import lru_cache

from resile.readers.grids.levelled_headings import Vocabulary
from resile.readers.word_lists import load_words

_FOLDED_LETTERS = str.maketrans({"ł": "l", "ø": "o", "đ": "d", "ı": "i", "’": "'", "`": "'", "´": "'"})
_BLANKS = re.compile(r"[\s_\u00a0\u2007\u202f‐‑‒–-]+")


def fold(text: str) -> str:
    """Give a text with case, accents, hyphens, underscores and doubled blanks folded away.

    Parameters
    ----------
    text : str
        Words as printed.

    Returns
    -------
    str
        The form in which words are compared.
    """
    plain = unicodedata.normalize("NFKD", text.casefold().translate(_FOLDED_LETTERS))
    plain = "".join(c for c in plain if not unicodedata.combining(c))
    return _BLANKS.sub(" ", plain).strip(" .:;,*\"'")


@lru_cache(maxsize=1)
def vocabulary() -> Vocabulary:
    """Give the heading words, loaded once from ``headings.toml``."""
    raw = load_words("resile.readers.grids", "headings.toml")
    quantities = raw["quantity"]
    return Vocabulary(
        titles={name: entry["title"] for name, entry in quantities.items()},
        dimensions={
            **{name: entry["dimension"] for name, entry in quantities.items()},
            **{name: entry["dimension"] for name, entry in raw["levelled"].items()},
        },
        words={fold(word): name for name, entry in quantities.items() for word in entry["words"]},
        maybe={fold(word): name for name, entry in quantities.items() for word in entry.get("maybe", ())},
        symbols={s: name for name, entry in quantities.items() for s in entry.get("symbols", ())},
        also=_shared_words(quantities),
        unused=frozenset(fold(word) for word in raw["unused"]["words"]),
        misspelt={fold(wrong): fold(right) for wrong, right in raw["misspelt"].items()},
        levelled={fold(word): name for name, entry in raw["levelled"].items() for word in entry["words"]},
        filler=frozenset(fold(word) for word in raw["levels"]["filler"]),
        difference=frozenset(fold(word) for word in raw["levels"]["difference"]),
        slope=frozenset(fold(word) for word in raw["levels"]["slope"]),
    )


def _shared_words(quantities: dict[str, dict[str, list[str]]]) -> dict[str, tuple[str, ...]]:
    """Give the words that mean another quantity where the unit is one of that quantity."""
    shared: dict[str, tuple[str, ...]] = {}
    for name, entry in quantities.items():
        for word in entry.get("also", ()):
            shared[fold(word)] = (*shared.get(fold(word), ()), name)
    return shared


def quantity_dimension(quantity: str) -> str:
    """Give the dimension a unit must have to belong to a quantity; empty where it takes no unit.

    Parameters
    ----------
    quantity : str
        Name of a quantity, levelled ones such as ``jnr_3.2`` included.

    Returns
    -------
    str
        A dimension of `resile.units`, or empty.
    """
    known = vocabulary().dimensions
    if quantity in known:
        return known[quantity]
    if quantity.endswith("_difference_percent"):
        return "ratio"
    if quantity == "jnr_slope_percent":
        return "slope"
    return known.get(quantity.rpartition("_")[0], "")
