"""Cumulative sums with a slack and a decision interval: the chart for small, lasting shifts, dated.

`cumulative_sums` makes the chart, `cumulative_sum_run_length` says what it promises, and
`decision_interval` gives the interval for a wanted run length in control.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from resile.errors import MeasurementError

_NODES = 61

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class CumulativeSums:
    """Both one-sided sums of a chart.

    Attributes
    ----------
    upper, lower : ndarray of float, shape (n,)
        Sums above and below the target, both zero or more.
    upper_run, lower_run : ndarray of int, shape (n,)
        Points for which a sum has been above zero: it began that many points ago.
    """

    upper: Floats
    lower: Floats
    upper_run: NDArray[np.int_]
    lower_run: NDArray[np.int_]


def cumulative_sums(
    values: ArrayLike, *, target: float, slack: float, head_start: float = 0.0
) -> CumulativeSums:
    """Give both one-sided cumulative sums.

    Parameters
    ----------
    values : array_like of float, shape (n,)
        Values in order of time.
    target : float
        What is aimed at.
    slack : float
        Half of the shift that is to be found, in the unit of the values; zero or more.
    head_start : float
        Where both sums begin; zero, or half the decision interval for a fast initial response.

    Returns
    -------
    CumulativeSums
        ``C+_i = max(0, C+_(i-1) + x_i - target - slack)`` and its mirror image.

    Raises
    ------
    MeasurementError
        Where a value is no number, or slack or head start lies below zero.

    References
    ----------
    Page, Biometrika 41 (1954); NIST/SEMATECH e-Handbook 6.3.2.3; Lucas and Crosier, Technometrics 24 (1982)
    for the head start; from memory (high).

    Examples
    --------
    >>> cumulative_sums([1.0, 1.0], target=0.0, slack=0.5).upper.tolist()
    [0.5, 1.0]
    """
    x = np.asarray(values, dtype=float)
    if x.ndim != 1 or not np.all(np.isfinite(x)) or slack < 0.0 or head_start < 0.0:
        raise MeasurementError(
            "cumulative sum: finite numbers, a slack and a head start of zero or more are needed"
        )
    upper, upper_run = _one_sided(x - target - slack, head_start)
    lower, lower_run = _one_sided(target - x - slack, head_start)
    return CumulativeSums(upper=upper, lower=lower, upper_run=upper_run, lower_run=lower_run)


def cumulative_sum_run_length(
    *, slack: float, interval: float, shift: float = 0.0, head_start: float = 0.0, two_sided: bool = True
) -> float:
    """Give the average run length of a cumulative-sum chart; all lengths in standard deviations of a value.

    Parameters
    ----------
    slack, interval : float
        Slack and decision interval, printed as k and h.
    shift : float
        How far the mean of the values lies from the target, from the first value on.
    head_start : float
        Where the sums begin, below the interval.
    two_sided : bool
        True for both sums together, False for the upper one alone.

    Returns
    -------
    float
        Average number of points to the first signal.

    Raises
    ------
    MeasurementError
        Where slack, interval or head start are no such numbers.

    Notes
    -----
    ``L(u) = 1 + L(0) Phi(k - u - shift) + integral from 0 to h of L(y) phi(y + k - u - shift) dy`` (Page), by
    Gauss-Legendre quadrature. Of both sums ``1/L = 1/L+ + 1/L-``; with a head start ``(L+(s) L-(0) + L-(s)
    L+(0) - L+(0) L-(0))/(L+(0) + L-(0))`` (Lucas and Crosier 1982).

    References
    ----------
    As in `cumulative_sums`; NIST/SEMATECH e-Handbook 6.3.2.3.1 tabulates run lengths.

    Examples
    --------
    >>> round(cumulative_sum_run_length(slack=0.5, interval=4.0), 0)
    168.0
    """
    if slack < 0.0 or interval <= 0.0 or not 0.0 <= head_start < interval:
        raise MeasurementError(
            f"cumulative sum: slack {slack:g}, interval {interval:g}, head start {head_start:g}; "
            "needed are a slack of zero or more, an interval above zero and a head start below it"
        )
    zero_up, head_up = _one_sided_lengths(slack, interval, shift, head_start)
    if not two_sided:
        return head_up
    zero_down, head_down = _one_sided_lengths(slack, interval, -shift, head_start)
    if head_start == 0.0:
        return 1.0 / (1.0 / zero_up + 1.0 / zero_down)
    # Divided through by the larger of the two lengths: far from control they differ by many powers of ten.
    share = zero_up / (zero_up + zero_down)
    return head_up * (1.0 - share) + head_down * share - zero_down * share


def decision_interval(*, slack: float, false_alarm_every: float) -> float:
    """Give the decision interval of both sums with a wanted average run length in control.

    Parameters
    ----------
    slack : float
        In standard deviations, 0.05 or more.
    false_alarm_every : float
        Average run length in control, from 10 to 100 000 points.

    Returns
    -------
    float
        Interval, in standard deviations.

    Raises
    ------
    MeasurementError
        Where no interval gives that run length.

    Examples
    --------
    >>> round(decision_interval(slack=0.5, false_alarm_every=370.4), 2)
    4.77
    """
    from scipy.optimize import brentq

    if not 10.0 <= false_alarm_every <= 100_000.0 or slack < 0.05:
        raise MeasurementError(
            f"cumulative sum: a false alarm every {false_alarm_every:g} points with a slack of {slack:g}; "
            "10 to 100 000 points and a slack of 0.05 or more are possible"
        )
    return float(
        brentq(
            lambda h: math.log(cumulative_sum_run_length(slack=slack, interval=h) / false_alarm_every),
            0.05,
            5.0 + 5.0 / slack,
            xtol=1e-6,
        )
    )


def _one_sided(steps: Floats, head_start: float) -> tuple[Floats, NDArray[np.int_]]:
    sums, runs = np.empty_like(steps), np.zeros(steps.shape, dtype=int)
    last, run = head_start, 0
    for place, step in enumerate(steps):
        last = max(0.0, last + float(step))
        run = run + 1 if last > 0.0 else 0
        sums[place], runs[place] = last, run
    return sums, runs


def _one_sided_lengths(slack: float, interval: float, shift: float, head: float) -> tuple[float, float]:
    """Give the run lengths of one sum from zero and from the head start."""
    from scipy.special import ndtr

    size = max(_NODES, int(8.0 * interval) | 1)
    nodes, weights = np.polynomial.legendre.leggauss(size)
    y, weights = 0.5 * interval * (nodes + 1.0), 0.5 * interval * weights
    starts = np.concatenate([[0.0, head], y])
    to_zero = ndtr(slack - starts - shift)
    score = y[None, :] + slack - starts[:, None] - shift
    onward = np.exp(-0.5 * score**2) / math.sqrt(2.0 * math.pi) * weights
    chain = np.zeros((size + 2, size + 2))
    chain[:, 0] = to_zero
    chain[:, 2:] = onward
    lengths = np.linalg.solve(np.eye(size + 2) - chain, np.ones(size + 2))
    return float(lengths[0]), float(lengths[1])
