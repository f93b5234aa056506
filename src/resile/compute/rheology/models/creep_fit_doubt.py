"""Doubt of a fitted creep model where neighbouring rows of the record hang together."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from resile.compute.rheology.models.creep_projection import CreepProjection
from resile.compute.rheology.models.creep_record import CreepRecord
from resile.compute.statistics.fits.correlated_residuals import fit_of_correlated_rows
from resile.compute.statistics.fits.neighbours import neighbour_correlation
from resile.records.fit import LeastSquaresFit

Floats = NDArray[np.float64]

SEEN_PERCENT = 1e-7
"""Residuals smaller than this share of the creep strain are rounding and have no pattern."""


def creep_fit_of_correlated_rows(
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
    wider = fit_of_correlated_rows(
        fit,
        projection.slopes_by_row(values[:count], values[count:]),
        projection.weights * residuals,
        groups=level,
        correlations=correlations,
    )
    return wider, correlations


def _correlation(residuals: Floats, scale: float) -> float:
    if len(residuals) < 2 or np.sqrt(np.mean(residuals**2)) <= scale * SEEN_PERCENT / 100.0:
        return 0.0
    return neighbour_correlation(residuals)
