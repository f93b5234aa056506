"""Lists of the roads that the laboratory knows, without the bodies of their demands."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from sqlalchemy import func, select

from resile.storage.reading import Reading
from resile.storage.shelves import BY_KIND

_SITE = BY_KIND["site"].table
_A_QUERY = 500
"""SQLite and PostgreSQL both bound the number of parameters."""


@dataclass(frozen=True, slots=True)
class SiteRow:
    """One road of a list.

    Attributes
    ----------
    key, name, customer : str
        Its key, its name, key of the customer who asked.
    grade, specification : str
        Grade needed, and the specification it is one of; an empty grade where none reaches.
    latitude_deg, longitude_deg : float or None
        Place [°].
    amount_t : float or None
        Binder it takes [t].
    high_design_c, low_design_c : float or None
        Pavement temperatures that are to be covered [°C].
    invented : bool
        True for a road of the demonstration.
    """

    key: str
    name: str
    customer: str
    grade: str
    specification: str
    latitude_deg: float | None
    longitude_deg: float | None
    amount_t: float | None
    high_design_c: float | None
    low_design_c: float | None
    invented: bool


_COLUMNS = [_SITE.c[name] for name in SiteRow.__slots__]


def site_rows(reading: Reading, *, customer: str = "", keys: Sequence[str] | None = None) -> list[SiteRow]:
    """Give roads by name.

    Parameters
    ----------
    reading : Reading
        The record.
    customer : str
        Key of the one customer whose roads are given; empty for all.
    keys : sequence of str, optional
        The roads wanted; all where not given. One that the record does not hold is left out.

    Returns
    -------
    list of SiteRow
        Sorted by name.
    """
    query = select(*_COLUMNS).order_by(_SITE.c.name, _SITE.c.key)
    if customer:
        query = query.where(_SITE.c.customer == customer)
    if keys is None:
        return [SiteRow(**row._mapping) for row in reading.rows(query)]
    found: list[SiteRow] = []
    for start in range(0, len(keys), _A_QUERY):
        part = query.where(_SITE.c.key.in_(keys[start : start + _A_QUERY]))
        found += [SiteRow(**row._mapping) for row in reading.rows(part)]
    return sorted(found, key=lambda row: (row.name, row.key))


def count_sites(reading: Reading, *, customer: str = "") -> int:
    """Count the roads that the record holds, of one customer or of all."""
    query = select(func.count()).select_from(_SITE)
    if customer:
        query = query.where(_SITE.c.customer == customer)
    return int(reading.rows(query)[0][0])
