"""The fewest products of a range, or the cheapest, that serve every demand."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class ProductSet:
    """A set of products that serves the demands, as a solver found it.

    Attributes
    ----------
    products : tuple of int
        Places of the products chosen.
    unserved : tuple of int
        Places of the demands that no product serves.
    product_of : tuple of int
        Product of each demand, -1 where none; empty where only the number was asked.
    total : float
        Number of products, or cost.
    gap : float
        How far the total may lie above the best possible, as a share of it; 0 where proven.
    proven : bool
        Whether no better set exists; False where the time ran out.
    """

    products: tuple[int, ...]
    unserved: tuple[int, ...]
    product_of: tuple[int, ...]
    total: float
    gap: float
    proven: bool


@dataclass(frozen=True, slots=True)
class ProductPlan:
    """A set of products in names.

    Attributes
    ----------
    title : str
        What was asked.
    binders : tuple of str
        Names of the products.
    cost : float
        What all served sites pay for binder.
    sites_of : tuple of tuple of (str, int, float)
        Binder, sites and tonnes.
    gap : float
        As in `ProductSet`.
    proven : bool
        As in `ProductSet`.
    """

    title: str
    binders: tuple[str, ...]
    cost: float
    sites_of: tuple[tuple[str, int, float], ...]
    gap: float
    proven: bool
