"""Published standard deviations of arrays of values, and the standard uncertainty of means.

Use `published_standards` with the bands of one precision statement for one quantity and residue, then
`reproducibility_of_means` or `repeatability_of_means`.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike, NDArray

from resile.errors import MeasurementError
from resile.records.specification import PrecisionBand

Numbers = NDArray[np.float64]


def published_standards(values: ArrayLike, bands: Sequence[PrecisionBand]) -> tuple[Numbers, Numbers]:
    """Give repeatability and reproducibility standard deviation at each value.

    Parameters
    ----------
    values : array_like of float, shape (n,)
        In the unit of the glossary.
    bands : sequence of PrecisionBand
        Rows of one statement for one quantity and residue, as printed; the first that holds counts.

    Returns
    -------
    tuple of two ndarrays of float, shape (n,)
        Single-operator and multilaboratory; not-a-number where nothing is stated.

    Raises
    ------
    MeasurementError
        Where a value is not finite.

    References
    ----------
    By the form of ASTM C670 precision statements: a coefficient of variation in percent of the value, or a
    standard deviation in its unit.

    Examples
    --------
    >>> band = PrecisionBand("jnr_3.2", 1.0, None, True, 4.3, 7.9)
    >>> [one.round(4).tolist() for one in published_standards([2.0, 0.5], [band])]
    [[0.086, nan], [0.158, nan]]
    """
    x = np.asarray(values, dtype=float)
    if not np.isfinite(x).all():
        raise MeasurementError("published precision: every value must be a finite number")
    single, several = np.full(x.shape, np.nan), np.full(x.shape, np.nan)
    free = np.ones(x.shape, dtype=bool)
    for band in bands:
        here = free & _held(x, band)
        single[here] = _scaled(band.single_operator_percent, band.single_operator_sd, x[here])
        several[here] = _scaled(band.multilaboratory_percent, band.multilaboratory_sd, x[here])
        free &= ~here
    return single, several


def repeatability_of_means(repeatability: ArrayLike, counts: ArrayLike) -> Numbers:
    """Give the standard uncertainty of means that rests on repeatability alone.

    Parameters
    ----------
    repeatability : array_like of float
        Single-operator standard deviations.
    counts : array_like of int, shape that broadcasts
        Determinations in each mean.

    Returns
    -------
    ndarray of float
        ``s_r/sqrt(n)``.

    References
    ----------
    By definition; ISO 5725-6, from memory (high).

    Examples
    --------
    >>> repeatability_of_means([0.2], [4]).tolist()
    [0.1]
    """
    return np.asarray(np.asarray(repeatability, dtype=float) / np.sqrt(np.asarray(counts, dtype=float)))


def reproducibility_of_means(
    repeatability: ArrayLike, reproducibility: ArrayLike, counts: ArrayLike
) -> Numbers:
    """Give the standard uncertainty of means that rests on reproducibility.

    Parameters
    ----------
    repeatability, reproducibility : array_like of float, shapes that broadcast
        Single-operator and multilaboratory standard deviations; a repeatability that is not-a-number counts
        as zero.
    counts : array_like of int, shape that broadcasts
        Determinations in each mean.

    Returns
    -------
    ndarray of float
        ``sqrt(s_R^2 - s_r^2 (1 - 1/n))``: what differs between laboratories does not shrink with replicates.

    References
    ----------
    ISO 5725-6 and ISO 4259, from memory (high).

    Examples
    --------
    >>> reproducibility_of_means([0.3], [0.5], [1]).tolist()
    [0.5]
    """
    total = np.asarray(reproducibility, dtype=float) ** 2
    single = np.nan_to_num(np.asarray(repeatability, dtype=float)) ** 2
    left = total - single * (1.0 - 1.0 / np.asarray(counts, dtype=float))
    return np.asarray(np.sqrt(np.where(left < 0.0, 0.0, left)))


def _held(x: Numbers, band: PrecisionBand) -> NDArray[np.bool_]:
    held = np.ones(x.shape, dtype=bool)
    if band.above is not None:
        held &= (x > band.above) if band.above_exclusive else (x >= band.above)
    if band.up_to is not None:
        held &= x <= band.up_to
    return held


def _scaled(percent: float | None, absolute: float | None, x: Numbers) -> Numbers:
    if absolute is not None:
        return np.full(x.shape, absolute)
    if percent is None:
        return np.full(x.shape, np.nan)
    # A coefficient of variation says nothing about a value at or below zero.
    return np.where(x > 0.0, percent / 100.0 * x, np.nan)
