"""A recovery curve over the net polymer content, fitted to trial blends with published ranges as prior."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from resile.compute.blending.rules.polymer_recovery import recovery_curve, recovery_slopes
from resile.compute.blending.surfaces.mixture_surface import surface_quality
from resile.compute.blending.surfaces.residual_kernel import (
    FEWEST_BLENDS,
    kernel_matrix,
    likeliest_residual,
)
from resile.compute.blending.surfaces.trial_blends import TrialBlends, gather_trials
from resile.compute.statistics.fits.least_squares import fit_least_squares
from resile.errors import MeasurementError
from resile.records.blending.limit import Response
from resile.records.blending.polymer import RecoveryPrior
from resile.records.blending.surface import Surface

Floats = NDArray[np.float64]

FORM = "recovery curve"
LOWEST = np.array([1.0, 0.05, 0.05])
HIGHEST = np.array([100.0, 20.0, 10.0])
"""Bounds of plateau, middle and width [%] (own choice)."""
FEWEST_SPARE = 0.5
"""Degrees of freedom that must be left to tell the scatter (own choice)."""
FINEST = 0.01
"""Least scatter of a batch that is believed: a tenth of the last printed digit of a recovery [%]."""
RESIDUAL_LENGTHS = (0.2, 0.6)
"""Bounds of the length of the residual, in ranges of each share: long waves are what the curve is for (own
choice, held by trials of curves of another shape)."""
ZOOMS = 2
"""Closer grids in the search for length, height and scatter of the residual."""
ROUNDS = 12
"""Times the scatter is found anew, at most."""
SETTLED = 1e-6
"""Change of the scatter, as a ratio, at which it has settled."""


@dataclass(frozen=True, slots=True)
class _Curve:
    """A fitted curve with its smooth residual; `total` is the covariance of the batch means about it."""

    values: Floats
    covariance: Floats
    between: float
    kernel_variance: float
    lengths: Floats
    total: Floats
    freedom: float


def fit_recovery_surface(
    response: Response,
    components: Sequence[str],
    shares: ArrayLike,
    values: ArrayLike,
    *,
    polymer_percent: ArrayLike,
    prior: RecoveryPrior,
    batches: Sequence[str] | None = None,
    test_standard: float | None = None,
    batch_standard: float | None = None,
) -> Surface:
    """Fit threshold and plateau of recovery over the net polymer content.

    Parameters
    ----------
    response : Response
        Recovery, and where it was tested.
    components : sequence of str, length q
        Names, in the order of the shares.
    shares : array_like of float, shape (n, q)
        Shares by mass behind each result, as ratios.
    values : array_like of float, shape (n,)
        Recovery [%].
    polymer_percent : array_like of float, shape (q,)
        Polymer in each component by mass [%].
    prior : RecoveryPrior
        Published ranges.
    batches : sequence of str, length n, or None
        Which batch each result was tested on; None where every recipe was made once.
    test_standard : float or None
        Scatter of one test [%]; None to take it from repeats.
    batch_standard : float or None
        Scatter of a batch about the curve [%]; None to estimate it.

    Returns
    -------
    Surface
        Of the form ``"recovery curve"``; its doubt is that of plateau, middle and width to first
        order, and that of the smooth residual about the curve.

    Raises
    ------
    MeasurementError
        Where a number cannot be, or the trials are too few to tell the scatter and it was not given.

    Notes
    -----
    Least squares of the batch means with the prior as three more observations. No published ladder tells
    along which curve recovery rises, nor what the base bitumen does to it: with five blends or more a
    smooth residual over the shares lies about the curve, as in `fit_smooth_residual` (Rasmussen and
    Williams 2006; the curve taken as straight in its parameters). Its height is never below 3 % of the
    spread of the trials. With fewer blends the scatter is the sum of squares over the degrees of freedom,
    less what the test adds, and there is no residual.
    """
    trials = gather_trials(shares, values, scale="value", batches=batches, test_standard=test_standard)
    polymer = np.asarray(polymer_percent, dtype=float)
    if polymer.shape != (len(components),) or not np.all((polymer >= 0.0) & (polymer <= 100.0)):
        raise MeasurementError("recovery curve: needed is the polymer in each component, 0 to 100 %")
    content = trials.points @ polymer
    fixed = None if batch_standard is None else batch_standard**2
    curve = _curve_of(trials, content, prior, fixed)
    left_out = np.array([_left_out(trials, content, prior, curve, blend) for blend in range(len(content))])
    freedom = math.inf if batch_standard is not None else curve.freedom
    variances = trials.test_variances + curve.between
    return Surface(
        response=response,
        components=tuple(components),
        scale="value",
        form=FORM,
        rule="",
        terms=(),
        coefficients=tuple(map(float, curve.values)),
        covariance=tuple(tuple(map(float, row)) for row in curve.covariance),
        test_standard=trials.test_standard,
        batch_standard=math.sqrt(curve.between),
        degrees_of_freedom=freedom,
        component_values=tuple(map(float, polymer)),
        points=tuple(tuple(map(float, row)) for row in trials.points),
        observed=tuple(map(float, trials.means)),
        point_standards=tuple(map(float, np.sqrt(variances))),
        kernel_variance=curve.kernel_variance,
        kernel_lengths=tuple(map(float, curve.lengths)),
        quality=surface_quality(trials, curve.between, freedom, left_out),
        source="logistic curve of recovery over net polymer, an own choice; published ranges as prior"
        + ("; Gaussian process about it" if curve.kernel_variance else ""),
    )


def _curve_of(trials: TrialBlends, content: Floats, prior: RecoveryPrior, fixed: float | None) -> _Curve:
    """The curve, and about it a smooth residual where there are blends enough."""
    between, values, covariance, trace = _settled(trials, content, prior, fixed)
    noise = trials.test_variances + between
    count, components = trials.points.shape
    if len(np.unique(trials.blends)) < FEWEST_BLENDS:
        lengths = np.ones(components)
        return _Curve(values, covariance, between, 0.0, lengths, np.diag(noise), max(1.0, count - trace))
    expected, doubt = _prior_of(prior)
    slopes = recovery_slopes(content, values)[0]
    away = trials.means - recovery_curve(content, values) - slopes @ (expected - values)
    wide = slopes * doubt
    reach = np.ptp(trials.points, axis=0)
    reach = np.where(reach > 0.0, reach, 1.0)
    length, height, between = likeliest_residual(
        trials, away, wide @ wide.T, reach, fixed, ZOOMS, lengths=RESIDUAL_LENGTHS
    )
    smooth = height * kernel_matrix(trials.points, trials.points, length * reach)
    total = smooth + np.diag(trials.test_variances + between)
    values, covariance, _ = _curve(content, trials.means, total, prior, values)
    wide = recovery_slopes(content, values)[0] * doubt
    whole = wide @ wide.T + smooth
    trace = float(np.trace(np.linalg.solve(wide @ wide.T + total, whole)))
    return _Curve(values, covariance, between, height, length * reach, total, max(1.0, count - trace))


def _left_out(trials: TrialBlends, content: Floats, prior: RecoveryPrior, curve: _Curve, place: int) -> float:
    """Error of one batch by the curve and residual of the other blends."""
    kept = trials.blends != trials.blends[place]
    total = curve.total[np.ix_(kept, kept)]
    values = _curve(content[kept], trials.means[kept], total, prior, curve.values)[0]
    error = trials.means[place] - recovery_curve(content[place], values)
    if curve.kernel_variance:
        near = curve.kernel_variance * kernel_matrix(
            trials.points[place : place + 1], trials.points[kept], curve.lengths
        )
        rest = trials.means[kept] - recovery_curve(content[kept], values)
        error = error - (near @ np.linalg.solve(total, rest))[0]
    return float(error)


def _settled(
    trials: TrialBlends, content: Floats, prior: RecoveryPrior, fixed: float | None
) -> tuple[float, Floats, Floats, float]:
    """Variance of batches, parameters, their covariance and the trace of the hat matrix, made to agree."""
    between = max(FINEST, 0.1 * trials.spread) ** 2 if fixed is None else fixed
    values, covariance, trace = _curve(content, trials.means, np.diag(trials.test_variances + between), prior)
    for _ in range(ROUNDS if fixed is None else 0):
        spare = len(content) - trace
        if spare < FEWEST_SPARE:
            raise MeasurementError(
                f"recovery curve: {len(content)} trial blends cannot tell the scatter of a batch: "
                "make more, or state it"
            )
        squares = float(((trials.means - recovery_curve(content, values)) ** 2).sum())
        before, between = between, squares / spare - float(np.mean(trials.test_variances))
        between = max(FINEST**2, between)
        total = np.diag(trials.test_variances + between)
        values, covariance, trace = _curve(content, trials.means, total, prior, values)
        if abs(between - before) < SETTLED * between:
            break
    return between, values, covariance, trace


def _curve(
    content: Floats, means: Floats, total: Floats, prior: RecoveryPrior, begin: Floats | None = None
) -> tuple[Floats, Floats, float]:
    """Parameters, their covariance, and the trace of the hat matrix; `total` is that of the means."""
    expected, doubt = _prior_of(prior)
    whiten = np.linalg.inv(np.linalg.cholesky(total))

    def residuals(parameters: Floats) -> Floats:
        return np.concatenate(
            [whiten @ (recovery_curve(content, parameters) - means), (parameters - expected) / doubt]
        )

    def jacobian(parameters: Floats) -> Floats:
        slopes = whiten @ recovery_slopes(content, parameters)[0]
        return np.concatenate([slopes, np.diag(1.0 / doubt)])

    start = np.clip(expected if begin is None else begin, LOWEST * 1.01, HIGHEST * 0.99)
    try:
        fit = fit_least_squares(residuals, start, jacobian=jacobian, known_scatter=True)
        if np.any((fit.values < LOWEST) | (fit.values > HIGHEST)):  # seldom: the free search is faster
            fit = fit_least_squares(
                residuals, start, jacobian=jacobian, lower=LOWEST, upper=HIGHEST, known_scatter=True
            )
        values = np.asarray(fit.values, dtype=np.float64)
        slopes = jacobian(values)
        covariance: Floats = np.asarray(np.linalg.inv(slopes.T @ slopes), dtype=np.float64)
    except np.linalg.LinAlgError as error:
        raise MeasurementError(
            f"recovery curve: {len(content)} blends of {content.min():g} to {content.max():g} % polymer do "
            "not settle plateau, middle and width; make trial blends between"
        ) from error
    of_trials = slopes[: len(content)]
    return values, covariance, float(np.trace(of_trials @ covariance @ of_trials.T))


def _prior_of(prior: RecoveryPrior) -> tuple[Floats, Floats]:
    """Plateau, middle and width as expected, and their doubt."""
    expected = np.array([prior.plateau, prior.middle_percent, prior.width_percent])
    return expected, np.array([prior.plateau_standard, prior.middle_standard, prior.width_standard])
