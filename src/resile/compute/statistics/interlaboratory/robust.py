"""Robust mean and standard deviation of the results of a round: outlying results pull little."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike

from resile.compute.statistics.finite import finite_row
from resile.records.laboratories import RobustMean, WinsorStep

MAD_TO_DEVIATION = 1.483
"""Median absolute deviation to standard deviation, for a normal distribution, as the standards round it."""
QUARTILES_TO_DEVIATION = 0.7413
"""Distance of the quartiles to standard deviation, for a normal distribution."""
PULL_IN = 1.5
"""Robust standard deviations beyond which Algorithm A pulls a result in."""
AFTER_PULL_IN = 1.134
"""What pulling in at 1.5 takes off the standard deviation of a normal distribution."""
MEDIAN_INEFFICIENCY = 1.25
"""Standard uncertainty of the robust mean over s*/sqrt(p)."""

_STEPS = 1000


def algorithm_a(values: ArrayLike, *, tolerance: float = 1e-9) -> RobustMean:
    """Give the robust mean and standard deviation by Algorithm A.

    Parameters
    ----------
    values : array_like of float, shape (p,)
        One result, or mean of results, of each laboratory; at least 3, in any order.
    tolerance : float
        Ends when neither moves by more than this share of s*. ISO 13528 stops at the third significant
        figure.

    Returns
    -------
    RobustMean
        With every step, and what a median, quartiles and the ordinary mean say.

    Raises
    ------
    MeasurementError
        Where there are fewer than three results or one is not finite.

    Notes
    -----
    Start: median and 1.483 MAD. Then results beyond ``x* ± 1.5 s*`` are pulled in to it, x* is the mean and
    s* 1.134 times the standard deviation of what results. ``u(x*) = 1.25 s*/sqrt(p)``. Where more than half
    of the results are equal, MAD is zero and the ordinary standard deviation starts. Quartiles are
    interpolated between the ordered results (at 1 + (p - 1)/4 and 1 + 3(p - 1)/4).

    References
    ----------
    ISO 13528:2015, C.3.1, and ISO 5725-5:1998, 5.1; constants from memory (high).

    Examples
    --------
    >>> found = algorithm_a([24.140, 20.155, 19.500, 20.300, 20.705, 17.570, 20.100, 20.940, 21.185])
    >>> round(found.location, 4), round(found.scale, 4)
    (20.4121, 1.0698)
    """
    x = finite_row(values, "robust mean", least=3)
    median = float(np.median(x))
    scaled = MAD_TO_DEVIATION * float(np.median(np.abs(x - median)))
    ordinary = float(x.std(ddof=1))
    low, high = np.quantile(x, [0.25, 0.75])
    step = WinsorStep(median, scaled if scaled > 0.0 else ordinary)
    steps, converged = [step], False
    while not converged and len(steps) <= _STEPS:
        pulled = np.clip(x, step.location - PULL_IN * step.scale, step.location + PULL_IN * step.scale)
        after = WinsorStep(float(pulled.mean()), AFTER_PULL_IN * float(pulled.std(ddof=1)))
        moved = max(abs(after.location - step.location), abs(after.scale - step.scale))
        converged = moved <= tolerance * after.scale
        steps.append(after)
        step = after
    beyond = np.abs(x - step.location) > PULL_IN * step.scale
    return RobustMean(
        count=len(x),
        location=step.location,
        scale=step.scale,
        location_standard=MEDIAN_INEFFICIENCY * step.scale / math.sqrt(len(x)),
        steps=tuple(steps),
        converged=converged,
        mean=float(x.mean()),
        standard_deviation=ordinary,
        median=median,
        scaled_deviation=scaled,
        normalised_quartile_range=QUARTILES_TO_DEVIATION * float(high - low),
        pulled_in=tuple(int(place) for place in np.flatnonzero(beyond)),
    )
