"""A list of lots, or of loads, as it was read: what became of each, not what was measured."""

from __future__ import annotations

from dataclasses import dataclass

from resile.records.reading import SourceFile


@dataclass(frozen=True, slots=True, kw_only=True)
class ListedLot:
    """One row of a list of lots or loads.

    Attributes
    ----------
    lot : str
        Lot or batch; empty for a load that belongs to none yet.
    taken, opened : str
        Day (and time) of sampling, and day the lot began; empty where not given.
    product, tank, number : str
        As printed; empty where not given. `number` is that of a load.
    outcome : str
        ``accepted``, ``not accepted``, ``open`` or empty.
    quantity_t : float or None
        Mass [t].
    extra, added : bool
        True for an extra sample, and where product was added to the tank.
    place : str
        File and row.
    """

    lot: str
    taken: str = ""
    opened: str = ""
    product: str = ""
    tank: str = ""
    number: str = ""
    outcome: str = ""
    quantity_t: float | None = None
    extra: bool = False
    added: bool = False
    place: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class LotList:
    """A list of lots or loads.

    Attributes
    ----------
    rows : tuple of ListedLot
        In the order of the file.
    source : SourceFile
        The bytes it came from.
    notes : tuple of str
        What was taken, and left.
    """

    rows: tuple[ListedLot, ...]
    source: SourceFile
    notes: tuple[str, ...] = ()
