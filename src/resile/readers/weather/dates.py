"""Dates as people print them, to days; the order of day and month is found from the column, or asked."""

from __future__ import annotations

import datetime
import itertools
import re
from collections.abc import Sequence

from resile.errors import AmbiguousFileError, FileFormatError
from resile.readers.weather.headings import vocabulary

DAY_FIRST, MONTH_FIRST = "day-first", "month-first"
_YEAR_FIRST = re.compile(r"(\d{4})[-./ ]?(\d{1,2})[-./ ]?(\d{1,2})\Z")
_YEAR_LAST = re.compile(r"(\d{1,2})[-./ ](\d{1,2})[-./ ](\d{4})\Z")
_NAMED = re.compile(r"(\d{1,2})[-./ ]*([A-Za-z]{3})[a-z]*[-./, ]*(\d{4})\Z")
_SHORT_YEAR = re.compile(r"(\d{1,2})[-./ ](\d{1,2})[-./ ](\d{2})\Z")
_PIVOT = 69
"""Years of two digits from here on lie in the 1900s, those before in the 2000s: the convention of POSIX."""
_WIDEST_GAP_YEARS = 5
_MOST_TURNS_PER_ROW = 0.02
"""A daily record turns its year once in 365 rows: beyond this another part of the date is taken for it."""
_TIME_BEHIND = re.compile(r"[T ]+\d{1,2}:\d{2}.*\Z")


def read_dates(texts: Sequence[str], path: str, order: str = "") -> list[datetime.date | None]:
    """Read a column of dates.

    Parameters
    ----------
    texts : sequence of str
        Cells as printed.
    path : str
        Named in a question.
    order : str
        ``day-first`` or ``month-first`` for dates such as 03/04/1999; found where empty.

    Returns
    -------
    list of date or None
        None where a cell is no date.

    Raises
    ------
    AmbiguousFileError
        Day and month can be read both ways in every row.
    """
    bare = [_TIME_BEHIND.sub("", text.strip()) for text in texts]
    short = any(_SHORT_YEAR.match(text) for text in bare)
    if short:
        bare = _with_whole_years(bare)
    pairs = [(int(m[1]), int(m[2])) for text in bare if (m := _YEAR_LAST.match(text))]
    if pairs and not order:
        order = _order_of(pairs, path, next(text for text in bare if _YEAR_LAST.match(text)))
    dates = [_date(text, order) for text in bare]
    if short:
        _check_years([date.year for date in dates if date is not None], path)
    return dates


def _with_whole_years(texts: Sequence[str]) -> list[str]:
    """Give years of two digits their century; the year stands in front where a first part is above 31."""
    found = [_SHORT_YEAR.match(text) for text in texts]
    in_front = any(match and int(match[1]) > 31 for match in found)
    whole = []
    for text, match in zip(texts, found, strict=True):
        if match is None:
            whole.append(text)
        elif in_front:
            whole.append(f"{_century(match[1])}-{match[2]}-{match[3]}")
        else:
            whole.append(f"{match[1]}/{match[2]}/{_century(match[3])}")
    return whole


def _century(year: str) -> int:
    return int(year) + (1900 if int(year) >= _PIVOT else 2000)


def _check_years(years: Sequence[int], path: str) -> None:
    """Refuse years of two digits that make no record: a wrong century, or no year at all."""
    distinct = sorted(set(years))
    torn = any(b - a > _WIDEST_GAP_YEARS for a, b in itertools.pairwise(distinct))
    turns = sum(a != b for a, b in itertools.pairwise(years))
    if torn or turns > 2 + _MOST_TURNS_PER_ROW * len(years):
        raise FileFormatError(
            f"{path}: the years of the dates have two digits, and read as {_PIVOT} to 99 in the 1900s and "
            f"00 to {_PIVOT - 1} in the 2000s they do not follow one another; years of four digits are needed"
        )


def date_of_parts(year: float | None, month: float | None, day: float | None) -> datetime.date | None:
    """Give a date from columns of its parts; with ``month`` None, `day` counts from the start of the year."""
    if year is None or day is None or year != int(year) or day != int(day):
        return None
    try:
        if month is None:
            found = datetime.date(int(year), 1, 1) + datetime.timedelta(days=int(day) - 1)
            return found if day >= 1 and found.year == int(year) else None
        return datetime.date(int(year), int(month), int(day)) if month == int(month) else None
    except (ValueError, OverflowError):
        return None


def _order_of(pairs: Sequence[tuple[int, int]], path: str, shown: str) -> str:
    first, second = (max(pair[i] for pair in pairs) > 12 for i in (0, 1))
    if first and second:
        raise FileFormatError(
            f"{path}: some dates have a number above 12 in front and others in the middle; "
            "one order of day and month is needed in the whole column"
        )
    if first or second:
        return DAY_FIRST if first else MONTH_FIRST
    raise AmbiguousFileError(
        f"{path}: dates such as {shown!r} can be day/month/year or month/day/year; which is it? "
        f"(--date-order {DAY_FIRST} or {MONTH_FIRST})",
        option="--date-order",
    )


def _date(text: str, order: str) -> datetime.date | None:
    if match := _YEAR_FIRST.match(text):
        parts = match[1], match[2], match[3]
    elif match := _YEAR_LAST.match(text):
        parts = (match[3], match[2], match[1]) if order == DAY_FIRST else (match[3], match[1], match[2])
    elif match := _NAMED.match(text):
        names = vocabulary()["months"]["english"]
        if match[2].casefold() not in names:
            return None
        parts = match[3], str(names.index(match[2].casefold()) + 1), match[1]
    else:
        return None
    try:
        return datetime.date(*(int(part) for part in parts))
    except ValueError:
        return None
