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
from resile.compute.blending.surfaces.residual_kernel import (
    FEWEST_BLENDS,
    kernel_matrix,
    likeliest_residual,
)
from resile.compute.blending.surfaces.trial_blends import TrialBlends, gather_trials
from resile.errors import MeasurementError
from resile.records.blending.limit import Response
from resile.records.blending.surface import Surface

Floats = NDArray[np.float64]


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
    length, height, between = likeliest_residual(trials, away, wide @ wide.T, reach, fixed, zooms)
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
