"""Standings and needs brought together: what every view of a choice is computed from."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from resile.compute.choice.serving import NOBODY, choice_of_sites, ranking_by_cost
from resile.workflows.choosing.needs import NeedArrays
from resile.workflows.choosing.standings import RangeStandings


@dataclass(frozen=True)
class Matching:
    """Standings and needs brought together, with the rules of the choice.

    Attributes
    ----------
    standings : RangeStandings
        Binders by grades.
    needs : NeedArrays
        Sites.
    required : float
        Probability asked for.
    price : ndarray of float, shape (b,)
        Price per tonne; infinite where not known.
    available : ndarray of bool, shape (b,)
        Whether a binder can be had.
    """

    standings: RangeStandings
    needs: NeedArrays
    required: float
    price: NDArray[np.float64]
    available: NDArray[np.bool_]

    @cached_property
    def ranking(self) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
        """Order of the binders that serve each grade, and how many do."""
        return ranking_by_cost(
            self.standings.serving[0], self.price, required=self.required, available=self.available
        )

    @cached_property
    def serves(self) -> NDArray[np.bool_]:
        """Whether binder b serves grade g; shape (b, g)."""
        return (self.standings.serving[0] >= self.required) & self.available[:, None]

    @cached_property
    def cheapest(self) -> NDArray[np.int64]:
        """Cheapest binder of each site, -1 where none serves; shape (n,)."""
        first = np.full(self.needs.demand.size, NOBODY, dtype=np.int64)
        for places, ranked in choice_of_sites(self.needs.demand, self.ranking[0][:1]):
            first[places] = ranked[:, 0]
        return first

    @cached_property
    def cost(self) -> NDArray[np.float64]:
        """Cost of the binder of each site; not a number where nobody serves; shape (n,)."""
        served = self.cheapest != NOBODY
        cost = np.full(self.cheapest.size, np.nan)
        cost[served] = self.price[self.cheapest[served]] * self.needs.amount_t[served]
        return cost
