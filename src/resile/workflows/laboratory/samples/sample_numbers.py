"""Numbers for samples that come without one, and for statements: the next by the laboratory's scheme."""

from __future__ import annotations

import re
from collections.abc import Callable

from resile.errors import InputError
from resile.records.register import Sample, Statement
from resile.storage.lists.samples import numbers_beginning, statement_numbers_beginning
from resile.storage.reading import Reading
from resile.workflows.laboratory.bench.house import settings_in_force

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
    scheme = settings_in_force(reading).sample_numbers
    return _next(scheme, at, "sample_numbers", lambda before: numbers_beginning(reading, before))


def next_statement_number(reading: Reading, at: str, sample: str) -> str:
    """Give the next number of a statement: by the laboratory's scheme, or that of the sample and a count.

    Parameters
    ----------
    reading : Reading
        The record.
    at : str
        When it is written, ISO 8601: its year counts.
    sample : str
        Key of the sample that it is on.

    Raises
    ------
    InputError
        The scheme has no place for the count.
    """
    by_scheme = next_statement_by_scheme(reading, at)
    if by_scheme:
        return by_scheme
    number = reading.get(Sample, sample).value.number
    return f"{number}-{reading.count(Statement, sample=sample) + 1}"


def next_statement_by_scheme(reading: Reading, at: str) -> str:
    """Give the next number of a statement by the laboratory's scheme; empty where it has none.

    Parameters
    ----------
    reading, at
        As in `next_statement_number`.
    """
    scheme = settings_in_force(reading).statement_numbers
    if not scheme:
        return ""
    return _next(scheme, at, "statement_numbers", lambda before: statement_numbers_beginning(reading, before))


def check_scheme(scheme: str, setting: str) -> re.Match[str]:
    """Find the place of the count in a scheme.

    Parameters
    ----------
    scheme : str
        As settled, for example ``YYYY-NNNN``.
    setting : str
        Name of the setting, for the message.

    Raises
    ------
    InputError
        It has no place for the count, or several.
    """
    counts = list(_COUNT.finditer(scheme))
    if len(counts) != 1:
        raise InputError(
            f"setting '{setting}': '{scheme}' is no scheme; one row of N for the count is needed, "
            "for example YYYY-NNNN"
        )
    return counts[0]


def _next(scheme: str, at: str, setting: str, taken: Callable[[str], list[str]]) -> str:
    count = check_scheme(scheme, setting)
    width = len(count[0])
    before, after = (_with_year(part, at) for part in (scheme[: count.start()], scheme[count.end() :]))
    fitting = re.compile(re.escape(before) + r"(\d+)" + re.escape(after))
    found = (fitting.fullmatch(number) for number in taken(before))
    highest = max((int(match[1]) for match in found if match), default=0)
    return f"{before}{highest + 1:0{width}d}{after}"


def _with_year(text: str, at: str) -> str:
    return text.replace("YYYY", at[:4]).replace("YY", at[2:4])
