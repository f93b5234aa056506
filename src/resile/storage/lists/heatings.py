"""Lists of heatings: what is in the oven, and whether a sample was ever heated."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy import select

from resile.storage.reading import Reading
from resile.storage.shelves import BY_KIND

_HEATING = BY_KIND["heating"].table
_CAN = BY_KIND["can"].table
_SAMPLE = BY_KIND["sample"].table


@dataclass(frozen=True, slots=True)
class OpenHeating:
    """A can that is in the oven.

    Attributes
    ----------
    key, can, sample : str
        Keys of the heating, the can and the sample.
    name, number : str
        What is written on the can; number of the sample.
    started : str
        When it went in.
    """

    key: str
    can: str
    sample: str
    name: str
    number: str
    started: str


def open_heatings(reading: Reading, *, limit: int) -> list[OpenHeating]:
    """List the cans in the oven, the longest there first.

    Parameters
    ----------
    reading : Reading
        Where to look.
    limit : int
        How many.
    """
    query = (
        select(
            _HEATING.c.key,
            _HEATING.c.can,
            _HEATING.c.sample,
            _CAN.c.name,
            _SAMPLE.c.number,
            _HEATING.c.started,
        )
        .join(_CAN, _CAN.c.key == _HEATING.c.can)
        .join(_SAMPLE, _SAMPLE.c.key == _HEATING.c.sample)
        .where(_HEATING.c.open.is_(True))
        .order_by(_HEATING.c.started)
        .limit(limit)
    )
    return [OpenHeating(**row._mapping) for row in reading.rows(query)]


def was_heated(reading: Reading, sample: str) -> bool:
    """Tell whether any can of a sample was heated.

    Parameters
    ----------
    reading : Reading
        Where to look.
    sample : str
        Key of the sample.
    """
    return bool(reading.rows(select(_HEATING.c.key).where(_HEATING.c.sample == sample).limit(1)))
