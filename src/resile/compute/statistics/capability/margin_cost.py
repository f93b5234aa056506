"""What margin costs and what it saves: the mean at which giving away and failing together cost least."""

from __future__ import annotations

import math

import numpy as np

from resile.compute.statistics.capability.target import load_outcomes
from resile.errors import InputError
from resile.records.control.target import CostOfMargin, PricesOfMargin

_NEAREST, _FARTHEST, _PLACES = -2.0, 8.0, 201  # in standard deviations of results from the acceptance limit
_EDGE = 1e-6


def cost_of_mean(
    mean: float,
    prices: PricesOfMargin,
    *,
    limit: float,
    limit_is: str,
    plant_deviation: float,
    test_standard: float,
    guard_factor: float = 0.0,
) -> CostOfMargin:
    """Give what a mean costs a tonne: margin given away, loads failed, claims.

    Parameters
    ----------
    mean : float
        On the watched scale.
    prices : PricesOfMargin
        Cost of a unit of margin, of a load that fails its test, and of one that passes though it does not
        conform, each a tonne.
    limit, limit_is, plant_deviation, test_standard, guard_factor
        See `resile.compute.statistics.capability.target.load_outcomes`.

    Returns
    -------
    CostOfMargin
        The three costs and their sum, a tonne of product; additive per unit margin likewise.

    Raises
    ------
    InputError
        See `load_outcomes`; where a price is negative or not finite.

    Notes
    -----
    ``C = a d + F P(fails) + K P(passes and does not conform)`` with ``d`` the distance of the mean from the
    limit on the good side (negative beyond it: nothing is given away).

    References
    ----------
    Hunter and Kartha 1977, Journal of Quality Technology 9, 176 (the most profitable target), from memory
    (medium).

    Examples
    --------
    >>> prices = PricesOfMargin(per_unit=10.0, per_failure=40.0)
    >>> cost_of_mean(0.8, prices, limit=1.0, limit_is="at_most", plant_deviation=0.1, test_standard=0.0).total
    2.9100...
    """
    _refuse_prices(prices)
    outcomes = load_outcomes(
        mean,
        limit=limit,
        limit_is=limit_is,
        plant_deviation=plant_deviation,
        test_standard=test_standard,
        guard_factor=guard_factor,
    )
    margin = (limit - mean) * (1.0 if limit_is == "at_most" else -1.0)
    given_away = prices.per_unit * margin
    failures = prices.per_failure * (1.0 - outcomes.passes)
    claims = prices.per_claim * outcomes.wrongly_passed
    return CostOfMargin(
        mean=mean,
        margin=margin,
        given_away=given_away,
        failures=failures,
        claims=claims,
        total=given_away + failures + claims,
        additive_percent=None if prices.additive_per_unit is None else prices.additive_per_unit * margin,
        outcomes=outcomes,
    )


def cost_curve(
    prices: PricesOfMargin,
    *,
    limit: float,
    limit_is: str,
    plant_deviation: float,
    test_standard: float,
    guard_factor: float = 0.0,
) -> tuple[CostOfMargin, ...]:
    """Give the costs over all means worth a look, nearest to the limit first.

    Parameters
    ----------
    prices, limit, limit_is, plant_deviation, test_standard, guard_factor
        See `cost_of_mean`.

    Returns
    -------
    tuple of CostOfMargin
        From two standard deviations of results beyond the acceptance limit to eight within it.

    Raises
    ------
    InputError
        See `cost_of_mean`.

    References
    ----------
    See `cost_of_mean`.
    """
    sign = 1.0 if limit_is == "at_most" else -1.0
    wide = math.hypot(plant_deviation, test_standard)
    asked = {
        "limit": limit,
        "plant_deviation": plant_deviation,
        "test_standard": test_standard,
        "guard_factor": guard_factor,
    }
    begin = limit - sign * guard_factor * test_standard
    places = np.linspace(_NEAREST, _FARTHEST, _PLACES)
    return tuple(
        cost_of_mean(begin - sign * wide * float(place), prices, limit_is=limit_is, **asked)
        for place in places
    )


def cheapest_mean(
    prices: PricesOfMargin,
    *,
    limit: float,
    limit_is: str,
    plant_deviation: float,
    test_standard: float,
    guard_factor: float = 0.0,
) -> CostOfMargin | None:
    """Give the mean at which margin, failures and claims together cost least.

    Parameters
    ----------
    prices, limit, limit_is, plant_deviation, test_standard, guard_factor
        See `cost_of_mean`.

    Returns
    -------
    CostOfMargin or None
        None where there is no least cost to be found: margin that costs nothing, or failures so cheap that
        no margin pays.

    Raises
    ------
    InputError
        See `cost_of_mean`.

    Notes
    -----
    The curve is scanned and the lowest place refined by Brent's search. Without claims the optimum has a
    closed form: ``phi(z) = a s/F``, ``s`` the standard deviation of results.

    References
    ----------
    See `cost_of_mean`.
    """
    from scipy.optimize import minimize_scalar

    asked = {
        "limit": limit,
        "plant_deviation": plant_deviation,
        "test_standard": test_standard,
        "guard_factor": guard_factor,
    }
    curve = cost_curve(prices, limit_is=limit_is, **asked)
    # Far on the bad side the sum falls without end, as nothing is given away there: the dip is sought.
    totals = [one.total for one in curve]
    dips = [
        place
        for place in range(1, len(curve) - 1)
        if totals[place] <= totals[place - 1] and totals[place] < totals[place + 1]
    ]
    if not dips:
        return None
    best = min(dips, key=lambda place: totals[place])
    beside = (curve[best - 1].mean, curve[best + 1].mean)
    ends = (min(beside), max(beside))
    found = minimize_scalar(
        lambda mean: cost_of_mean(float(mean), prices, limit_is=limit_is, **asked).total,
        bounds=ends,
        method="bounded",
        options={"xatol": _EDGE * (ends[1] - ends[0])},
    )
    return cost_of_mean(float(found.x), prices, limit_is=limit_is, **asked)


def _refuse_prices(prices: PricesOfMargin) -> None:
    numbers = (prices.per_unit, prices.per_failure, prices.per_claim, prices.additive_per_unit or 0.0)
    if not all(math.isfinite(one) and one >= 0.0 for one in numbers):
        raise InputError(
            "cost of margin: prices of a unit of margin, of a failed load and of a claim of at least 0 are "
            f"needed; {', '.join(f'{one:g}' for one in numbers)} found"
        )
