"""Lists of lots and loads, as sampling plans take them."""

from __future__ import annotations

from pathlib import Path

from resile.errors import InputError
from resile.readers.series.lot_list import read_lot_list
from resile.records.control.lot_list import LotList
from resile.records.control.sampling import Load, LotOutcome


def read_outcomes(path: str | Path, *, product: str = "") -> tuple[tuple[LotOutcome, ...], LotList, str]:
    """Read what became of each lot of one product.

    Parameters
    ----------
    path : str or Path
        The list, in the order of production.
    product : str
        Rows of this product alone, where the list holds several.

    Returns
    -------
    tuple of (tuple of LotOutcome, LotList, str)
        In the order of the list; the list; the product, empty where neither list nor caller names one.

    Raises
    ------
    ResileError
        Where the file cannot be read, or holds several products and none of them is named.
    """
    found = read_lot_list(Path(path))
    names = list(dict.fromkeys(row.product for row in found.rows if row.product))
    fitting = [name for name in names if name.casefold() == product.casefold()]
    if product and names and not fitting:
        raise InputError(f"{path}: no row of product '{product}'; found are {', '.join(names)}")
    if not product and len(names) > 1:
        raise InputError(f"{path}: several products ({', '.join(names)}); name one of them by --product")
    chosen = fitting[0] if fitting else product or (names[0] if names else "")
    outcomes = tuple(
        LotOutcome(
            lot=row.lot,
            outcome=row.outcome,
            opened=row.opened or row.taken,
            taken=row.taken,
            tank=row.tank,
            quantity_t=row.quantity_t,
            extra=row.extra,
        )
        for row in found.rows
        if not names or row.product == chosen
    )
    return outcomes, found, chosen


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
    for row in read_lot_list(Path(path), of_loads=True).rows:
        if row.quantity_t is None or not row.taken:
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
