"""Days, with the time where one is printed, as text that sorts."""

from __future__ import annotations

import re
from collections.abc import Sequence

from resile.readers.weather.dates import read_dates

_TIME = re.compile(r"[T ]+(\d{1,2}):(\d{2})(?::\d{2}(?:\.\d+)?)?\s*\Z")


def read_moments(texts: Sequence[str], path: str, order: str = "") -> list[str]:
    """Read a column of days.

    Parameters
    ----------
    texts : sequence of str
        Cells as printed.
    path : str
        Named in a question.
    order : str
        ``day-first`` or ``month-first`` for days such as 03/04/2026; found where empty.

    Returns
    -------
    list of str
        ``2026-04-01`` or ``2026-04-01T06:30``; empty where a cell is no day. Midnight is no time.

    Raises
    ------
    AmbiguousFileError
        Day and month can be read both ways in every row.
    """
    return [
        "" if day is None else f"{day.isoformat()}{_hours(text)}"
        for day, text in zip(read_dates(texts, path, order), texts, strict=True)
    ]


def _hours(text: str) -> str:
    time = _TIME.search(text)
    if time is None or time[0].strip("T ") in ("00:00:00", "00:00"):
        return ""
    return f"T{int(time[1]):02d}:{time[2]}"
