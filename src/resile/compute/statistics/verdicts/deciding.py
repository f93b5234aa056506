"""Outcomes and probabilities of conformity of arrays under a decision rule.

Use `conformity_scores` for the distance in standard uncertainties, `conformity_probabilities` for the
chance that the true value satisfies the limit, `outcomes_by_rule` for what a rule makes of it.
"""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from resile.compute.statistics.verdicts.comparing import margins_to_limits
from resile.errors import MeasurementError
from resile.records.verdict import Outcome

Numbers = NDArray[np.float64]
OUTCOMES = tuple(Outcome)
"""Outcomes in the order of their codes."""
CODES = {outcome: code for code, outcome in enumerate(OUTCOMES)}
"""Code of each outcome in an array."""
SCORE_SLACK = 1e-9
"""A score this near the guard band clears it."""


class KnownTo(NamedTuple):
    """How well values are known.

    Attributes
    ----------
    standard : ndarray of float
        Standard uncertainties, in the unit of the values; not-a-number where none can be stated.
    degrees_of_freedom : ndarray of float
        Infinite where they are taken so.
    log_normal : bool
        True where the doubt is relative and the values are positive (compliances).
    """

    standard: Numbers
    degrees_of_freedom: Numbers
    log_normal: bool = False


def conformity_scores(values: Numbers, limits: Numbers, known: KnownTo, *, bound: str) -> Numbers:
    """Give the distance of values to their limits in standard uncertainties, positive on the good side.

    Parameters
    ----------
    values, limits : ndarray of float, shape (n,)
        In one unit.
    known : KnownTo
        Each of shape (n,).
    bound : str
        ``"maximum"`` or ``"minimum"``.

    Returns
    -------
    ndarray of float, shape (n,)
        Not-a-number where no uncertainty above zero is stated.

    Raises
    ------
    MeasurementError
        Where the bound is not known.

    Notes
    -----
    As `resile.compute.statistics.probability.conformity.standard_scores`, for arrays in which some have no
    uncertainty and some log-normal values or limits are not positive: these are taken as normal.

    References
    ----------
    JCGM 106:2012, section 7, from memory (high); log-normal form from the definition of that distribution.

    Examples
    --------
    >>> u = np.array([0.25, np.nan])
    >>> known = KnownTo(u, np.full(2, np.inf))
    >>> conformity_scores(np.array([4.0, 4.0]), np.array([4.5, 4.5]), known, bound="maximum").tolist()
    [2.0, nan]
    """
    margins = margins_to_limits(values, limits, bound=bound)
    stated = np.isfinite(known.standard) & (known.standard > 0.0)
    u = np.where(stated, known.standard, np.nan)
    scores = margins / u
    if known.log_normal:
        usable = stated & (values > 0.0) & (limits > 0.0)
        x, end = np.where(usable, values, 1.0), np.where(usable, limits, 1.0)
        sigma = np.sqrt(np.log1p((np.where(usable, u, 1.0) / x) ** 2))
        distance = np.where(margins == 0.0, 0.0, np.log(end / x))
        scores = np.where(usable, (distance if bound == "maximum" else -distance) / sigma, scores)
    return np.asarray(scores)


def conformity_probabilities(
    values: Numbers, limits: Numbers, known: KnownTo, *, bound: str, absolute: bool = False
) -> Numbers:
    """Give the probability that each true value satisfies its limit.

    Parameters
    ----------
    values, limits : ndarray of float, shape (n,)
        In one unit; values with their sign.
    known : KnownTo
        Each of shape (n,).
    bound : str
        ``"maximum"`` or ``"minimum"``.
    absolute : bool
        True where the limit holds for the size of the value: both ends count.

    Returns
    -------
    ndarray of float, shape (n,)
        Not-a-number where no uncertainty above zero is stated.

    Raises
    ------
    MeasurementError
        Where the bound is not known.

    References
    ----------
    JCGM 106:2012, one-sided and two-sided intervals, from memory (high).

    Examples
    --------
    >>> known = KnownTo(np.array([0.05]), np.array([np.inf]))
    >>> value, limit = np.array([-5.47]), np.array([-5.40])
    >>> conformity_probabilities(value, limit, known, bound="maximum").round(4).tolist()
    [0.9192]
    """
    size = np.abs(values) if absolute else values
    near = conformity_scores(size, limits, known, bound=bound)
    good = _below(near, known.degrees_of_freedom)
    if not absolute:
        return good
    far = np.where(np.isfinite(near), -(size + limits) / known.standard, np.nan)
    beyond = _below(far, known.degrees_of_freedom)
    return np.asarray(good - beyond if bound == "maximum" else good + beyond)


def outcomes_by_rule(
    met: NDArray[np.bool_], scores: Numbers, degrees_of_freedom: Numbers, *, guard_factor: float, states: int
) -> NDArray[np.int8]:
    """Give the outcome of each comparison under a decision rule.

    Parameters
    ----------
    met : ndarray of bool, shape (n,)
        Values on the good side of the limit, after rounding.
    scores : ndarray of float, shape (n,)
        Distances in standard uncertainties; not-a-number where none can be stated: compared as it stands.
    degrees_of_freedom : ndarray of float, shape (n,)
        Infinite where they are taken so.
    guard_factor : float
        Guard band in standard uncertainties.
    states : int
        2 for pass or fail, 4 for the conditional outcomes as well.

    Returns
    -------
    ndarray of int8, shape (n,)
        Places in `OUTCOMES`.

    Raises
    ------
    MeasurementError
        Where `states` is neither 2 nor 4.

    References
    ----------
    ILAC-G8:09/2019, 4.2.1 to 4.2.3; with few degrees of freedom the risks are compared, not the factors.

    Examples
    --------
    >>> many = np.full(3, np.inf)
    >>> met, scores = np.array([True, True, False]), np.array([2.5, 1.0, -1.0])
    >>> [OUTCOMES[c].value for c in outcomes_by_rule(met, scores, many, guard_factor=2.0, states=4)]
    ['pass', 'conditional pass', 'conditional fail']
    """
    if states not in (2, 4):
        raise MeasurementError(f"decision rule: {states} states are not known; needed: 2 or 4")
    passes, fails = CODES[Outcome.PASS], CODES[Outcome.FAIL]
    simple = np.where(met, passes, fails).astype(np.int8)
    if guard_factor == 0.0 and states == 2:
        return simple
    known = np.isfinite(scores)
    side = np.where(met, scores, -scores)
    risk = 0.5 * (1.0 + math.erf(guard_factor / math.sqrt(2.0)))
    clear = side >= guard_factor - SCORE_SLACK
    few = np.isfinite(degrees_of_freedom) & known
    if few.any():
        clear[few] = _below(side[few], degrees_of_freedom[few]) >= risk - SCORE_SLACK
    if states == 2:
        decided = np.where(met & clear, passes, fails)
    else:
        between = np.where(met, CODES[Outcome.CONDITIONAL_PASS], CODES[Outcome.CONDITIONAL_FAIL])
        decided = np.where(clear, simple, between)
    return np.where(known, decided, simple).astype(np.int8)


def _below(scores: Numbers, degrees_of_freedom: Numbers) -> Numbers:
    """Give the normal or Student distribution function; broken degrees of freedom are cut down."""
    from scipy.special import erf, stdtr

    found = 0.5 * (1.0 + erf(scores / math.sqrt(2.0)))
    few = np.isfinite(degrees_of_freedom)
    if few.any():
        found[few] = stdtr(np.maximum(1.0, np.floor(degrees_of_freedom[few])), scores[few])
    return np.asarray(found)
