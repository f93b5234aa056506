"""A smooth residual (Gaussian process) on a mixing rule or a linear polynomial, fitted to trial blends."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from resile.compute.blending.rules.rule_table import RULES
from resile.compute.blending.surfaces.mixture_design import MixtureDesign, mixture_design, rule_offset
from resile.compute.blending.surfaces.mixture_surface import surface_quality
from resile.compute.blending.surfaces.mixture_terms import term_columns
from resile.compute.blending.surfaces.trial_blends import TrialBlends, gather_trials
from resile.errors import MeasurementError
from resile.records.blending.limit import Response
from resile.records.blending.surface import Surface

Floats = NDArray[np.float64]

LENGTH_BOUNDS = (0.3, 3.0)
"""Bounds of the length of the kernel, in ranges of each share over the trials (own choice)."""
KERNEL_BOUNDS = (0.03, 3.0)
"""Bounds of the standard deviation of the residual, in spreads of the trials (own choice)."""
BATCH_BOUNDS = (0.003, 1.0)
"""Bounds of the scatter of a batch, in spreads of the trials (own choice)."""
GRID = (6, 8, 8)
"""Points along length, residual and scatter in the first search."""
FEWEST_BLENDS = 5
"""Fewer blends cannot tell a residual from scatter (own choice)."""


@dataclass(frozen=True, slots=True)
class _Process:
    """A fitted process: design, kernel, scatter, and what follows from them."""

    design: MixtureDesign
    lengths: Floats
    kernel_variance: float
    between: float
    coefficients: Floats
    covariance: Floats
    weights: Floats
    freedom: float


def kernel_matrix(first: ArrayLike, second: ArrayLike, lengths: ArrayLike) -> Floats:
    """Give the correlation of the smooth residual between recipes.

    Parameters
    ----------
    first : array_like of float, shape (m, q)
        Recipes.
    second : array_like of float, shape (n, q)
        Recipes.
    lengths : array_like of float, shape (q,)
        Length along each share.

    Returns
    -------
    ndarray of float, shape (m, n)
        ``exp(-sum((x_j - y_j)²/l_j²)/2)``.

    References
    ----------
    Rasmussen and Williams, Gaussian Processes for Machine Learning, MIT Press 2006, section 4.2.

    Examples
    --------
    >>> kernel_matrix([[0.0, 1.0]], [[1.0, 1.0]], [1.0, 1.0]).round(4).tolist()
    [[0.6065]]
    """
    a = np.asarray(first, dtype=float) / np.asarray(lengths, dtype=float)
    b = np.asarray(second, dtype=float) / np.asarray(lengths, dtype=float)
    squares = (a**2).sum(axis=1)[:, None] - 2.0 * a @ b.T + (b**2).sum(axis=1)
    return np.asarray(np.exp(-0.5 * np.maximum(squares, 0.0)))


def fit_smooth_residual(
    response: Response,
    components: Sequence[str],
    shares: ArrayLike,
    values: ArrayLike,
    *,
    scale: str = "logarithm",
    rule: str = "",
    component_values: ArrayLike | None = None,
    batches: Sequence[str] | None = None,
    test_standard: float | None = None,
    batch_standard: float | None = None,
) -> Surface:
    """Fit a smooth residual on a rule, or on a linear polynomial where none is named.

    Parameters
    ----------
    response : Response
        What was tested.
    components : sequence of str, length q
        Names, in the order of the shares.
    shares : array_like of float, shape (n, q)
        Shares by mass behind each result, as ratios.
    values : array_like of float, shape (n,)
        Results, in the unit of the glossary.
    scale : str
        ``"logarithm"`` (natural) or ``"value"``.
    rule : str
        Mixing rule below the residual; empty for a linear polynomial with its weak prior.
    component_values : array_like of float, shape (q,), or None
        Property of each component alone, in the unit of the glossary; needed with a rule.
    batches : sequence of str, length n, or None
        Which batch each result was tested on; None where every recipe was made once.
    test_standard : float or None
        Scatter of one test on the scale of the fit; None to take it from repeats.
    batch_standard : float or None
        Scatter of a batch about the surface on the scale of the fit; None to estimate it.

    Returns
    -------
    Surface
        Its doubt is in the covariance: no more than the trials give, and back to that of the residual far
        off.

    Raises
    ------
    MeasurementError
        Where a number cannot be, or there are fewer than five blends.

    Notes
    -----
    Length, height and scatter are those of the highest marginal likelihood (Rasmussen and Williams,
    equation 5.8, with the polynomial integrated over its prior, section 2.7) within bounds: length 0.3 to 3
    ranges of the shares tried, height 0.03 to 3 spreads of the trials, scatter 0.003 to 1 spread. They are
    taken as known afterwards. Errors of left-out blends come from a whole new fit without each. Degrees of
    freedom are batches less the trace of the smoother, at least one.
    """
    trials = gather_trials(shares, values, scale=scale, batches=batches, test_standard=test_standard)
    if len(np.unique(trials.blends)) < FEWEST_BLENDS:
        raise MeasurementError(
            f"{len(np.unique(trials.blends))} trial blends found; "
            f"a smooth residual needs at least {FEWEST_BLENDS}"
        )
    own = None if component_values is None else np.asarray(component_values, dtype=float)
    fixed = None if batch_standard is None else batch_standard**2
    fitted = _process(trials, components, scale, rule, own, fixed)
    left_out = np.array(
        [_left_out(trials, blend, components, scale, rule, own, fixed) for blend in range(len(trials.means))]
    )
    variances = trials.test_variances + fitted.between
    below = RULES[rule].title if rule else "linear polynomial"
    return Surface(
        response=response,
        components=tuple(components),
        scale=scale,
        form="smooth residual",
        rule=rule,
        terms=fitted.design.terms,
        coefficients=tuple(map(float, fitted.coefficients)),
        covariance=tuple(tuple(map(float, row)) for row in fitted.covariance),
        test_standard=trials.test_standard,
        batch_standard=math.sqrt(fitted.between),
        degrees_of_freedom=fitted.freedom,
        component_values=tuple(map(float, own)) if rule and own is not None else (),
        points=tuple(tuple(map(float, row)) for row in trials.points),
        observed=tuple(map(float, trials.means)),
        point_standards=tuple(map(float, np.sqrt(variances))),
        kernel_variance=fitted.kernel_variance,
        kernel_lengths=tuple(map(float, fitted.lengths)),
        quality=surface_quality(trials, fitted.between, fitted.freedom, left_out),
        source=f"Gaussian process on {below} (Rasmussen and Williams 2006)",
    )


def _process(
    trials: TrialBlends,
    components: Sequence[str],
    scale: str,
    rule: str,
    component_values: Floats | None,
    fixed: float | None,
    *,
    zooms: int = 2,
) -> _Process:
    design = mixture_design(
        trials,
        components,
        scale=scale,
        form="rule" if rule else "linear",
        rule=rule,
        component_values=component_values,
    )
    away = trials.means - design.offset - design.columns @ design.prior_mean
    wide = design.columns * design.prior_standard
    reach = np.ptp(trials.points, axis=0)
    reach = np.where(reach > 0.0, reach, 1.0)
    length, height, between = _likeliest(trials, away, wide @ wide.T, reach, fixed, zooms)
    smooth = height * kernel_matrix(trials.points, trials.points, length * reach)
    noise = trials.test_variances + between
    inverse = np.linalg.inv(smooth + np.diag(noise))
    scaled = np.linalg.inv(wide.T @ inverse @ wide + np.eye(wide.shape[1]))
    coefficients = design.prior_mean + design.prior_standard * (scaled @ (wide.T @ (inverse @ away)))
    covariance = scaled * np.outer(design.prior_standard, design.prior_standard)
    weights = inverse @ (trials.means - design.offset - design.columns @ coefficients)
    whole = wide @ wide.T + smooth
    trace = float(np.trace(np.linalg.solve(whole + np.diag(noise), whole)))
    freedom = max(1.0, len(trials.means) - trace) if fixed is None else math.inf
    return _Process(design, length * reach, height, between, coefficients, covariance, weights, freedom)


def _likeliest(
    trials: TrialBlends, away: Floats, polynomial: Floats, reach: Floats, fixed: float | None, zooms: int
) -> tuple[float, float, float]:
    """Length, kernel variance and batch variance of the highest likelihood: a grid, then closer grids."""
    axes = [
        np.geomspace(*bounds, count)
        for bounds, count in zip((LENGTH_BOUNDS, KERNEL_BOUNDS, BATCH_BOUNDS), GRID, strict=True)
    ]
    spread = trials.spread
    if fixed is not None:
        axes[2] = np.array([math.sqrt(fixed) / spread])
    best = np.zeros(3)
    for _ in range(zooms + 1):
        best = _best_of(trials, away, polynomial, reach, axes)
        axes = [_closer(axis, one) for axis, one in zip(axes, best, strict=True)]
    return float(best[0]), float((best[1] * spread) ** 2), float((best[2] * spread) ** 2)


def _best_of(
    trials: TrialBlends, away: Floats, polynomial: Floats, reach: Floats, axes: list[Floats]
) -> Floats:
    heights, scatters = (grid.ravel() for grid in np.meshgrid(axes[1], axes[2], indexing="ij"))
    spread, count = trials.spread, len(away)
    noise = trials.test_variances + (scatters[:, None] * spread) ** 2
    best, found = -math.inf, np.zeros(3)
    for length in axes[0]:
        smooth = kernel_matrix(trials.points, trials.points, length * reach)
        total = polynomial + (heights[:, None, None] * spread) ** 2 * smooth
        total[:, np.arange(count), np.arange(count)] += noise + (1e-6 * spread) ** 2
        factor = np.linalg.cholesky(total)
        scores = np.linalg.solve(factor, np.broadcast_to(away[:, None], (len(total), count, 1)))[..., 0]
        logs = np.log(np.diagonal(factor, axis1=1, axis2=2)).sum(axis=1)
        likelihood = -0.5 * (scores**2).sum(axis=1) - logs
        place = int(np.argmax(likelihood))
        if likelihood[place] > best:
            best, found = float(likelihood[place]), np.array([length, heights[place], scatters[place]])
    return found


def _closer(axis: Floats, best: float) -> Floats:
    if len(axis) == 1:
        return axis
    place = int(np.argmin(np.abs(axis - best)))
    return np.geomspace(axis[max(0, place - 1)], axis[min(len(axis) - 1, place + 1)], 5)


def _left_out(
    trials: TrialBlends,
    batch: int,
    components: Sequence[str],
    scale: str,
    rule: str,
    component_values: Floats | None,
    fixed: float | None,
) -> float:
    """Error of one batch by a new fit without its blend; not-a-number where a component goes with it."""
    kept = trials.blends != trials.blends[batch]
    rest = TrialBlends(
        trials.points[kept],
        trials.means[kept],
        trials.counts[kept],
        trials.blends[kept],
        trials.test_standard,
    )
    if not rule and np.any(rest.points.max(axis=0, initial=0.0) <= 0.0):
        return math.nan
    fitted = _process(rest, components, scale, rule, component_values, fixed, zooms=0)
    point = trials.points[batch : batch + 1]
    predicted = rule_offset(rule, point, component_values, scale)
    predicted = predicted + term_columns(fitted.design.terms, point) @ fitted.coefficients
    predicted = predicted + fitted.kernel_variance * (
        kernel_matrix(point, rest.points, fitted.lengths) @ fitted.weights
    )
    return float(trials.means[batch] - predicted[0])
