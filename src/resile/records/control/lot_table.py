"""A table of lots as it was read: one row a result of a lot, with what stands beside it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from resile.records.reading import SourceFile


@dataclass(frozen=True, slots=True, kw_only=True)
class LotRow:
    """One row of a table of lots.

    Attributes
    ----------
    lot : str
        Lot or batch.
    taken : str
        Day (and time) of sampling; the number of the row where the table has no days.
    values : mapping of str to float
        Results by quantity, in the unit of the glossary; a quantity that was not tested is not in it.
    product, sample, tank, operator, instrument, number : str
        As printed; empty where not given. `number` is that of a load.
    outcome : str
        ``accepted``, ``not accepted``, ``open`` or empty.
    opened : str
        Day the lot began; empty where not given.
    quantity_t : float or None
        Mass [t].
    extra, added : bool
        True for an extra sample, and where product was added to the tank.
    place : str
        File and row.
    """

    lot: str
    taken: str
    values: Mapping[str, float] = field(default_factory=dict)
    product: str = ""
    sample: str = ""
    tank: str = ""
    operator: str = ""
    instrument: str = ""
    number: str = ""
    outcome: str = ""
    opened: str = ""
    quantity_t: float | None = None
    extra: bool = False
    added: bool = False
    place: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class LotTable:
    """A table of lots.

    Attributes
    ----------
    rows : tuple of LotRow
        In the order of the file.
    quantities : tuple of str
        Quantities that have a column, in its order.
    source : SourceFile
        The bytes it came from.
    notes : tuple of str
        What was taken, converted, and left.
    """

    rows: tuple[LotRow, ...]
    quantities: tuple[str, ...]
    source: SourceFile
    notes: tuple[str, ...] = ()
