"""Days as people write them into the forms of the laboratory."""

from __future__ import annotations

from datetime import date

from resile.errors import InputError


def day_of(text: str, what: str) -> date:
    """Read the day of a day or time.

    Parameters
    ----------
    text : str
        ISO 8601; of a time, its day counts.
    what : str
        What it is, in words.

    Raises
    ------
    InputError
        Where it is none.
    """
    try:
        return date.fromisoformat(text.strip()[:10])
    except ValueError:
        raise InputError(f"{what}: '{text}' is no day; needed: year-month-day, such as 2026-03-02") from None
