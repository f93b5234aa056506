"""The fewest products that serve every demand, and the cheapest set of products: mixed-integer programs.

Use `fewest_products` for the smallest number, `cheapest_products` for the least cost with a cost of keeping a
product or a largest number of them. Solved by HiGHS through `scipy.optimize.milp`; no search of our own.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from resile.errors import MeasurementError
from resile.records.product_set import ProductSet

Floats = NDArray[np.float64]
Booleans = NDArray[np.bool_]

TIME_LIMIT_S = 10.0
_TAKEN = 0.5


def fewest_products(serves: ArrayLike, *, time_limit_s: float = TIME_LIMIT_S) -> ProductSet:
    """Find the smallest number of products that serve every demand that can be served.

    Parameters
    ----------
    serves : array_like of bool, shape (b, d)
        Whether product b serves demand d.
    time_limit_s : float
        The solver stops after this time and tells how far from proven its set is [s].

    Returns
    -------
    ProductSet
        Products chosen; a demand that no product serves is named, not counted.

    Raises
    ------
    MeasurementError
        Where the table is empty, or no set was found in time.

    Notes
    -----
    Set cover: minimise the sum of ``x_b`` (0 or 1) with ``sum_b serves[b, d] x_b >= 1`` for every demand.
    Equal rows of demands are one row. Textbook of integer programming; Karp (1972) for its hardness.
    """
    table = _table(serves)
    served: Booleans = np.asarray(table.any(axis=0))
    rows = np.unique(table[:, served].T, axis=0).astype(float)
    if not rows.size:
        return ProductSet((), tuple(_places(~served)), (), 0.0, 0.0, True)
    found, gap, proven = _solve(np.ones(table.shape[0]), [(rows, 1.0, np.inf)], time_limit_s)
    chosen = np.flatnonzero(found > _TAKEN)
    return ProductSet(
        tuple(int(b) for b in chosen), tuple(_places(~served)), (), float(chosen.size), gap, proven
    )


def cheapest_products(
    serves: ArrayLike,
    price: ArrayLike,
    amount: ArrayLike,
    *,
    keeping_cost: float = 0.0,
    most_products: int | None = None,
    uses: ArrayLike | None = None,
    stock: ArrayLike | None = None,
    time_limit_s: float = TIME_LIMIT_S,
) -> ProductSet:
    """Find the set of products, and who gets which, of the least cost.

    Parameters
    ----------
    serves : array_like of bool, shape (b, d)
        Whether product b serves demand d.
    price : array_like of float, shape (b,)
        Price per tonne, finite.
    amount : array_like of float, shape (d,)
        Tonnes that each demand takes [t].
    keeping_cost : float
        Cost of keeping one product, in the currency of the prices.
    most_products : int, optional
        At most so many.
    uses : array_like of float, shape (b, k), optional
        How much of each scarce material a tonne of each product takes.
    stock : array_like of float, shape (k,), optional
        How much of each there is; needed with `uses`, infinite where there is enough.
    time_limit_s : float
        As in `fewest_products` [s].

    Returns
    -------
    ProductSet
        Products, and the product of each demand.

    Raises
    ------
    MeasurementError
        Where shapes do not fit, a number cannot be used, or no set was found.

    Notes
    -----
    Minimise ``sum_b K x_b + sum_bd price_b amount_d y_bd`` with ``sum_b y_bd = 1`` for every demand that can
    be served, ``y_bd <= x_b``, x 0 or 1. The y need not be forced to 0 or 1: with the products fixed, the
    cheapest one serves. Only with a stock they are, as no demand is parted:
    ``sum_bd uses_bk amount_d y_bd <= stock_k``.
    """
    table = _table(serves)
    cost, tonnes = np.asarray(price, dtype=float), np.asarray(amount, dtype=float)
    if cost.shape != table.shape[:1] or tonnes.shape != table.shape[1:]:
        raise MeasurementError("products: needed are one price a product and one amount a demand")
    if not np.isfinite(cost).all() or not np.isfinite(tonnes).all() or np.any(tonnes < 0.0):
        raise MeasurementError("products: prices and amounts must be finite numbers, amounts not below zero")
    served: Booleans = np.asarray(table.any(axis=0))
    pairs = np.argwhere(table[:, served])
    products, demands = table.shape[0], int(served.sum())
    if not demands:
        return ProductSet((), tuple(_places(~served)), (), 0.0, 0.0, True)
    value = np.concatenate(
        [np.full(products, float(keeping_cost)), cost[pairs[:, 0]] * tonnes[served][pairs[:, 1]]]
    )
    rows = _assignment(pairs, products, demands, most_products)
    scarce = _scarce(pairs, tonnes[served], products, uses, stock)
    found, gap, proven = _solve(
        value, [*rows, *scarce], time_limit_s, whole=value.size if scarce else products
    )
    share = found[products:]
    product_of = np.full(table.shape[1], -1)
    places = np.flatnonzero(served)
    for place in np.argsort(share, kind="stable"):  # the largest share is written last, and stays
        product_of[places[pairs[place, 1]]] = pairs[place, 0]
    chosen = np.unique(product_of[served])
    total = float(keeping_cost * chosen.size + np.sum(cost[product_of[served]] * tonnes[served]))
    return ProductSet(
        tuple(int(b) for b in chosen),
        tuple(_places(~served)),
        tuple(int(b) for b in product_of),
        total,
        gap,
        proven,
    )


def _assignment(
    pairs: NDArray[np.int64], products: int, demands: int, most: int | None
) -> list[tuple[Any, Any, Any]]:
    """Give the constraints of an assignment as sparse matrices with their lower and upper bounds."""
    from scipy import sparse

    count = len(pairs)
    places = np.arange(count)
    each = sparse.csr_array(
        (np.ones(count), (pairs[:, 1], products + places)), shape=(demands, products + count)
    )
    linked = sparse.csr_array(
        (
            np.concatenate([np.ones(count), -np.ones(count)]),
            (np.concatenate([places, places]), np.concatenate([products + places, pairs[:, 0]])),
        ),
        shape=(count, products + count),
    )
    rows: list[tuple[Any, Any, Any]] = [(each, 1.0, 1.0), (linked, -np.inf, 0.0)]
    if most is not None:
        counted = np.concatenate([np.ones(products), np.zeros(count)])[None, :]
        rows.append((counted, 0.0, float(most)))
    return rows


def _scarce(
    pairs: NDArray[np.int64],
    tonnes: Floats,
    products: int,
    uses: ArrayLike | None,
    stock: ArrayLike | None,
) -> list[tuple[Any, Any, Any]]:
    """Give the constraints of the materials that are scarce."""
    if uses is None:
        return []
    taken, there = np.asarray(uses, dtype=float), np.asarray(stock if stock is not None else (), dtype=float)
    if taken.shape != (products, there.size) or np.any(taken < 0.0) or np.isnan(there).any():
        raise MeasurementError("products: needed is one use a product and one stock for each scarce material")
    limited = np.isfinite(there)
    if not limited.any():
        return []
    per_pair = (taken[pairs[:, 0]] * tonnes[pairs[:, 1], None])[:, limited].T
    return [
        (np.concatenate([np.zeros((len(per_pair), products)), per_pair], axis=1), -np.inf, there[limited])
    ]


def _solve(
    value: Floats, rows: list[tuple[Any, Any, Any]], time_limit_s: float, whole: int | None = None
) -> tuple[Floats, float, bool]:
    """Solve; give the values, the gap to the proven bound, and whether the optimum is proven."""
    from scipy.optimize import Bounds, LinearConstraint, milp

    integral = np.zeros(value.size, dtype=np.int64)
    integral[: value.size if whole is None else whole] = 1
    answer = milp(
        value,
        constraints=[LinearConstraint(*row) for row in rows],
        integrality=integral,
        bounds=Bounds(0.0, 1.0),
        options={"time_limit": time_limit_s, "mip_rel_gap": 0.0},
    )
    if answer.x is None:
        raise MeasurementError(
            f"products: no set was found ({answer.message.rstrip('.')}); allow more products, or more time"
        )
    gap = float(answer.mip_gap) if answer.mip_gap is not None else 0.0
    return np.asarray(answer.x, dtype=float), gap, bool(answer.status == 0)


def _table(serves: ArrayLike) -> Booleans:
    table = np.asarray(serves, dtype=bool)
    if table.ndim != 2 or not table.shape[0]:
        raise MeasurementError(
            "products: needed is a table of products by demands, with one product at least"
        )
    return table


def _places(which: Booleans) -> list[int]:
    return [int(place) for place in np.flatnonzero(which)]
