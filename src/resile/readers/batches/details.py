"""What a record says of itself above its columns: sample, lot, product and day of the test."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache

from resile.errors import AmbiguousFileError, FileFormatError
from resile.readers.conditions import read_condition
from resile.readers.grids.vocabulary import fold
from resile.readers.weather.dates import read_dates
from resile.readers.word_lists import load_words
from resile.records.batch import FileTold
from resile.records.determination import Condition


def words() -> Mapping[str, list[str]]:
    """Give the spellings of what is told of a file, by name."""
    found: Mapping[str, list[str]] = load_words("resile.readers.batches", "words.toml")["words"]
    return found


@cache
def _spelt() -> dict[str, str]:
    return {fold(spelling): name for name, spellings in words().items() for spelling in spellings}


def told_by_details(details: Mapping[str, str]) -> FileTold:
    """Give what lines above the columns say of the file.

    Parameters
    ----------
    details : mapping of str to str
        Lines as name and text, for example ``{"Sample": "26-101", "Residue": "RTFO"}``.

    Returns
    -------
    FileTold
        Empty where nothing is said, or a day could be meant in two ways.
    """
    found: dict[str, str] = {}
    for name, text in details.items():
        meaning = _spelt().get(fold(name))
        if meaning is not None and meaning != "file" and text.strip():
            found.setdefault(meaning, text.strip())
    found["tested"] = _day_or_nothing(found.get("tested", ""))
    found["condition"] = condition_told(found.get("condition", ""))
    return FileTold(**found)


def condition_told(text: str) -> str:
    """Give the state of the binder that a word names; empty where it names none."""
    condition = read_condition(text)[0] if text else Condition.UNKNOWN
    return "" if condition is Condition.UNKNOWN else condition.value


def _day_or_nothing(text: str) -> str:
    try:
        day = read_dates([text], "the record")[0] if text else None
    except (AmbiguousFileError, FileFormatError):
        return ""
    return day.isoformat() if day is not None else ""
