"""Whether a level changed at once or slowly: which description makes the values more probable."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import expit, gammaln

from resile.compute.statistics.control.changes import ramp_fits
from resile.errors import MeasurementError

Floats = NDArray[np.float64]
_MOST_KNOTS = 90
_FEWEST = 6


def step_probability(values: ArrayLike, *, shortest_drift: int = 5, steps: int = 1) -> float:
    """Give the probability that a level changed in one or more steps and not in a slow drift.

    Parameters
    ----------
    values : array_like of float, shape (n,)
        Values of the levels before, between and after, in order of time, with the same independent scatter;
        six or more.
    shortest_drift : int
        Points from the old level to the new one below which a drift is no drift.
    steps : int
        With 2 or more, one and two steps the same way together are weighed against a drift.

    Returns
    -------
    float
        Between 0 and 1; steps and drift are taken as equally likely beforehand.

    Raises
    ------
    MeasurementError
        With fewer than six values or a shortest drift below 1.

    Notes
    -----
    The probability of the values under each description is averaged over every place (of a step) or pair of
    places (of a drift, at most 90 of them in a long series), with levels and scatter unknown: with S the sum
    of squares about the fit and D the determinant of its normal equations, the mean of
    ``S^(-(n - 2)/2) / sqrt(D)``. Both have two levels, so that nothing else differs; that a drift may begin
    and end anywhere counts against it by itself. The level between two steps lies anywhere between the outer
    ones.

    The ratio of both is a Bayes factor: from 3 to 20 the evidence is positive, above 20 strong.

    References
    ----------
    Kass and Raftery, Journal of the American Statistical Association 90 (1995) 773, section 3.2, from memory
    (high); Smith, Biometrika 62 (1975), for one change, from memory (medium).

    Examples
    --------
    >>> round(step_probability([0.0, 0.1] * 5 + [5.0, 5.1] * 5), 2)
    1.0
    >>> step_probability([0.0, 0.3] * 5 + [0.25 * i for i in range(20)] + [5.0, 5.3] * 5) < 0.05
    True
    """
    y = np.asarray(values, dtype=float)
    if y.ndim != 1 or y.size < _FEWEST or not np.all(np.isfinite(y)):
        raise MeasurementError("step or drift: a row of six or more finite numbers is needed")
    if shortest_drift < 1:
        raise MeasurementError("step or drift: a drift over a point or more is needed")
    spread = float(y.std())
    if spread == 0.0:
        return 0.5  # one level: neither
    y = (y - y.mean()) / spread
    drift = _drift(y, shortest_drift)
    if drift is None:
        return 1.0
    step = _one_step(y)
    if steps > 1:  # one or two, as likely beforehand
        step = float(np.logaddexp(step, _two_steps(y))) - math.log(2.0)
    return float(expit(step - drift))


def _one_step(y: Floats) -> float:
    places = np.arange(1, y.size)
    sums = np.cumsum(y)[:-1]
    # About the mean of all: the sum of the rest is the negative of the first.
    squares = float(y @ y) - sums**2 / places - sums**2 / (y.size - places)
    return _averaged(squares, places * (y.size - places), y.size, levels=2)


def _drift(y: Floats, shortest: int) -> float | None:
    knots = _knots(y.size)
    first, last = (part.ravel() for part in np.meshgrid(knots, knots, indexing="ij"))
    long_enough = last - first >= shortest
    if not long_enough.any():
        return None
    fits = ramp_fits(y, first[long_enough], last[long_enough])
    return _averaged(fits.cost, fits.determinant, y.size, levels=2)


def _two_steps(y: Floats) -> float:
    """Average over two places with the middle level anywhere between the outer ones."""
    knots = _knots(y.size)[1:]
    first, second = (part.ravel() for part in np.meshgrid(knots, knots, indexing="ij"))
    first, second = first[first < second], second[first < second]
    sums = np.concatenate([np.zeros(1), np.cumsum(y)])
    counts = np.array([first, second - first, y.size - second])
    parts = np.array([sums[first], sums[second] - sums[first], sums[-1] - sums[second]])
    levels = parts / counts
    same_way = (levels[1] - levels[0]) * (levels[2] - levels[1]) > 0.0
    if not same_way.any():
        return -math.inf
    squares = float(y @ y) - (parts**2 / counts).sum(axis=0)
    width = np.abs(levels[2] - levels[0])[same_way]
    weights = counts.prod(axis=0)[same_way] * width**2
    share = math.log(same_way.sum() / same_way.size)
    return _averaged(squares[same_way], weights, y.size, levels=3) + share


def _averaged(squares: Floats, determinant: Floats | NDArray[np.int_], size: int, *, levels: int) -> float:
    """Give the logarithm of the mean probability of values with levels and scatter integrated out."""
    free = 0.5 * (size - levels)
    floor = np.maximum(squares, 1e-12 * size)  # values without scatter
    logarithms = -free * np.log(0.5 * floor) - 0.5 * np.log(determinant)
    constant = float(gammaln(free)) + 0.5 * levels * math.log(2.0 * math.pi)
    return float(np.logaddexp.reduce(logarithms)) - math.log(logarithms.size) + constant


def _knots(size: int) -> NDArray[np.int_]:
    return np.unique(np.linspace(0, size - 1, min(size, _MOST_KNOTS)).round().astype(int))
