"""How few products would do: the least cost at every number of products, and the smallest number."""

from __future__ import annotations

import numpy as np

from resile.compute.choice.product_set import cheapest_products, fewest_products
from resile.records.product_set import ProductPlan, ProductSet
from resile.workflows.choosing.matched import Matching

MOST_STEPS = 6


def product_plans(matching: Matching) -> tuple[ProductPlan, ...]:
    """Give the cheapest set of products at every number of products that serves all served sites.

    Parameters
    ----------
    matching : Matching
        Standings and needs.

    Returns
    -------
    tuple of ProductPlan
        From the fewest products on, until more of them save nothing; empty where no site is served, or no
        binder that serves has a price.
    """
    sites, tonnes = matching.needs.per_grade(len(matching.standings.grades))
    asked = np.flatnonzero(sites)
    priced = np.isfinite(matching.price)
    serves = matching.serves[np.ix_(priced, asked)]
    if not serves.any():
        return ()
    names = [b.name for b, has in zip(matching.standings.range.binders, priced, strict=True) if has]
    fewest = fewest_products(serves)
    free = cheapest_products(serves, matching.price[priced], tonnes[asked])
    plans = []
    for count in range(len(fewest.products), len(free.products) + 1):
        found = (
            free
            if count == len(free.products)
            else cheapest_products(serves, matching.price[priced], tonnes[asked], most_products=count)
        )
        proven = found.proven and fewest.proven
        plans.append(_plan(found, names, sites[asked], tonnes[asked], proven=proven, count=count))
    if len(plans) > MOST_STEPS:
        plans = [*plans[: MOST_STEPS - 1], plans[-1]]
    return tuple(plans)


def _plan(
    found: ProductSet, names: list[str], sites: np.ndarray, tonnes: np.ndarray, *, proven: bool, count: int
) -> ProductPlan:
    product_of = np.array(found.product_of)
    several = "product" if count == 1 else "products"
    return ProductPlan(
        title=f"{count} {several}",
        binders=tuple(names[b] for b in found.products),
        cost=found.total,
        sites_of=tuple(
            (names[b], int(sites[product_of == b].sum()), float(tonnes[product_of == b].sum()))
            for b in found.products
        ),
        gap=found.gap,
        proven=proven,
    )
