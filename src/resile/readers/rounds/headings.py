"""The heading words of this folder, and numbers as a sheet prints them."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from functools import cache

from resile.readers.grids.cells import Cell, cell_text
from resile.readers.grids.number_marks import decide_marks, looks_like_number
from resile.readers.grids.number_text import parse_number
from resile.readers.grids.vocabulary import fold
from resile.readers.word_lists import load_words

MOST_BYTES = 50_000_000
_BRACKETS = re.compile(r"[\[(]([^\])]*)[\])]")
_SEVERAL = re.compile(r"\s*[;/|]\s*|\s+")


@cache
def headings_of(section: str) -> dict[str, list[str]]:
    """Give the spellings of each heading of one kind of table, its own name among them."""
    words = load_words("resile.readers.rounds", "words.toml")[section]
    return {name: [*spellings, name] for name, spellings in words.items()}


@cache
def folded_words(section: str, name: str) -> frozenset[str]:
    """Give the spellings of one heading in the form in which they are compared."""
    return frozenset(fold(word) for word in headings_of(section)[name])


def is_headed(cell: Cell, section: str, name: str) -> bool:
    """Tell whether a cell is the heading of that name, a unit in brackets apart."""
    return fold(_BRACKETS.sub("", cell_text(cell)).strip()) in folded_words(section, name)


def in_brackets(text: str) -> str:
    """Give what a heading prints in brackets; empty where it prints none."""
    found = _BRACKETS.search(text)
    return found[1].strip() if found else ""


def without_brackets(text: str) -> str:
    """Give a heading without what it prints in brackets."""
    return " ".join(_BRACKETS.sub(" ", text).split())


def says_nothing(text: str) -> bool:
    """Tell whether a cell stands for no result."""
    return not text or text.casefold() in load_words("resile.readers.rounds", "words.toml")["blank"]["cells"]


def why_no_number(text: str) -> str:
    """Say why a cell gives no result, and what is needed."""
    if text.strip()[:1] in ("<", ">", "≤", "≥"):
        return "is a bound and no result: ask for the number, or leave the cell empty and say so"
    return "is no number; leave the cell empty where there is no result"


def numbers_reader(
    cells: Iterable[Cell], path: str, decimal_mark: str = ""
) -> Callable[[Cell], list[float] | str]:
    """Give what turns a cell into its numbers, or into the text that is none.

    Parameters
    ----------
    cells : iterable of Cell
        All cells of the table: together they tell the decimal mark.
    path : str
        Named in a question.
    decimal_mark : str
        Where the user said it; empty to find it.

    Returns
    -------
    callable
        Several numbers in one cell stand apart by blanks, ``;`` or ``/``. An empty list for no result.

    Raises
    ------
    AmbiguousFileError
        Where the decimal mark can be read in two ways.
    """
    texts = [part for cell in cells if isinstance(cell, str) for part in _SEVERAL.split(cell.strip())]
    printed = [text for text in texts if looks_like_number(text)]
    if decimal_mark:
        decimal, apart = decimal_mark, ""
    else:
        decimal, apart = decide_marks(printed, path) if printed else (".", "")

    def read(cell: Cell) -> list[float] | str:
        if isinstance(cell, float):
            return [cell]
        text = cell_text(cell).strip()
        if says_nothing(text):
            return []
        whole = parse_number(text, decimal, apart)
        if whole is not None:
            return [whole]
        parts = [
            parse_number(part, decimal, apart) for part in _SEVERAL.split(text) if not says_nothing(part)
        ]
        return [part for part in parts if part is not None] if None not in parts else text

    return read
