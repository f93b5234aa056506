"""A recovery curve over the net polymer content, fitted to trial blends with published ranges as prior."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike, NDArray

from resile.compute.blending.rules.polymer_recovery import recovery_curve, recovery_slopes
from resile.compute.blending.surfaces.mixture_surface import surface_quality
from resile.compute.blending.surfaces.trial_blends import TrialBlends, gather_trials
from resile.compute.statistics.least_squares import fit_least_squares
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
SLACK = 1e-6
"""Rounding of a polymer content [%]."""
ROUNDS = 12
"""Times the scatter is found anew, at most."""
SETTLED = 1e-6
"""Change of the scatter, as a ratio, at which it has settled."""


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
        Of the form ``"recovery curve"``; its doubt is that of plateau, middle and width to first order.

    Raises
    ------
    MeasurementError
        Where a number cannot be, or the trials are too few to tell the scatter and it was not given.

    Notes
    -----
    Least squares of the batch means with the prior as three more observations. The scatter is the sum of
    squares over the degrees of freedom, batches less the trace of the hat matrix of the last step, less
    what the test adds. Base bitumens are taken as alike in recovery: where they are not, a polynomial that
    beats this curve at left-out blends is the better surface.
    """
    trials = gather_trials(shares, values, scale="value", batches=batches, test_standard=test_standard)
    polymer = np.asarray(polymer_percent, dtype=float)
    if polymer.shape != (len(components),) or not np.all((polymer >= 0.0) & (polymer <= 100.0)):
        raise MeasurementError("recovery curve: needed is the polymer in each component, 0 to 100 %")
    content = trials.points @ polymer
    fixed = None if batch_standard is None else batch_standard**2
    between, values_, covariance, trace = _settled(trials, content, prior, fixed)
    count = len(content)
    variances = trials.test_variances + between
    left_out = np.empty(count)
    for place in range(count):
        kept = trials.blends != trials.blends[place]
        without = _curve(content[kept], trials.means[kept], variances[kept], prior, values_)[0]
        left_out[place] = trials.means[place] - recovery_curve(content[place], without)
    freedom = math.inf if batch_standard is not None else max(1.0, count - trace)
    return Surface(
        response=response,
        components=tuple(components),
        scale="value",
        form=FORM,
        rule="",
        terms=(),
        coefficients=tuple(map(float, values_)),
        covariance=tuple(tuple(map(float, row)) for row in covariance),
        test_standard=trials.test_standard,
        batch_standard=math.sqrt(between),
        degrees_of_freedom=freedom,
        component_values=tuple(map(float, polymer)),
        points=tuple(tuple(map(float, row)) for row in trials.points),
        observed=tuple(map(float, trials.means)),
        point_standards=tuple(map(float, np.sqrt(variances))),
        quality=surface_quality(trials, between, freedom, left_out),
        source="logistic curve of recovery over net polymer, an own choice; published ranges as prior",
    )


def predict_recovery(surface: Surface, polymer_percent: ArrayLike) -> tuple[Floats, Floats]:
    """Give recovery and its doubt at a polymer content, within the contents that were tried.

    Parameters
    ----------
    surface : Surface
        As `fit_recovery_surface` gives it.
    polymer_percent : array_like of float, shape (n,)
        Net polymer by mass [%].

    Returns
    -------
    tuple of ndarray of float, shape (n,)
        Recovery, and the standard doubt of the curve there [%].

    Raises
    ------
    MeasurementError
        Beyond the contents of the trials: a curve says nothing there.
    """
    content = np.atleast_1d(np.asarray(polymer_percent, dtype=float))
    tried = np.asarray(surface.points) @ np.asarray(surface.component_values)
    low, high = float(tried.min()), float(tried.max())
    if not np.isfinite(content).all() or np.any((content < low - SLACK) | (content > high + SLACK)):
        raise MeasurementError(
            f"recovery: {', '.join(f'{one:g}' for one in content)} % of polymer found; the trials tell "
            f"from {low:g} to {high:g} %: make a trial beyond"
        )
    slopes = recovery_slopes(content, surface.coefficients)[0]
    squares = ((slopes @ np.asarray(surface.covariance)) * slopes).sum(axis=1)
    return recovery_curve(content, surface.coefficients), np.asarray(np.sqrt(squares))


def _settled(
    trials: TrialBlends, content: Floats, prior: RecoveryPrior, fixed: float | None
) -> tuple[float, Floats, Floats, float]:
    """Variance of batches, parameters, their covariance and the trace of the hat matrix, made to agree."""
    between = max(FINEST, 0.1 * trials.spread) ** 2 if fixed is None else fixed
    values, covariance, trace = _curve(content, trials.means, trials.test_variances + between, prior)
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
        variances = trials.test_variances + between
        values, covariance, trace = _curve(content, trials.means, variances, prior, values)
        if abs(between - before) < SETTLED * between:
            break
    return between, values, covariance, trace


def _curve(
    content: Floats, means: Floats, variances: Floats, prior: RecoveryPrior, begin: Floats | None = None
) -> tuple[Floats, Floats, float]:
    """Parameters, their covariance, and the trace of the hat matrix."""
    expected = np.array([prior.plateau, prior.middle_percent, prior.width_percent])
    doubt = np.array([prior.plateau_standard, prior.middle_standard, prior.width_standard])
    scatter = np.sqrt(variances)

    def residuals(parameters: Floats) -> Floats:
        return np.concatenate(
            [(recovery_curve(content, parameters) - means) / scatter, (parameters - expected) / doubt]
        )

    def jacobian(parameters: Floats) -> Floats:
        slopes = recovery_slopes(content, parameters)[0] / scatter[:, None]
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
