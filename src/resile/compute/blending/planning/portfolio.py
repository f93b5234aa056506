"""Few base stocks to many grades: which recipes to keep, who gets which, and when an additive pays."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike, NDArray

from resile.compute.choice.product_set import cheapest_products
from resile.errors import MeasurementError
from resile.records.blending.portfolio import TankPlan

Floats = NDArray[np.float64]


def plan_tanks(
    serves: ArrayLike,
    cost_per_tonne: ArrayLike,
    amounts_t: ArrayLike,
    *,
    tanks: int | None = None,
    keeping_cost: float = 0.0,
    change_cost: float = 0.0,
    most_recipes: int | None = None,
    uses: ArrayLike | None = None,
    stock_t: ArrayLike | None = None,
) -> tuple[TankPlan, ...]:
    """Give the cheapest plan for each number of recipes.

    Parameters
    ----------
    serves : array_like of bool, shape (b, d)
        Whether recipe b serves demand d.
    cost_per_tonne : array_like of float, shape (b,)
        Cost of each recipe.
    amounts_t : array_like of float, shape (d,)
        Tonnes of each demand [t].
    tanks : int, optional
        Tanks that there are; each recipe beyond them needs a tank to be changed over. None for enough.
    keeping_cost : float
        Cost of keeping one recipe.
    change_cost : float
        Cost of one change of a tank.
    most_recipes : int, optional
        Largest number of recipes looked at; as many as there are demands where left out.
    uses : array_like of float, shape (b, k), optional
        Share of each scarce component in each recipe, as ratios.
    stock_t : array_like of float, shape (k,), optional
        Tonnes of it at hand [t]; infinite where there is enough.

    Returns
    -------
    tuple of TankPlan
        The cheapest of all first, then by the number of recipes; a number that cannot serve all is left out.

    Raises
    ------
    MeasurementError
        Where shapes do not fit, or stock and number of recipes leave no plan.

    Notes
    -----
    A mixed-integer program for each number n of recipes (`cheapest_products`, HiGHS); the total is
    ``blend cost + keeping_cost n + change_cost max(0, n - tanks)``.
    """
    table = np.asarray(serves, dtype=bool)
    if tanks is not None and tanks < 1:
        raise MeasurementError(f"{tanks} tanks: needed is one at least")
    demands = int(table.any(axis=0).sum()) if table.ndim == 2 else 0
    most = max(min(most_recipes or demands, demands), 1)
    plans: dict[int, TankPlan] = {}
    for number in range(1, most + 1):
        try:
            found = cheapest_products(
                table, cost_per_tonne, amounts_t, most_products=number, uses=uses, stock=stock_t
            )
        except MeasurementError:
            continue
        count = len(found.products)
        changes = max(0, count - tanks) if tanks is not None else 0
        total = found.total + keeping_cost * count + change_cost * changes
        if count not in plans or total < plans[count].total_cost - 1e-9:
            plans[count] = TankPlan(
                found.products, found.product_of, found.unserved, found.total, total, changes, found.proven
            )
    if not plans:
        raise MeasurementError(
            f"portfolio: no plan of at most {most} recipe{'s' * (most != 1)} serves the demand within the "
            "stocks; needed are more recipes, more stock or less demand"
        )
    best = min(plans.values(), key=lambda plan: (plan.total_cost, len(plan.recipes)))
    return (best, *(plans[count] for count in sorted(plans) if plans[count] is not best))


def least_stock(serves: ArrayLike, amounts_t: ArrayLike, uses: ArrayLike) -> Floats:
    """Give how much of each component the demands need at least, whatever recipe serves each.

    Parameters
    ----------
    serves : array_like of bool, shape (b, d)
        Whether recipe b serves demand d.
    amounts_t : array_like of float, shape (d,)
        Tonnes of each demand [t].
    uses : array_like of float, shape (b, k)
        Share of each component in each recipe, as ratios.

    Returns
    -------
    ndarray of float, shape (k,)
        Tonnes [t]; a demand that no recipe serves takes nothing.

    Notes
    -----
    ``sum_d amount_d min_b uses_bk`` over the recipes b that serve demand d: for each component by itself.

    Examples
    --------
    >>> least_stock([[True], [True]], [100.0], [[0.8, 0.2], [0.7, 0.3]]).tolist()
    [70.0, 20.0]
    """
    table, shares = np.asarray(serves, dtype=bool), np.asarray(uses, dtype=float)
    amounts = np.asarray(amounts_t, dtype=float)
    least = np.where(table[:, :, None], shares[:, None, :], np.inf).min(axis=0)
    return np.asarray(amounts @ np.where(np.isfinite(least), least, 0.0))


def paying_price(
    cost_without: float, other_cost: Sequence[float], amounts_t: Sequence[float]
) -> float | None:
    """Give the price up to which an additive pays.

    Parameters
    ----------
    cost_without : float
        Cost of the best plan that does not use it.
    other_cost : sequence of float
        For plans that do: cost of everything else.
    amounts_t : sequence of float
        For these plans: tonnes of the additive [t].

    Returns
    -------
    float or None
        Per tonne; None where no plan uses it. Below zero where it would have to be paid for being taken.

    Raises
    ------
    MeasurementError
        Where the two lists differ in length.

    Notes
    -----
    A plan with the additive is as cheap as the one without at ``(cost_without - other)/amount``; the largest
    of these is the price up to which some plan with it is cheaper.

    Examples
    --------
    >>> paying_price(1000.0, [800.0, 900.0], [0.1, 0.02])
    5000.0
    """
    if len(other_cost) != len(amounts_t):
        raise MeasurementError("price of an additive: needed is one amount for each cost")
    prices = [
        (cost_without - other) / amount
        for other, amount in zip(other_cost, amounts_t, strict=True)
        if amount > 0.0
    ]
    return max(prices) if prices else None
