"""The share of a product beyond a limit, and factors of tolerance bounds.

Use `share_beyond` for the share with its interval, `tolerance_factor` for the k of a one-sided tolerance
bound: mean and k standard deviations keep a share of the product with a confidence.
"""

from __future__ import annotations

import math

from resile.compute.statistics.capability.noncentral import noncentrality_at
from resile.errors import InputError


def share_beyond(
    distance: float, count: int, *, degrees_of_freedom: float | None = None, confidence: float = 0.95
) -> tuple[float, float, float]:
    """Give the share of normal values beyond a limit, with its interval.

    Parameters
    ----------
    distance : float
        From the mean to the limit in standard deviations, positive where the mean keeps the limit.
    count : int
        Values behind the mean.
    degrees_of_freedom : float or None
        Of the standard deviation; None for ``count - 1``, for which the interval is exact.
    confidence : float
        Two-sided, above 0 and below 1.

    Returns
    -------
    tuple of (float, float, float)
        Share as estimated, smallest and largest share.

    Raises
    ------
    InputError
        Where the distance is not finite, there are fewer than two values or the confidence is no share.

    Notes
    -----
    Estimate ``Phi(-K)``. ``sqrt(n) K`` follows noncentral t with noncentrality ``sqrt(n) K(true)``; the ends
    of the interval of K(true) give those of the share.

    References
    ----------
    Hahn and Meeker 1991, Statistical Intervals, section 4.6 and chapter 5, from memory (high).

    Examples
    --------
    >>> [round(100.0 * one, 2) for one in share_beyond(2.0, 30)]
    [2.28, 0.44, 8.55]
    """
    from scipy.special import ndtr

    freedom = float(count - 1) if degrees_of_freedom is None else degrees_of_freedom
    if not (math.isfinite(distance) and count >= 2 and 0.0 < confidence < 1.0):
        raise InputError(
            f"share beyond a limit: distance {distance:g}, {count} values, confidence {confidence:g} found; "
            "a finite distance, at least 2 values and a confidence between 0 and 1 are needed"
        )
    root, tail = math.sqrt(count), (1.0 - confidence) / 2.0
    near = noncentrality_at(1.0 - tail, freedom, root * distance) / root
    far = noncentrality_at(tail, freedom, root * distance) / root
    return float(ndtr(-distance)), float(ndtr(-far)), float(ndtr(-near))


def tolerance_factor(count: int, *, share: float, confidence: float = 0.95) -> float:
    """Give k of a one-sided tolerance bound for normal values.

    Parameters
    ----------
    count : int
        Values behind mean and standard deviation, two at least.
    share : float
        Of the product that is to keep the bound, above 0 and below 1.
    confidence : float
        One-sided, above 0 and below 1.

    Returns
    -------
    float
        With mean ``m`` and standard deviation ``s``, a share of the product of at least `share` lies below
        ``m + k s`` (or above ``m - k s``) with this confidence.

    Raises
    ------
    InputError
        Where an argument is outside its range.

    Notes
    -----
    ``k = t(confidence; n - 1, z(share) sqrt(n))/sqrt(n)`` with noncentral t.

    References
    ----------
    Hahn and Meeker 1991, Statistical Intervals, table A.12; NIST/SEMATECH e-Handbook, 7.2.6.3; from memory
    (high).

    Examples
    --------
    >>> round(tolerance_factor(10, share=0.95), 3)
    2.911
    """
    from scipy.special import nctdtrit, ndtri

    if not (count >= 2 and 0.0 < share < 1.0 and 0.0 < confidence < 1.0):
        raise InputError(
            f"tolerance factor: {count} values, share {share:g}, confidence {confidence:g} found; at least "
            "2 values and shares between 0 and 1 are needed"
        )
    root = math.sqrt(count)
    return float(nctdtrit(count - 1, float(ndtri(share)) * root, confidence)) / root
