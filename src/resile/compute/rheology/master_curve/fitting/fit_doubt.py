"""Doubt of a fitted master curve: two scatters, and rows of a sweep that hang together."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from resile.compute.rheology.master_curve.fitting.joint_problem import JointProblem
from resile.compute.rheology.master_curve.fitting.sweep_rows import SweepRows
from resile.compute.statistics.fits.correlated_residuals import fit_of_correlated_rows
from resile.compute.statistics.fits.neighbours import beyond_chance, correlation_in_groups
from resile.records.fit import LeastSquaresFit

Floats = NDArray[np.float64]

_ROUNDING = 1e-6
"""Residuals smaller than this share of their weights are rounding and have no pattern."""


def sweep_of_rows(rows: SweepRows) -> NDArray[np.int64]:
    """Give which sweep, one temperature of one series, each row is of: rows of one follow each other.

    Parameters
    ----------
    rows : SweepRows
        The rows, in their order.

    Returns
    -------
    ndarray of int, shape (n,)
        From 0, rising.
    """
    begins = (np.diff(rows.node) != 0) | (np.diff(rows.series) != 0)
    return np.concatenate(([0], np.cumsum(begins)))


def curve_fit_of_correlated_rows(
    problem: JointProblem, fit: LeastSquaresFit
) -> tuple[LeastSquaresFit, tuple[float, float]]:
    """Give a fit the covariance that holds for moduli and angles of sweeps, and the correlations found.

    Parameters
    ----------
    problem : JointProblem
        What was fitted.
    fit : LeastSquaresFit
        With the covariance of rows of one scatter, without correlation.

    Returns
    -------
    tuple of (LeastSquaresFit, tuple of float)
        The fit with its covariance anew; correlation of neighbouring residuals of the moduli and of the phase
        angles, 0 where it is negative or may be chance.

    Notes
    -----
    Weights say what misfit counts as one; what moduli and angles scatter in truth is another matter, so each
    has a scatter of its own, found from its residuals. Within one isotherm of one sweep residuals are taken
    as an autoregression of the first order, with one correlation for all isotherms: a single one is too short
    to tell its own. See `correlated_covariance`.
    """
    values = np.asarray(fit.values)
    misfit = problem.residuals(values)
    count = len(misfit) // 2
    sweep = sweep_of_rows(problem.rows)
    pairs = int(np.sum(np.diff(sweep) == 0))
    modulus, phase = (
        beyond_chance(correlation_in_groups(own, sweep), pairs)
        if np.sqrt(np.mean(own**2)) > _ROUNDING
        else 0.0
        for own in (misfit[:count], misfit[count:])
    )
    sweeps = int(sweep[-1]) + 1
    told = fit_of_correlated_rows(
        fit,
        problem.jacobian(values),
        misfit,
        groups=np.concatenate((sweep, sweep + sweeps)),
        correlations=[modulus] * sweeps + [phase] * sweeps,
        kinds=np.repeat((0, 1), count),
    )
    return told, (modulus, phase)
