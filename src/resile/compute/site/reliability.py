"""Reliability of a design temperature, and the chance that a grade step is enough for a year.

Use `reliability_quantile` for the exact normal quantile, `enough_probability` for the chance that a step
holds. Textbooks round the quantile of 98 % to 2, standards print 2.055: where that flips a grade, it must be
shown.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy import special, stats

from resile.compute.site.inputs import deviation
from resile.errors import MeasurementError

Floats = NDArray[np.float64]

STEP_TOLERANCE_C = 1e-9
"""A temperature within this of a step lies on it: sums of decimal numbers are not exact [°C]."""


def reliability_quantile(reliability_percent: ArrayLike) -> Floats:
    """Give the exact normal quantile of a reliability.

    Parameters
    ----------
    reliability_percent : array_like of float
        Probability that a year does not exceed the design temperature, 50 to below 100 [%].

    Returns
    -------
    ndarray of float
        z.

    Raises
    ------
    MeasurementError
        Where a reliability is below 50 % or not below 100 %.

    References
    ----------
    Normal distribution of the yearly extreme: Mamlouk and Zaniewski, Materials for Civil and Construction
    Engineers, p. 359, read.

    Examples
    --------
    >>> round(float(reliability_quantile(98.0)), 4)
    2.0537
    """
    share = np.asarray(reliability_percent, dtype=float) / 100.0
    if not np.isfinite(share).all() or np.any(share < 0.5) or np.any(share >= 1.0):
        raise MeasurementError("reliability: needed is 50 % or more and less than 100 %")
    return np.asarray(special.ndtri(share))


def step_needed(temperature_c: ArrayLike, steps_c: ArrayLike, *, end: str) -> Floats:
    """Give the mildest grade step that covers a temperature.

    Parameters
    ----------
    temperature_c : array_like of float, shape (...)
        Design temperature of the pavement [°C].
    steps_c : array_like of float, shape (n,)
        Steps that the specification has, in any order [°C].
    end : str
        ``"high"``: the lowest step at or above it. ``"low"``: the highest step at or below it.

    Returns
    -------
    ndarray of float, shape (...)
        Step [°C]; not-a-number where no step reaches.

    Raises
    ------
    MeasurementError
        Where the end is not known, or a number is not finite.

    Notes
    -----
    A temperature equal to a step is covered by it.

    Examples
    --------
    >>> float(step_needed(-34.0, [-28.0, -34.0, -40.0], end="low"))
    -34.0
    """
    sign = _sign(end)
    wanted, steps = (
        sign * np.asarray(temperature_c, dtype=float),
        np.sort(sign * np.asarray(steps_c, dtype=float)),
    )
    if not np.isfinite(wanted).all() or not np.isfinite(steps).all():
        raise MeasurementError("grade step: every temperature and every step must be a finite number (°C)")
    place = np.searchsorted(steps, wanted - STEP_TOLERANCE_C, side="left")
    return np.asarray(sign * np.append(steps, np.nan)[place])


def enough_probability(
    step_c: ArrayLike, mean_c: ArrayLike, sd_c: ArrayLike, *, end: str, n_years: int | None = None
) -> Floats:
    """Give the probability that a grade step is enough in one year.

    Parameters
    ----------
    step_c : array_like of float, shape that broadcasts
        High or low temperature of the grade [°C].
    mean_c, sd_c : array_like of float, shapes that broadcast
        Mean and standard deviation of the yearly pavement temperature, weather and model together [°C].
    end : str
        ``"high"``: not exceeded; ``"low"``: not undercut.
    n_years : int or None
        Years behind mean and deviation: Student's predictive distribution takes the place of the normal one.
        None for the normal distribution, as the published method has it.

    Returns
    -------
    ndarray of float
        Probability, 0 to 1; with a deviation of zero it is 0 or 1.

    Raises
    ------
    MeasurementError
        Where the end is not known, a deviation is below zero or there are fewer than two years.

    Notes
    -----
    Predictive form: ``t = (step - mean)/(s sqrt(1 + 1/n))`` with n - 1 degrees of freedom: few years
    widen it.

    References
    ----------
    Normal form: Mamlouk and Zaniewski, p. 359, read. Predictive form: textbooks of statistics.
    """
    sign = _sign(end)
    step, mean, sd = np.asarray(step_c, dtype=float), np.asarray(mean_c, dtype=float), deviation(sd_c)
    if n_years is not None and n_years < 2:
        raise MeasurementError("probability of a grade step: needed are two years or more")
    spare = sign * (step - mean)
    with np.errstate(divide="ignore", invalid="ignore"):
        score = np.where(spare == 0.0, 0.0, spare / sd)
    if n_years is None:
        chance = special.ndtr(score)
    else:
        chance = stats.t.cdf(score / np.sqrt(1.0 + 1.0 / n_years), n_years - 1)
    return np.asarray(np.where(sd == 0.0, (spare >= 0.0).astype(float), chance))


def _sign(end: str) -> float:
    if end not in ("high", "low"):
        raise MeasurementError(f"end of a grade '{end}' is not known; needed: high or low")
    return 1.0 if end == "high" else -1.0
