"""Whether values look normal: the test of Anderson and Darling with mean and scatter from the values."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike

from resile.errors import InputError
from resile.records.control.capability import FitOfNormal

FEWEST = 8
"""Values below which the probability of the test is not given: the approximation holds from there."""


def anderson_darling(values: ArrayLike) -> FitOfNormal:
    """Test whether values come from a normal distribution of unknown mean and scatter.

    Parameters
    ----------
    values : array_like of float, shape (n,)
        On the scale that is to be tested; eight at least, not all alike.

    Returns
    -------
    FitOfNormal
        Statistic with the correction for few values, and the probability of one as large.

    Raises
    ------
    InputError
        Where there are too few values, one is not finite, or all are alike.

    Notes
    -----
    ``A² = -n - sum((2 i - 1)(ln F_i + ln(1 - F_(n+1-i))))/n``, ``A*² = A² (1 + 0.75/n + 2.25/n²)``, and
    the probability by the four curves of D'Agostino and Stephens. No test proves a normal distribution: a
    large probability says that these values do not speak against it.

    References
    ----------
    D'Agostino and Stephens 1986, Goodness-of-Fit Techniques, table 4.9, from memory (high).

    Examples
    --------
    >>> anderson_darling([1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 7.0, 8.0, 9.0]).probability > 0.9
    True
    """
    from scipy.special import log_ndtr

    series = np.sort(np.asarray(values, dtype=float))
    if series.ndim != 1 or series.size < FEWEST or not np.isfinite(series).all():
        raise InputError(f"test of fit: {series.size} values found; {FEWEST} finite numbers are needed")
    spread = float(np.std(series, ddof=1))
    if spread <= 0.0:
        raise InputError("test of fit: all values are alike; values that scatter are needed")
    count = series.size
    scores = (series - series.mean()) / spread
    weights = 2.0 * np.arange(1, count + 1) - 1.0
    raw = -count - float(np.sum(weights * (log_ndtr(scores) + log_ndtr(-scores[::-1])))) / count
    statistic = raw * (1.0 + 0.75 / count + 2.25 / count**2)
    return FitOfNormal(statistic=statistic, probability=_probability(statistic))


def _probability(a: float) -> float:
    if a < 0.2:
        return 1.0 - math.exp(-13.436 + 101.14 * a - 223.73 * a * a)
    if a < 0.34:
        return 1.0 - math.exp(-8.318 + 42.796 * a - 59.938 * a * a)
    if a < 0.6:
        return math.exp(0.9177 - 4.279 * a - 1.38 * a * a)
    return math.exp(1.2937 - 5.709 * a + 0.0186 * a * a) if a < 13.0 else 0.0
