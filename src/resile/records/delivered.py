"""Loads as a table of an office or a weighbridge lists them, before they are looked up in the record."""

from __future__ import annotations

from dataclasses import dataclass

from resile.records.reading import SourceFile


@dataclass(frozen=True, slots=True, kw_only=True)
class LoadRow:
    """One load paper in a table.

    Attributes
    ----------
    place : str
        Line of the file, or sheet and row.
    number, sent : str
        Number of the load paper; day or time of loading, ISO 8601.
    product, grade, lot, tank, customer, certificate, plant, note : str
        As printed; empty where the table does not say.
    quantity_t : float or None
        Mass [t].
    """

    place: str
    number: str
    sent: str
    product: str = ""
    grade: str = ""
    lot: str = ""
    tank: str = ""
    customer: str = ""
    certificate: str = ""
    plant: str = ""
    note: str = ""
    quantity_t: float | None = None


@dataclass(frozen=True, slots=True)
class LoadTable:
    """A table of loads.

    Attributes
    ----------
    rows : tuple of LoadRow
        In the order of the file.
    source : SourceFile
        The bytes they came from.
    unused : tuple of str
        Headings that are not known.
    """

    rows: tuple[LoadRow, ...]
    source: SourceFile
    unused: tuple[str, ...] = ()
