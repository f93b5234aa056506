"""Probability that a true value satisfies a limit, and whether a decision rule is met. Standard library only.

The value found is taken as the middle of what is known about the true value; no earlier knowledge of the
process enters (JCGM 106:2012, section 7, for a value known by measurement alone).
`resile.compute.statistics.probability.conformity` has the same equations for arrays; a test holds the two
together.
"""

from __future__ import annotations

import math
from functools import lru_cache
from statistics import NormalDist

from resile.records.determination import Uncertainty

_NORMAL = NormalDist()
# Slack of a comparison: a mean of three decimals must not miss its limit by the last bit of a binary number.
RELATIVE_SLACK = 1e-12
SCORE_SLACK = 1e-9
MANY_DEGREES = 10_000
"""Degrees of freedom up to which the series of Student's distribution is summed term by term."""
TWO_SIGMA_UPPER = 0.5 + 0.5 * 0.9545
"""Share below the upper end of the interval that k = 2 is said to stand for."""


def meets(value: float, limit: float, bound: str) -> bool:
    """Tell whether a value is on the good side of a limit; equal to the limit is good.

    Parameters
    ----------
    value, limit : float
        In one unit.
    bound : str
        ``"maximum"`` or ``"minimum"``.

    Returns
    -------
    bool
        True on the good side or at the limit.
    """
    if math.isclose(value, limit, rel_tol=RELATIVE_SLACK, abs_tol=0.0):
        return True
    return value < limit if bound == "maximum" else value > limit


def margin_to(value: float, limit: float, bound: str) -> float:
    """Give the distance to a limit, positive on the good side and exactly zero at the limit.

    Parameters
    ----------
    value, limit : float
        In one unit.
    bound : str
        ``"maximum"`` or ``"minimum"``.

    Returns
    -------
    float
        Distance in that unit.
    """
    if math.isclose(value, limit, rel_tol=RELATIVE_SLACK, abs_tol=0.0):
        return 0.0
    return limit - value if bound == "maximum" else value - limit


def student_probability(score: float, degrees_of_freedom: int) -> float:
    """Give the distribution function of Student's t for whole degrees of freedom.

    Parameters
    ----------
    score : float
        Value of t.
    degrees_of_freedom : int
        At least 1.

    Returns
    -------
    float
        Probability of a value up to `score`.

    Notes
    -----
    Finite series in the angle ``arctan(t/sqrt(n))``, Abramowitz and Stegun, 26.7.3 and 26.7.4, from memory
    (high). Beyond `MANY_DEGREES`, where the series has no end in practice, the normal distribution of
    ``t (1 - 1/(4n))/sqrt(1 + t^2/(2n))``, 26.7.8 there, from memory (high); they differ by less than 2e-9.
    """
    if degrees_of_freedom > MANY_DEGREES:
        n = float(degrees_of_freedom)
        return _NORMAL.cdf(score * (1.0 - 0.25 / n) / math.sqrt(1.0 + score * score / (2.0 * n)))
    angle = math.atan(score / math.sqrt(degrees_of_freedom))
    cosine_squared = math.cos(angle) ** 2
    odd = degrees_of_freedom % 2 == 1
    term = math.cos(angle) if odd else 1.0
    total = term if degrees_of_freedom > 1 else 0.0
    for k in range(3 if odd else 2, degrees_of_freedom - 1, 2):
        term *= cosine_squared * (k - 1) / k
        total += term
    inside = math.sin(angle) * total
    if odd:
        inside = 2.0 / math.pi * (angle + inside)
    return 0.5 + 0.5 * inside


def standard_score(value: float, limit: float, uncertainty: Uncertainty, bound: str) -> float | None:
    """Give the distance to a limit in standard uncertainties, positive on the good side.

    Parameters
    ----------
    value, limit : float
        In one unit.
    uncertainty : Uncertainty
        Standard uncertainty in that unit.
    bound : str
        ``"maximum"`` or ``"minimum"``.

    Returns
    -------
    float or None
        None where the uncertainty is not positive: a zero says nothing about the true value.

    Notes
    -----
    Normal: ``(limit - value)/u`` for a maximum. Log-normal: the value is the median and its coefficient of
    variation ``c = u/value``, so ``sigma = sqrt(ln(1 + c^2))`` and the score is ``ln(limit/value)/sigma``. A
    value or limit that is not positive cannot be log-normal and is taken as normal.
    """
    if not uncertainty.standard > 0.0 or not math.isfinite(uncertainty.standard):
        return None
    if uncertainty.distribution == "log-normal" and value > 0.0 and limit > 0.0:
        sigma = math.sqrt(math.log1p((uncertainty.standard / value) ** 2))
        distance = 0.0 if margin_to(value, limit, bound) == 0.0 else math.log(limit / value)
        return (distance if bound == "maximum" else -distance) / sigma
    return margin_to(value, limit, bound) / uncertainty.standard


def probability_below(score: float, degrees_of_freedom: float | None) -> float:
    """Give the probability of a standardised value up to `score`.

    Parameters
    ----------
    score : float
        Standardised value.
    degrees_of_freedom : float or None
        None for infinite.

    Returns
    -------
    float
        Probability of a smaller value.

    Notes
    -----
    Degrees of freedom that are not whole are cut down, as JCGM 100:2008, G.4.1, advises.
    """
    if degrees_of_freedom is None:
        return _NORMAL.cdf(score)
    return student_probability(score, max(1, math.floor(degrees_of_freedom)))


@lru_cache(maxsize=256)
def coverage_factor(degrees_of_freedom: float | None) -> float:
    """Give the factor that makes a standard uncertainty an expanded one, for a coverage of 95.45 %.

    Parameters
    ----------
    degrees_of_freedom : float or None
        None for infinite.

    Returns
    -------
    float
        2 where they are infinite, and more where they are few.

    Notes
    -----
    Quantile of Student's t by halving; `resile.compute.statistics.uncertainty.coverage` has it for arrays.
    JCGM 100:2008, G.6.4.
    """
    if degrees_of_freedom is None:
        return 2.0
    low, high = 0.0, 1000.0
    for _ in range(60):
        middle = 0.5 * (low + high)
        if probability_below(middle, degrees_of_freedom) < TWO_SIGMA_UPPER:
            low = middle
        else:
            high = middle
    return 0.5 * (low + high)


def probability_of_conformity(
    value: float, limit: float, uncertainty: Uncertainty, *, bound: str, absolute: bool = False
) -> float | None:
    """Give the probability that the true value satisfies the limit.

    Parameters
    ----------
    value : float
        The value found, with its sign.
    limit : float
        The limit.
    uncertainty : Uncertainty
        Standard uncertainty, distribution and degrees of freedom.
    bound : str
        ``"maximum"`` or ``"minimum"``.
    absolute : bool
        True where the limit holds for the size of the value: both ends count.

    Returns
    -------
    float or None
        None where the uncertainty is not positive.

    Notes
    -----
    JCGM 106:2012, equations for one-sided and two-sided intervals, from memory (high).
    """
    if absolute:
        size = abs(value)
        near = standard_score(size, limit, uncertainty, bound)
        if near is None:
            return None
        # Far end of the interval, -limit: no log-normal here, the value may have either sign.
        far = -(size + limit) / uncertainty.standard
        good = probability_below(near, uncertainty.degrees_of_freedom)
        beyond = probability_below(far, uncertainty.degrees_of_freedom)
        return good - beyond if bound == "maximum" else good + beyond
    score = standard_score(value, limit, uncertainty, bound)
    return None if score is None else probability_below(score, uncertainty.degrees_of_freedom)


def is_demonstrated(score: float, guard_factor: float, degrees_of_freedom: float | None) -> bool:
    """Tell whether a score clears the guard band.

    Parameters
    ----------
    score : float
        Distance to the limit in standard uncertainties; give it with its sign turned to ask for a failure.
    guard_factor : float
        Guard band in standard uncertainties, for an uncertainty known with infinite degrees of freedom.
    degrees_of_freedom : float or None
        None for infinite.

    Returns
    -------
    bool
        True where the risk is at most that of the guard factor in a normal distribution.

    Notes
    -----
    With few degrees of freedom the same risk asks for a wider band: the probabilities are compared, not the
    factors.
    """
    if degrees_of_freedom is None:
        return score >= guard_factor - SCORE_SLACK
    return probability_below(score, degrees_of_freedom) >= _NORMAL.cdf(guard_factor) - SCORE_SLACK
