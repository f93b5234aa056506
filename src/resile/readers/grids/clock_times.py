"""Times printed as a clock: 00:01:02.5, 01:02.5, 9:58:00 AM, with or without a date before them."""

from __future__ import annotations

import re
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

_CLOCK = re.compile(
    r"(?P<date>\d{1,4}[-./]\d{1,2}[-./]\d{1,4}|\d+ days?)?[T,\s]*"
    r"(?:(?P<hours>\d{1,3}):)?(?P<minutes>\d{1,3}):(?P<seconds>\d{1,2}(?:[.,]\d+)?)"
    r"\s*(?P<half>[AaPp]\.?[Mm]\.?)?\s*(?:Z|[+-]\d{2}:?\d{2})?\Z"
)
_MIDNIGHT = re.compile(r"\d{4}-\d{2}-\d{2}\Z")
_DAY_S = 86_400.0
_SHOWN = 3_600.0
_SHARED = 0.2


def read_clock(texts: Sequence[str]) -> NDArray[np.float64] | None:
    """Read a column of clock times.

    Parameters
    ----------
    texts : sequence of str
        The cells as printed.

    Returns
    -------
    ndarray of float, shape (n,), or None
        Seconds; not-a-number where a cell is no clock time. A time of day is counted from the first row and
        runs on over midnight. None where fewer than half of the cells are clock times.
    """
    # A workbook gives a moment at midnight as a date alone.
    found = [
        _CLOCK.match(f"{text.strip()} 0:00:00" if _MIDNIGHT.match(text.strip()) else text.strip())
        for text in texts
    ]
    clocks = [place for place, match in enumerate(found) if match is not None]
    if 2 * len(clocks) < len(texts) or not clocks:
        return None
    seconds = np.full(len(texts), np.nan)
    days, before, date = 0, -np.inf, ""
    for place in clocks:
        match = found[place]
        if match is None:
            continue
        value = _seconds_of(match)
        printed = match["date"] or ""
        if date and printed:
            days += printed != date
        elif value < before - 0.5 * _DAY_S:
            days += 1
        before, date = value, printed
        seconds[place] = value + days * _DAY_S
    first = float(seconds[clocks[0]])
    return seconds - first if date or first > _SHOWN else seconds


def _seconds_of(match: re.Match[str]) -> float:
    hours = int(match["hours"] or 0)
    if match["half"]:
        hours = hours % 12 + (12 if match["half"].casefold().startswith("p") else 0)
    return 3600.0 * hours + 60.0 * int(match["minutes"]) + float(match["seconds"].replace(",", "."))


def is_too_coarse(seconds: NDArray[np.float64]) -> bool:
    """Tell whether so many rows share one clock time that the order within it is lost.

    Parameters
    ----------
    seconds : ndarray of float, shape (n,)
        Times as `read_clock` gives them.

    Returns
    -------
    bool
        True where more than a fifth of the rows have the time of the row before.
    """
    steps = np.diff(seconds[np.isfinite(seconds)])
    return bool(len(steps) and np.count_nonzero(steps == 0.0) > _SHARED * len(steps))
