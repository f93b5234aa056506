"""The noncentral t distribution where it is turned round: the noncentrality that gives a probability."""

from __future__ import annotations

import math

import numpy as np

from resile.errors import InputError

_SPREADS, _POINTS = 14.0, 4001
"""How far the integral over the standard deviation goes, in its own spread, and over how many points."""
_WIDEN = 60
"""Doublings of the bracket at most; one is enough but for odd numbers."""


def noncentrality_at(probability: float, degrees_of_freedom: float, value: float) -> float:
    """Give the noncentrality for which noncentral t stays below a value with a probability.

    Parameters
    ----------
    probability : float
        Above 0 and below 1.
    degrees_of_freedom : float
        Above zero.
    value : float
        Of noncentral t.

    Returns
    -------
    float
        Noncentrality. It falls as the probability rises.

    Raises
    ------
    InputError
        Where an argument is outside its range.

    Notes
    -----
    ``P(t <= value; v, d) = probability`` is solved for ``d`` by bisection and secants (Brent) on the
    distribution function of scipy, which holds to 1e-12 where its own inverse stops at 1e-8. Where scipy
    gives no number (far in a tail, values of about -34 and below), the definition is integrated:
    ``E[Phi(value w - d)]``, ``w`` being a standard deviation of v degrees of freedom over its true value.

    References
    ----------
    Owen 1968, Technometrics 10, 445, from memory (high).

    Examples
    --------
    >>> round(noncentrality_at(0.5, 1e6, 2.0), 4)
    2.0
    """
    from scipy.optimize import brentq

    if not (0.0 < probability < 1.0 and degrees_of_freedom > 0.0 and math.isfinite(value)):
        raise InputError(
            f"noncentral t: probability {probability:g}, {degrees_of_freedom:g} degrees of freedom, value "
            f"{value:g} found; a probability between 0 and 1, degrees of freedom above 0 and a finite value "
            "are needed"
        )

    def excess(noncentrality: float) -> float:
        return _below(value, degrees_of_freedom, noncentrality) - probability

    reach = 5.0 + abs(value)
    for _ in range(_WIDEN):
        if excess(value - reach) > 0.0 > excess(value + reach):
            break
        reach *= 2.0
    return float(brentq(excess, value - reach, value + reach, xtol=1e-10))


def _below(value: float, freedom: float, noncentrality: float) -> float:
    """Give the probability that noncentral t stays below a value."""
    from scipy.special import gammaln, nctdtr, ndtr

    found = float(nctdtr(freedom, noncentrality, value))
    if not math.isnan(found):
        return found
    spread = 1.0 / math.sqrt(2.0 * freedom)
    ratio = np.linspace(max(1e-9, 1.0 - _SPREADS * spread), 1.0 + _SPREADS * spread, _POINTS)
    half = freedom / 2.0
    log_density = (
        math.log(2.0)
        + half * math.log(half)
        - gammaln(half)
        + (freedom - 1.0) * np.log(ratio)
        - half * ratio**2
    )
    return float(np.trapezoid(np.exp(log_density) * ndtr(value * ratio - noncentrality), ratio))
