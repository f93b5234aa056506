"""From a table of lots to what is watched: results of one property, samples with quick results, "
"outcomes, loads.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from pathlib import Path

from resile.errors import InputError
from resile.readers.series.lot_table import read_lot_table
from resile.records.control.lot_table import LotRow, LotTable
from resile.records.control.production import ProductionResult, WatchedProperty
from resile.records.control.sampling import Load, LotOutcome
from resile.records.control.surrogate import QuickProperty, QuickSample
from resile.records.determination import Condition
from resile.records.quantity import QUANTITIES

LOG_SCALE = (
    "jnr_0.1",
    "jnr_3.2",
    "complex_modulus",
    "rutting_parameter",
    "fatigue_parameter",
    "rotational_viscosity",
    "capillary_viscosity",
    "kinematic_viscosity",
    "creep_stiffness",
    "glover_rowe_parameter",
)
"""Properties that scatter by a factor, whose logarithm is watched where nothing else is asked for: common
practice, no source; a test of fit is shown beside."""
_AGED = ("jnr_0.1", "jnr_3.2", "percent_recovery_0.1", "percent_recovery_3.2", "mass_change_percent")


def watched_property(
    quantity: str,
    *,
    product: str = "",
    condition: str = "",
    temperature_c: float | None = None,
    scale: str = "",
    at_most: float | None = None,
    at_least: float | None = None,
) -> WatchedProperty:
    """Give a property that is watched.

    Parameters
    ----------
    quantity : str
        Name from the glossary.
    product : str
        Name of the product.
    condition : str
        Residue; where empty short-term aged for creep recovery, original for other tests.
    temperature_c : float or None
        Test temperature [°C].
    scale : str
        ``log`` or ``linear``; the usual one of the property where empty.
    at_most, at_least : float or None
        Limit in the unit of the glossary; one of them at most.

    Returns
    -------
    WatchedProperty
        Property, scale and limit.

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
    try:
        residue = Condition(condition or ("short_term_aged" if quantity in _AGED else "original"))
    except ValueError:
        names = ", ".join(str(one) for one in Condition)
        raise InputError(f"residue '{condition}' found; one of {names} is needed") from None
    limit = at_most if at_most is not None else at_least
    chosen = scale or ("log" if quantity in LOG_SCALE else "linear")
    if limit is not None and not (math.isfinite(limit) and (limit > 0.0 or chosen == "linear")):
        raise InputError(f"limit {limit:g} found; a number{' above 0' if chosen == 'log' else ''} is needed")
    return WatchedProperty(
        product=product,
        quantity=quantity,
        unit=known.unit,
        condition=residue,
        temperature_c=temperature_c,
        scale=chosen,
        limit=limit,
        limit_is="at_most" if at_most is not None else "at_least" if at_least is not None else "",
    )


def read_lots(path: str | Path, *, product: str = "", quantity: str = "") -> tuple[LotTable, str]:
    """Read a table of lots of one product.

    Parameters
    ----------
    path : str or Path
        The table.
    product : str
        Rows of this product alone, where the table holds several.
    quantity : str
        A quantity that must have a column; any where empty.

    Returns
    -------
    tuple of (LotTable, str)
        The rows of the product, and its name; empty where neither table nor caller names one.

    Raises
    ------
    ResileError
        Where the file cannot be read, holds several products and none is named, or lacks the quantity.
    """
    table = read_lot_table(Path(path))
    if quantity and quantity not in table.quantities:
        raise InputError(
            f"{path}: no column of {quantity}; found are {', '.join(table.quantities) or 'no results'}"
        )
    names = list(dict.fromkeys(row.product for row in table.rows if row.product))
    if product and names and product not in names:
        raise InputError(f"{path}: no row of product '{product}'; found are {', '.join(names)}")
    if not product and len(names) > 1:
        raise InputError(f"{path}: several products ({', '.join(names)}); name one of them")
    chosen = product or (names[0] if names else "")
    rows = tuple(row for row in table.rows if not names or row.product == chosen)
    kept = LotTable(rows=rows, quantities=table.quantities, source=table.source, notes=table.notes)
    return kept, chosen


def results_of_lots(rows: Sequence[LotRow], quantity: str) -> tuple[ProductionResult, ...]:
    """Give the results of one property.

    Parameters
    ----------
    rows : sequence of LotRow
        Of one product; rows without the quantity are passed over.
    quantity : str
        Name from the glossary.

    Returns
    -------
    tuple of ProductionResult
        In the order of the table.
    """
    return tuple(
        ProductionResult(
            key=row.place,
            lot=row.lot,
            taken=row.taken,
            value=row.values[quantity],
            sample=row.sample,
            tank=row.tank,
            operator=row.operator,
            instrument=row.instrument,
            place=row.place,
        )
        for row in rows
        if quantity in row.values
    )


def quick_samples_of_lots(
    rows: Sequence[LotRow], slow: QuickProperty, properties: Sequence[QuickProperty]
) -> tuple[tuple[QuickSample, ...], tuple[str, ...]]:
    """Give samples with their quick results, and the lots that lack one.

    Parameters
    ----------
    rows : sequence of LotRow
        Of one product.
    slow : QuickProperty
        What is predicted.
    properties : sequence of QuickProperty
        What it is predicted from.

    Returns
    -------
    tuple of (tuple of QuickSample, tuple of str)
        Rows with every quick result; lots of the others.
    """
    wanted = [one.watched.quantity for one in properties]
    whole = [row for row in rows if all(name in row.values for name in wanted)]
    samples = tuple(
        QuickSample(
            lot=row.lot,
            taken=row.taken,
            quick=tuple(row.values[name] for name in wanted),
            slow=row.values.get(slow.watched.quantity),
            place=row.place,
        )
        for row in whole
    )
    return samples, tuple(dict.fromkeys(row.lot for row in rows if row not in whole))


def outcomes_of_lots(rows: Sequence[LotRow]) -> tuple[LotOutcome, ...]:
    """Give what became of each lot.

    Parameters
    ----------
    rows : sequence of LotRow
        In the order of production.

    Returns
    -------
    tuple of LotOutcome
        In the same order.
    """
    return tuple(
        LotOutcome(
            lot=row.lot,
            outcome=row.outcome,
            opened=row.opened or (row.taken if "-" in row.taken else ""),
            taken=row.taken if "-" in row.taken else "",
            tank=row.tank,
            quantity_t=row.quantity_t,
            extra=row.extra,
        )
        for row in rows
    )


def read_loads(path: str | Path) -> tuple[Load, ...]:
    """Read a list of loads: number, day, mass, perhaps tank, and whether product was added before.

    Parameters
    ----------
    path : str or Path
        The list.

    Returns
    -------
    tuple of Load
        In the order of the file.

    Raises
    ------
    ResileError
        Where the file cannot be read, or a load has no mass or day.
    """
    loads = []
    for row in read_lot_table(Path(path), needs_lot=False).rows:
        if row.quantity_t is None or "-" not in row.taken:
            raise InputError(f"{row.place}: a load needs its mass [t] and its day")
        loads.append(
            Load(
                number=row.number,
                sent=row.taken,
                quantity_t=row.quantity_t,
                tank=row.tank,
                added=row.added,
            )
        )
    return tuple(loads)
