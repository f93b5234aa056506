"""Critical values of the consistency and outlier statistics of a study, by formula and not from tables."""

from __future__ import annotations

import math

from resile.compute.statistics.probability.student import student_quantile
from resile.errors import MeasurementError


def h_critical(laboratories: int, *, significance: float = 0.005) -> float:
    """Give the value that h of one laboratory exceeds by chance in a share `significance` of studies.

    Parameters
    ----------
    laboratories : int
        Laboratories p on the material, at least 3.
    significance : float
        Two-sided, between 0 and 1.

    Returns
    -------
    float
        Critical value of ``|h|``.

    Raises
    ------
    MeasurementError
        Where there are fewer than three laboratories or the significance is not between 0 and 1.

    Notes
    -----
    ``h = (p - 1) t / sqrt(p (t^2 + p - 2))`` with t two-sided for p - 2 degrees of freedom.

    References
    ----------
    ASTM E691, critical values at 0.5 %; the formula as used by public code, checked against 2.15 for 8.

    Examples
    --------
    >>> round(h_critical(8), 6)
    2.152492
    """
    p = _laboratories(laboratories, 3)
    t = student_quantile(1.0 - _significance(significance) / 2.0, p - 2.0)
    return (p - 1.0) * t / math.sqrt(p * (t * t + p - 2.0))


def k_critical(own_freedom: float, other_freedom: float, *, significance: float = 0.005) -> float:
    """Give the value that k of one laboratory exceeds by chance in a share `significance` of studies.

    Parameters
    ----------
    own_freedom : float
        Degrees of freedom of the laboratory: its results less one.
    other_freedom : float
        Degrees of freedom of all others together.
    significance : float
        One-sided, between 0 and 1.

    Returns
    -------
    float
        Critical value of k, the standard deviation of the laboratory over the pooled one.

    Raises
    ------
    MeasurementError
        Where a number of degrees of freedom is below one or the significance is not between 0 and 1.

    Notes
    -----
    ``k^2 = (v + w) F / (v F + w)`` with F one-sided for v and w degrees of freedom. With n results from each
    of p laboratories this is ``sqrt(p F / (F + p - 1))`` of ASTM E691.

    References
    ----------
    ASTM E691, critical values at 0.5 %; 2.06 for 8 laboratories with 3 results each.

    Examples
    --------
    >>> round(k_critical(2, 14), 6)
    2.06084
    """
    if own_freedom < 1.0 or other_freedom < 1.0:
        raise MeasurementError(
            "critical k: the laboratory, and the others together, need one degree of freedom"
        )
    f = _fisher(own_freedom, other_freedom, _significance(significance))
    return math.sqrt((own_freedom + other_freedom) * f / (own_freedom * f + other_freedom))


def cochran_critical(laboratories: int, replicates: int, *, significance: float = 0.05) -> float:
    """Give the critical value of Cochran's statistic: largest variance over the sum of variances.

    Parameters
    ----------
    laboratories : int
        Laboratories, at least 2.
    replicates : int
        Results of each, at least 2.
    significance : float
        Between 0 and 1.

    Returns
    -------
    float
        Critical value.

    Raises
    ------
    MeasurementError
        Where there are too few laboratories or results or the significance is not between 0 and 1.

    Notes
    -----
    ``C = 1/(1 + (p - 1)/F)``, F at ``significance/p`` for n - 1 and (p - 1)(n - 1) degrees of freedom.

    References
    ----------
    ISO 5725-2:1994, 7.3.3 and Table 4, from memory (high); 0.5157 for 8 laboratories with 3 results each.

    Examples
    --------
    >>> round(cochran_critical(8, 3), 4)
    0.5157
    """
    p = _laboratories(laboratories, 2)
    if replicates < 2:
        raise MeasurementError("critical Cochran: every laboratory needs at least two results")
    f = _fisher(replicates - 1.0, (p - 1.0) * (replicates - 1.0), _significance(significance) / p)
    return 1.0 / (1.0 + (p - 1.0) / f)


def grubbs_critical(laboratories: int, *, significance: float = 0.05) -> float:
    """Give the critical value of the largest distance of one mean from the average, in standard deviations.

    Parameters
    ----------
    laboratories : int
        Laboratories, at least 3.
    significance : float
        Two-sided, between 0 and 1.

    Returns
    -------
    float
        Critical value.

    Raises
    ------
    MeasurementError
        Where there are fewer than three laboratories or the significance is not between 0 and 1.

    Notes
    -----
    ``G = (p - 1) t / sqrt(p (p - 2 + t^2))`` with t at ``significance/(2 p)`` for p - 2 degrees of freedom:
    the critical h at ``significance/p``.

    References
    ----------
    ISO 5725-2:1994, 7.3.4 and Table 5, from memory (high): 2.126 at 5 % and 2.274 at 1 % for 8.
    """
    return h_critical(laboratories, significance=_significance(significance) / _laboratories(laboratories, 3))


def _laboratories(count: int, least: int) -> float:
    if count < least:
        raise MeasurementError(
            f"critical value for {count} laboratories: at least {least} laboratories are needed"
        )
    return float(count)


def _significance(given: float) -> float:
    if not 0.0 < given < 1.0:
        raise MeasurementError("critical value: the significance must lie between 0 and 1")
    return given


def _fisher(first: float, second: float, share: float) -> float:
    """Give the value of F that is exceeded by chance in this share."""
    from scipy.special import fdtri

    return float(fdtri(first, second, 1.0 - share))
