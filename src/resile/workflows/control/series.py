"""From a table of production to one series in it, and what is watched there."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from resile.errors import InputError
from resile.readers.layout import Layout
from resile.readers.series.production import read_production_table
from resile.records.control.production import ProductionSeries, ProductionTable, WatchedProperty
from resile.records.determination import Condition
from resile.records.quantity import QUANTITIES
from resile.report.words import CONDITION_WORDS
from resile.specifications.watching import usual_residue, usual_scale


@dataclass(frozen=True, slots=True, kw_only=True)
class ProductionFile:
    """A table of production on disk, and how it is to be understood.

    Attributes
    ----------
    path : str or Path
        Separated text or a workbook.
    layout : Layout or None
        What is known of the file.
    date_order : str
        ``day-first`` or ``month-first``; found where empty.
    """

    path: str | Path
    layout: Layout | None = None
    date_order: str = ""

    def read(self, *, days_needed: bool = True) -> ProductionTable:
        """Read the table.

        Parameters
        ----------
        days_needed : bool
            False where the order of the rows does as well.
        """
        return read_production_table(
            Path(self.path), layout=self.layout, date_order=self.date_order, days_needed=days_needed
        )


def watched_property(
    quantity: str,
    *,
    product: str = "",
    condition: str = "",
    temperature_c: float | None = None,
    scale: str = "",
    at_most: float | None = None,
    at_least: float | None = None,
    target: float | None = None,
) -> WatchedProperty:
    """Give a property that is watched, as a person asks for it.

    Parameters
    ----------
    quantity : str
        Name from the glossary.
    product : str
        Name of the product.
    condition : str
        Residue; not stated where empty.
    temperature_c : float or None
        Test temperature [°C].
    scale : str
        ``log`` or ``linear``; the usual one of the property where empty.
    at_most, at_least : float or None
        Limit in the unit of the glossary; one of them at most.
    target : float or None
        What is aimed at, in the same unit.

    Returns
    -------
    WatchedProperty
        Property, scale, limit and target.

    Raises
    ------
    InputError
        Where the quantity, residue or scale is not known, both limits are given, or one is no number (above
        0 on a log scale).
    """
    known = QUANTITIES.get(quantity)
    if known is None:
        raise InputError(f"'{quantity}' is no property of the glossary; such as jnr_3.2 is needed")
    if at_most is not None and at_least is not None:
        raise InputError(f"{quantity}: one limit is needed, at most or at least; both were given")
    if scale not in ("", "log", "linear"):
        raise InputError(f"scale '{scale}' found; log or linear is needed")
    limit = at_most if at_most is not None else at_least
    chosen = scale or usual_scale(quantity)
    for name, value in (("limit", limit), ("target", target)):
        if value is not None and not (math.isfinite(value) and (value > 0.0 or chosen == "linear")):
            above = " above 0" if chosen == "log" else ""
            raise InputError(f"{name} {value:g} found; a number{above} is needed")
    return WatchedProperty(
        product=product,
        quantity=quantity,
        unit=known.unit,
        condition=residue_named(condition),
        temperature_c=temperature_c,
        scale=chosen,
        limit=limit,
        limit_is="at_most" if at_most is not None else "at_least" if at_least is not None else "",
        target=target,
    )


def residue_named(name: str) -> Condition:
    """Give a residue by its name.

    Parameters
    ----------
    name : str
        As in the glossary; not stated where empty.

    Raises
    ------
    InputError
        Where there is no such residue.
    """
    try:
        return Condition(name) if name else Condition.UNKNOWN
    except ValueError:
        names = ", ".join(str(one) for one in Condition if one is not Condition.UNKNOWN)
        raise InputError(f"residue '{name}' found; one of {names} is needed") from None


def with_usual_residue(watched: WatchedProperty) -> tuple[WatchedProperty, tuple[str, ...]]:
    """Take the usual residue of a property where none is stated, and say so.

    Parameters
    ----------
    watched : WatchedProperty
        As asked for, or as a table has it.

    Returns
    -------
    tuple of (WatchedProperty, tuple of str)
        With a residue; what was taken, in words.
    """
    if watched.condition is not Condition.UNKNOWN:
        return watched, ()
    taken = usual_residue(watched.quantity)
    words = CONDITION_WORDS[taken]
    return replace(watched, condition=taken), (f"residue not stated, taken as usual: {words}",)


def pick_series(table: ProductionTable, asked: WatchedProperty) -> ProductionSeries:
    """Give the one series of a table that is asked for.

    Parameters
    ----------
    table : ProductionTable
        As read.
    asked : WatchedProperty
        Its quantity; product, residue and temperature tell series apart where they are given. A series of
        which the table does not say them fits as well.

    Returns
    -------
    ProductionSeries
        The only one that fits, with what was asked for where the table does not say it.

    Raises
    ------
    InputError
        Where none fits, or several; the sentence names them.
    """
    named = [one for one in table.series if one.quantity == asked.quantity]
    if not named:
        known = ", ".join(dict.fromkeys(one.quantity for one in table.series))
        raise InputError(f"{table.source.path}: no column gives {asked.quantity}; the table has {known}")
    fitting = [one for one in named if _fits(one, asked)]
    if len(fitting) != 1:
        _refuse(table, asked, named, fitting)
    (found,) = fitting
    return replace(
        found,
        product=found.product or asked.product,
        condition=asked.condition if found.condition is Condition.UNKNOWN else found.condition,
        temperature_c=asked.temperature_c if found.temperature_c is None else found.temperature_c,
    )


def watched_in(series: ProductionSeries, asked: WatchedProperty) -> WatchedProperty:
    """Give what is watched in a series: scale, limit and target as asked for, the rest as it stands there.

    Parameters
    ----------
    series : ProductionSeries
        Of a table.
    asked : WatchedProperty
        As a person asks for it.
    """
    return replace(
        asked,
        product=series.product,
        unit=series.unit,
        condition=series.condition,
        temperature_c=series.temperature_c,
    )


def _fits(series: ProductionSeries, asked: WatchedProperty) -> bool:
    return (
        (not asked.product or not series.product or series.product.casefold() == asked.product.casefold())
        and (asked.condition is Condition.UNKNOWN or series.condition in (Condition.UNKNOWN, asked.condition))
        and (asked.temperature_c is None or series.temperature_c in (None, asked.temperature_c))
    )


def _refuse(
    table: ProductionTable,
    asked: WatchedProperty,
    named: Sequence[ProductionSeries],
    fitting: Sequence[ProductionSeries],
) -> None:
    shown = "; ".join(_series_words(one) for one in (fitting or named)[:6])
    if not fitting:
        raise InputError(
            f"{table.source.path}: no series of {asked.quantity} is as asked for; there are {shown}"
        )
    raise InputError(
        f"{table.source.path}: several series of {asked.quantity}: {shown}; say which by "
        "--product, --residue or --temperature"
    )


def _series_words(series: ProductionSeries) -> str:
    parts = [series.product or "product not stated", str(series.condition)]
    if series.temperature_c is not None:
        parts.append(f"{series.temperature_c:g} °C")
    return ", ".join(parts)
