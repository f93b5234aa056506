"""Results of a product over time, and the property that is watched in them."""

from __future__ import annotations

from dataclasses import dataclass

from resile.records.determination import Condition
from resile.records.finding import Finding
from resile.records.reading import ReadingAccount, SourceFile


@dataclass(frozen=True, slots=True, kw_only=True)
class ProductionResult:
    """One result of a lot of production; several with one lot are its replicates.

    Attributes
    ----------
    key : str
        What the result is called where it is kept: key in the record, or file and row.
    lot : str
        Lot or batch.
    taken : str
        Day (and time) of sampling, as text that sorts: ``2026-04-01`` or ``2026-04-01T06:30``.
    value : float
        The result, in the unit of the glossary.
    sample, tank, operator, instrument : str
        Where it comes from; empty where not known.
    stamp : str
        A doubt that stands on the result, such as an overdue check of the instrument; empty without one.
    place : str
        File and row, or page, where the result can be looked up.
    """

    key: str
    lot: str
    taken: str
    value: float
    sample: str = ""
    tank: str = ""
    operator: str = ""
    instrument: str = ""
    stamp: str = ""
    place: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class WatchedProperty:
    """A property of a product that is watched.

    Attributes
    ----------
    product : str
        Name or key of the product.
    quantity : str
        Name from the glossary.
    unit : str
        Unit of the quantity as written for a person; empty for a ratio.
    condition : Condition
        Residue that is tested.
    temperature_c : float or None
        Test temperature [°C]; None where the property has none.
    scale : str
        ``log`` where the decadic logarithm is watched (Jnr), ``linear`` otherwise.
    limit : float or None
        Limit of the specification, in the unit of the quantity.
    limit_is : str
        ``at_most`` or ``at_least``; empty without a limit.
    target : float or None
        What production aims at, in the unit of the quantity; None for the mean of the set-up.
    """

    product: str
    quantity: str
    unit: str
    condition: Condition
    temperature_c: float | None = None
    scale: str = "linear"
    limit: float | None = None
    limit_is: str = ""
    target: float | None = None

    def __post_init__(self) -> None:
        """Check the words that decide how the values are read."""
        if self.scale not in ("linear", "log"):
            raise ValueError(f"scale: {self.scale!r} is not one of linear, log")
        if self.limit_is not in ("", "at_most", "at_least"):
            raise ValueError(f"limit_is: {self.limit_is!r} is not one of at_most, at_least")


@dataclass(frozen=True, slots=True, kw_only=True)
class ProductionSeries:
    """The results of one property of one product in a table.

    Attributes
    ----------
    product : str
        As printed; empty where the table names none.
    quantity, unit : str
        Name from the glossary, and its unit.
    condition : Condition
        Residue that was tested.
    temperature_c : float or None
        Test temperature [°C].
    results : tuple of ProductionResult
        In the order of the table.
    """

    product: str
    quantity: str
    unit: str
    condition: Condition
    temperature_c: float | None
    results: tuple[ProductionResult, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ProductionTable:
    """A table of production.

    Attributes
    ----------
    series : tuple of ProductionSeries
        One for each product, property, residue and temperature.
    source : SourceFile
        The file.
    account : ReadingAccount
        How it was understood; rows that were not used, with the reason.
    findings : tuple of Finding
        Doubts about the rows.
    """

    series: tuple[ProductionSeries, ...]
    source: SourceFile
    account: ReadingAccount
    findings: tuple[Finding, ...] = ()
