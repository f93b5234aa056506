"""Exponentially weighted averages: the chart for small, lasting shifts and slow drift.

`weighted_averages` and `weighted_average_limits` make the chart; `weighted_average_run_length` says what it
promises, and `weighted_average_width` how wide the limits must be for a wanted run length in control.
"""

from __future__ import annotations

import itertools
import math

import numpy as np
from numpy.typing import ArrayLike, NDArray

from resile.errors import MeasurementError

_NODES = 81
_MOST_STEPS = 400
_STEADY = 1e-7

Floats = NDArray[np.float64]


def weighted_averages(values: ArrayLike, *, weight: float, start: float) -> Floats:
    """Give exponentially weighted averages.

    Parameters
    ----------
    values : array_like of float, shape (n,)
        Values in order of time.
    weight : float
        Weight of the newest value, above 0, at most 1.
    start : float
        Average before the first value: the centre line.

    Returns
    -------
    ndarray of float, shape (n,)
        ``z_i = lambda x_i + (1 - lambda) z_(i-1)``.

    Raises
    ------
    MeasurementError
        Where the weight or a value is no such number.

    References
    ----------
    Roberts, Technometrics 1 (1959); ISO 7870-6; NIST/SEMATECH e-Handbook 6.3.2.4; from memory (high).

    Examples
    --------
    >>> weighted_averages([1.0, 1.0], weight=0.5, start=0.0).tolist()
    [0.5, 0.75]
    """
    _check_weight(weight)
    x = np.asarray(values, dtype=float)
    if x.ndim != 1 or not np.all(np.isfinite(x)):
        raise MeasurementError("weighted average: a row of finite numbers is needed")
    averages, last = np.empty_like(x), start
    for place, value in enumerate(x):
        last = weight * float(value) + (1.0 - weight) * last
        averages[place] = last
    return averages


def weighted_average_limits(count: int, *, weight: float, width: float) -> Floats:
    """Give the half width of the limits at each point, in standard deviations of a single value.

    Parameters
    ----------
    count : int
        Points.
    weight : float
        Weight of the newest value.
    width : float
        Distance of the limits, in standard deviations of the average.

    Returns
    -------
    ndarray of float, shape (count,)
        ``L sqrt(lambda/(2 - lambda) (1 - (1 - lambda)^(2 i)))``, which nears ``L sqrt(lambda/(2 - lambda))``.

    Examples
    --------
    >>> weighted_average_limits(2, weight=1.0, width=3.0).tolist()
    [3.0, 3.0]
    """
    _check_weight(weight)
    steps = np.arange(1, count + 1)
    return np.asarray(width * np.sqrt(weight / (2.0 - weight) * (1.0 - (1.0 - weight) ** (2 * steps))))


def weighted_average_run_length(
    *, weight: float, width: float, shift: float = 0.0, growing: bool = False
) -> float:
    """Give the average run length of a chart of exponentially weighted averages.

    Parameters
    ----------
    weight : float
        Weight of the newest value.
    width : float
        Distance of the limits, in standard deviations of the average.
    shift : float
        How far the mean of the values lies from the centre line, in their standard deviations.
    growing : bool
        True for limits that grow from the first point on, as charts here have them; False for the limits of
        the steady state from the start.

    Returns
    -------
    float
        Average number of points to the first signal.

    Raises
    ------
    MeasurementError
        Where weight or width is no such number.

    Notes
    -----
    ``L(u) = 1 + integral over the limits of L(y) phi((y - (1 - lambda) u)/lambda - shift)/lambda dy``
    (Crowder 1987), by Gauss-Legendre quadrature with 81 nodes, finer for small weights. With growing
    limits the chance to run on is carried from point to point until the limits stand still.

    References
    ----------
    Crowder, Technometrics 29 (1987); Lucas and Saccucci, Technometrics 32 (1990); from memory (high).

    Examples
    --------
    >>> round(weighted_average_run_length(weight=0.1, width=2.814))
    500
    """
    _check_weight(weight)
    if not width > 0.0:
        raise MeasurementError(f"weighted average: limits at {width:g} standard deviations are no limits")
    size = max(_NODES, int(_NODES / math.sqrt(weight) / 2) | 1)
    nodes, weights = np.polynomial.legendre.leggauss(size)
    steady = width * math.sqrt(weight / (2.0 - weight))
    kernel = _kernel(steady * nodes, steady * nodes, weight, shift)
    lengths = np.asarray(
        np.linalg.solve(np.eye(size) - kernel * (steady * weights), np.ones(size)), dtype=float
    )
    if not growing:
        first = _kernel(np.zeros(1), steady * nodes, weight, shift)[0]
        return float(1.0 + first @ (steady * weights * lengths))
    return _growing_length(nodes, weights, lengths, weight, width, shift)


def weighted_average_width(*, weight: float, false_alarm_every: float) -> float:
    """Give the width of the limits with a wanted average run length in control.

    Parameters
    ----------
    weight : float
        Weight of the newest value.
    false_alarm_every : float
        Average run length in control, from 10 to 100 000 points.

    Returns
    -------
    float
        Width, in standard deviations of the average, with limits of the steady state.

    Raises
    ------
    MeasurementError
        Where no width gives that run length.

    Examples
    --------
    >>> round(weighted_average_width(weight=0.1, false_alarm_every=500.0), 2)
    2.81
    """
    from scipy.optimize import brentq

    if not 10.0 <= false_alarm_every <= 100_000.0:
        raise MeasurementError(
            f"weighted average: a false alarm every {false_alarm_every:g} points; 10 to 100 000 are possible"
        )
    return float(
        brentq(
            lambda width: math.log(
                weighted_average_run_length(weight=weight, width=width) / false_alarm_every
            ),
            0.2,
            6.0,
            xtol=1e-6,
        )
    )


def _check_weight(weight: float) -> None:
    if not 0.0 < weight <= 1.0:
        raise MeasurementError(f"weighted average: the weight {weight:g} does not lie above 0 and up to 1")


def _kernel(start: Floats, end: Floats, weight: float, shift: float) -> Floats:
    """Give the density of the next average at `end`, for averages at `start`."""
    score = (end[None, :] - (1.0 - weight) * start[:, None]) / weight - shift
    return np.asarray(np.exp(-0.5 * score**2) / (math.sqrt(2.0 * math.pi) * weight))


def _growing_length(
    nodes: Floats, weights: Floats, lengths: Floats, weight: float, width: float, shift: float
) -> float:
    halves = weighted_average_limits(_MOST_STEPS, weight=weight, width=width)
    steady = width * math.sqrt(weight / (2.0 - weight))
    density = _kernel(np.zeros(1), halves[0] * nodes, weight, shift)[0]
    total = 1.0
    for half, after in itertools.pairwise(halves):
        running = density * (half * weights)
        if steady - half < _STEADY * steady:
            return float(total + running @ lengths)
        total += float(running.sum())
        density = running @ _kernel(half * nodes, after * nodes, weight, shift)
    return float(total + (density * (halves[-1] * weights)) @ lengths)
