"""Numbers for samples that come without one: the next by the laboratory's scheme."""

from __future__ import annotations

import re

from resile.errors import InputError
from resile.records.register import LaboratorySettings
from resile.storage.lists.samples import numbers_beginning
from resile.storage.reading import Reading

_COUNT = re.compile(r"N+")


def next_number(reading: Reading, at: str) -> str:
    """Give the next free number.

    Parameters
    ----------
    reading : Reading
        The record; inside a writing transaction nobody else can take the number in between.
    at : str
        When the sample came, ISO 8601: its year counts.

    Returns
    -------
    str
        One above the highest number of the scheme in this year.

    Raises
    ------
    InputError
        The scheme has no place for the count.
    """
    kept = reading.find(LaboratorySettings, limit=1)
    scheme = kept[0].value.sample_numbers if kept else LaboratorySettings().sample_numbers
    counts = list(_COUNT.finditer(scheme))
    if len(counts) != 1:
        raise InputError(
            f"setting 'sample_numbers': '{scheme}' is no scheme; one row of N for the count is needed, "
            "for example YYYY-NNNN"
        )
    width = len(counts[0][0])
    before, after = (
        _with_year(part, at) for part in (scheme[: counts[0].start()], scheme[counts[0].end() :])
    )
    fitting = re.compile(re.escape(before) + r"(\d+)" + re.escape(after))
    found = (fitting.fullmatch(number) for number in numbers_beginning(reading, before))
    highest = max((int(match[1]) for match in found if match), default=0)
    return f"{before}{highest + 1:0{width}d}{after}"


def _with_year(text: str, at: str) -> str:
    return text.replace("YYYY", at[:4]).replace("YY", at[2:4])
