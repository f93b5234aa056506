"""How far beyond a limit a result must lie before it is proved that the limit is not met.

Use `proof_distance` for one result, `two_laboratory_proof_distance` for the mean of two laboratories,
`laboratories_proof_distance` for that of several.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike, NDArray

from resile.errors import MeasurementError


def proof_distance(
    reproducibility_limit: ArrayLike, *, laboratories: int = 1, confidence: float = 0.95
) -> NDArray[np.float64]:
    """Give how far beyond a limit a result must lie before a failure is proved.

    Parameters
    ----------
    reproducibility_limit : array_like of float
        R = 1.96 sqrt(2) s_R, in the unit of the result.
    laboratories : int
        Laboratories whose single results are averaged.
    confidence : float
        One-sided confidence.

    Returns
    -------
    ndarray of float
        ``z_c R/(1.96 sqrt(2) sqrt(n))``: 0.593 R for one result, 0.420 R for the mean of two laboratories.

    Raises
    ------
    MeasurementError
        Where there is no laboratory or the confidence is not between one half and one.

    Notes
    -----
    A supplier who wants the same assurance stays inside the limit by this distance.

    References
    ----------
    ISO 4259 and ASTM D3244, rule from memory (high); 1.6449/2.7718 = 0.593.

    Examples
    --------
    >>> round(float(proof_distance(1.0)), 3), round(float(proof_distance(1.0, laboratories=2)), 3)
    (0.593, 0.42)
    """
    if laboratories < 1:
        raise MeasurementError("proof of failure: at least one laboratory is needed")
    if not 0.5 < confidence < 1.0:
        raise MeasurementError("proof of failure: the confidence must lie between 0.5 and 1")
    from scipy.special import ndtri

    per_sd = float(ndtri(0.975)) * math.sqrt(2.0)
    return np.asarray(
        float(ndtri(confidence))
        / per_sd
        * np.asarray(reproducibility_limit, dtype=float)
        / math.sqrt(laboratories)
    )


def two_laboratory_proof_distance(
    reproducibility_limit: ArrayLike,
    repeatability_limit: ArrayLike,
    first_count: ArrayLike = 1,
    second_count: ArrayLike = 1,
    *,
    confidence: float = 0.95,
) -> NDArray[np.float64]:
    """Give how far beyond a limit the mean of two laboratories must lie before a failure is proved.

    Parameters
    ----------
    reproducibility_limit, repeatability_limit : array_like of float, shapes that broadcast
        R and r, in the unit of the results.
    first_count, second_count : array_like of int, shapes that broadcast
        Results k1 and k2 in the mean of each laboratory.
    confidence : float
        One-sided confidence.

    Returns
    -------
    ndarray of float
        ``z_c D/(2 * 1.96)`` with ``D = sqrt(R^2 - r^2 (1 - 1/(2 k1) - 1/(2 k2)))``; 0.420 R for k1 = k2 = 1.

    Raises
    ------
    MeasurementError
        Where a count is below one, r exceeds R, or the confidence is not between one half and one.

    Notes
    -----
    A laboratory's mean of k results has the variance ``s_R^2 - s_r^2 + s_r^2/k``. The difference of two of
    them and their sum have the same variance, and the mean is half the sum: its standard deviation is half
    that of the difference, of which D is 1.96 times. Both laboratories weigh the same, whatever their k.

    References
    ----------
    ISO 4259, from memory (high), for D and for the confidence; the variance of the mean is derived.

    Examples
    --------
    >>> round(float(two_laboratory_proof_distance(1.0, 0.5)), 3)
    0.42
    """
    counts = np.stack(np.broadcast_arrays(*(np.asarray(k, dtype=float) for k in (first_count, second_count))))
    return laboratories_proof_distance(
        reproducibility_limit, repeatability_limit, np.moveaxis(counts, 0, -1), confidence=confidence
    )


def laboratories_proof_distance(
    reproducibility_limit: ArrayLike,
    repeatability_limit: ArrayLike,
    counts: ArrayLike,
    *,
    confidence: float = 0.95,
) -> NDArray[np.float64]:
    """Give how far beyond a limit the mean of several laboratories must lie before a failure is proved.

    Parameters
    ----------
    reproducibility_limit, repeatability_limit : array_like of float, shapes (...) that broadcast
        R and r, in the unit of the results.
    counts : array_like of int, shape (..., n)
        Results in the mean of each of n laboratories, which weigh the same.
    confidence : float
        One-sided confidence.

    Returns
    -------
    ndarray of float, shape (...)
        ``z_c/(1.96 sqrt(2)) sqrt(sum_j (R^2 - r^2 (1 - 1/k_j)))/n``; 0.593 R for one result, 0.420 R for two
        laboratories with one each.

    Raises
    ------
    MeasurementError
        Where a count is below one, r exceeds R, or the confidence is not between one half and one.

    References
    ----------
    ISO 4259, from memory (high), for the confidence; the variance of the mean is derived as in
    `two_laboratory_proof_distance`.

    Examples
    --------
    >>> round(float(laboratories_proof_distance(1.0, 0.5, [1])), 3)
    0.593
    """
    if not 0.5 < confidence < 1.0:
        raise MeasurementError("proof of failure: the confidence must lie between 0.5 and 1")
    from scipy.special import ndtri

    big, small = np.asarray(reproducibility_limit, dtype=float), np.asarray(repeatability_limit, dtype=float)
    k = np.asarray(counts, dtype=float)
    if not k.size or np.any(k < 1.0):
        raise MeasurementError("laboratories: each needs at least one result")
    if np.any(small > big) or np.any(small < 0.0):
        raise MeasurementError(
            "laboratories: the repeatability must lie between zero and the reproducibility"
        )
    squares = np.sum(big[..., None] ** 2 - small[..., None] ** 2 * (1.0 - 1.0 / k), axis=-1)
    per_sd = float(ndtri(0.975)) * math.sqrt(2.0)
    return np.asarray(float(ndtri(confidence)) / per_sd * np.sqrt(squares) / k.shape[-1])
