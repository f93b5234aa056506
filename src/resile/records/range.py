"""The binders a laboratory or a supplier can offer: name, price, stock, and what was tested on them."""

from __future__ import annotations

from dataclasses import dataclass

from resile.records.determination import Determination
from resile.records.finding import Finding
from resile.records.reading import SourceFile
from resile.records.temperature_line import SlopePrior


@dataclass(frozen=True, slots=True)
class Binder:
    """One product of the range.

    Attributes
    ----------
    name : str
        Name of the product.
    kind : str
        Kind of binder, which decides what is known beforehand of its change with temperature: ``unmodified``,
        ``sbs-modified`` or ``unknown``; empty where not stated.
    price_per_tonne : float or None
        In the currency of the range; None where not stated: it then stands behind those with a price.
    stock_t : float or None
        Tonnes at hand [t]; None where not stated. With 0 it cannot be had.
    remark : str
        A sentence shown with it.
    determinations : tuple of Determination
        Its test results.
    """

    name: str
    kind: str = ""
    price_per_tonne: float | None = None
    stock_t: float | None = None
    remark: str = ""
    determinations: tuple[Determination, ...] = ()


@dataclass(frozen=True, slots=True)
class BinderRange:
    """The binders among which is chosen.

    Attributes
    ----------
    title : str
        Name of the range.
    currency : str
        Currency of its prices, as written.
    binders : tuple of Binder
        In the order of the file; names differ.
    sources : tuple of SourceFile
        The list itself, and every file of results.
    remarks : tuple of str
        How it was read.
    findings : tuple of Finding
        Rows that could not be used.
    """

    title: str
    currency: str
    binders: tuple[Binder, ...]
    sources: tuple[SourceFile, ...] = ()
    remarks: tuple[str, ...] = ()
    findings: tuple[Finding, ...] = ()


@dataclass(frozen=True, slots=True)
class TemperatureHabit:
    """How one property changes with temperature, as far as it is known beforehand.

    Attributes
    ----------
    quantity : str
        Name from the glossary.
    scale : str
        ``"logarithm"`` or ``"value"``: which of them is a straight line against temperature.
    worse_when : str
        ``"hotter"`` or ``"colder"``: where the property moves towards its limit; empty where not known.
    spread : float
        Standard deviation of one result where none is known: as natural logarithm, or in the unit.
    reach_c : float
        How far beyond the tested temperatures the line is drawn at most [°C].
    slope : SlopePrior
        What stands in for a second temperature where the kind of binder has no published slope of its own.
    source : str
        Where it comes from, with its evidence mark.
    """

    quantity: str
    scale: str
    worse_when: str
    spread: float
    reach_c: float
    slope: SlopePrior
    source: str
