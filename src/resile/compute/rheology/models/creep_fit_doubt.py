"""Doubt of a fitted creep model where neighbouring rows of the record hang together."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from resile.compute.rheology.models.creep_projection import CreepProjection
from resile.compute.rheology.models.creep_record import CreepRecord
from resile.compute.statistics.fits.correlated_residuals import correlated_covariance, neighbour_correlation
from resile.records.fit import LeastSquaresFit

Floats = NDArray[np.float64]

SEEN_PERCENT = 1e-7
"""Residuals smaller than this share of the creep strain are rounding and have no pattern."""


def fit_of_correlated_rows(
    fit: LeastSquaresFit, projection: CreepProjection, record: CreepRecord, residuals: Floats
) -> tuple[LeastSquaresFit, tuple[float, ...]]:
    """Give a fit the covariance that holds for correlated residuals, and the correlations found.

    Parameters
    ----------
    fit : LeastSquaresFit
        Curved parameters first, with the covariance of rows without correlation.
    projection : CreepProjection
        All rows, weighted.
    record : CreepRecord
        The record.
    residuals : ndarray of float, shape (n,)
        Measured less fitted strain.

    Returns
    -------
    tuple of (LeastSquaresFit, tuple of float)
        The fit, unchanged where no level shows a correlation, and that of neighbours at each level.
    """
    level = record.level
    correlations = tuple(
        _correlation(residuals[level == place], float(scale)) for place, scale in enumerate(record.scales)
    )
    if not any(correlations):
        return fit, correlations
    values = np.array(fit.values)
    count = (len(values) - projection.fixed.shape[1]) // (1 + len(record.levels_kpa))
    moving = np.setdiff1d(np.arange(len(values)), fit.at_bounds)
    told = correlated_covariance(
        projection.slopes_by_row(values[:count], values[count:])[:, moving],
        projection.weights * residuals,
        groups=level,
        correlations=correlations,
    )
    covariance = np.full((len(values), len(values)), np.nan)
    covariance[np.ix_(moving, moving)] = told.covariance
    with np.errstate(invalid="ignore"):
        standards = np.sqrt(np.diag(covariance))
    wider = replace(
        fit,
        standards=tuple(standards.tolist()),
        covariance=tuple(tuple(row) for row in covariance.tolist()),
        residual_standard=told.scatter,
        degrees_of_freedom=max(int(told.effective_rows) - len(moving), 1),
    )
    return wider, correlations


def _correlation(residuals: Floats, scale: float) -> float:
    if len(residuals) < 2 or np.sqrt(np.mean(residuals**2)) <= scale * SEEN_PERCENT / 100.0:
        return 0.0
    return neighbour_correlation(residuals)
