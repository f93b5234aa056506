"""A mixture polynomial fitted to trial blends, alone or as the deviation from a mixing rule.

Use `fit_mixture_surface` for a form that was chosen, `resile.compute.blending.surfaces.surface_choice` to
have it chosen by the errors of blends that were left out, and `smooth_residual` where no polynomial of few
terms follows the trials.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike, NDArray

from resile.compute.blending.rules.rule_table import RULES
from resile.compute.blending.surfaces.mixture_design import MixtureDesign, mixture_design
from resile.compute.blending.surfaces.trial_blends import TrialBlends, gather_trials
from resile.errors import MeasurementError
from resile.records.blending.limit import Response
from resile.records.blending.surface import Surface, SurfaceQuality

Floats = NDArray[np.float64]

HIGHEST_LEVERAGE = 0.98
"""A blend above it is fitted by its own coefficient: the others cannot tell of it (own choice)."""


def fit_mixture_surface(
    response: Response,
    components: Sequence[str],
    shares: ArrayLike,
    values: ArrayLike,
    *,
    scale: str = "logarithm",
    form: str = "linear",
    rule: str = "",
    component_values: ArrayLike | None = None,
    component_standard: float | None = None,
    batches: Sequence[str] | None = None,
    test_standard: float | None = None,
    batch_standard: float | None = None,
) -> Surface:
    """Fit a mixture polynomial to trial results.

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
    form : str
        ``"linear"``, ``"quadratic"``, ``"special"``, or ``"rule"`` for the rule with no term of its own.
    rule : str
        Mixing rule the polynomial is a deviation from; empty for none.
    component_values : array_like of float, shape (q,), or None
        Property of each component alone, in the unit of the glossary; needed with a rule.
    component_standard : float or None
        Standard uncertainty of these values on the scale of the fit: a prior of the linear terms. None for
        the weak prior; give it only where the components alone are not among the trials, or they count
        twice.
    batches : sequence of str, length n, or None
        Which batch each result was tested on; None where every recipe was made once.
    test_standard : float or None
        Scatter of one test on the scale of the fit; None to take it from repeats.
    batch_standard : float or None
        Scatter of a batch about the surface on the scale of the fit; None to estimate it.

    Returns
    -------
    Surface
        With the covariance of its coefficients, errors of left-out blends, degrees of freedom for Student's
        t.

    Raises
    ------
    MeasurementError
        Where a number cannot be, or the trials are too few to tell the scatter and it was not given.

    Notes
    -----
    Linear regression of the batch means, each with the variance ``batch² + test²/n``, and independent
    normal priors whose standard deviation is 10 spreads of the trials over the largest size of the term
    tried. With more trials than terms it is ordinary least squares to all digits that matter; with fewer,
    doubt stays as wide as the prior. The scatter of batches is that at which the weighted sum of squares
    equals its degrees of freedom, batches less the trace of the hat matrix (Paule and Mandel 1982, from
    memory (high), with the prior); without repeats and test scatter this is the residual variance of least
    squares.

    References
    ----------
    Scheffé, J. R. Stat. Soc. B 20 (1958) 344; Cornell, Experiments with mixtures, from memory (high).
    """
    trials = gather_trials(shares, values, scale=scale, batches=batches, test_standard=test_standard)
    if form == "rule" and not rule:
        raise MeasurementError("form 'rule': needed is the name of a mixing rule")
    design = mixture_design(
        trials,
        components,
        scale=scale,
        form=form,
        rule=rule,
        component_values=component_values,
        component_standard=component_standard,
    )
    counted = _counted(trials, form)
    y = trials.means - design.offset
    between = _batch_variance(trials, design, y, counted) if batch_standard is None else batch_standard**2
    variances = trials.test_variances + between
    coefficients, covariance, hat = _posterior(design, y, variances)
    residuals = y - design.columns @ coefficients
    freedom = float(counted.sum() - np.trace(hat)) if batch_standard is None else math.inf
    return Surface(
        response=response,
        components=tuple(components),
        scale=scale,
        form=form,
        rule=rule,
        terms=design.terms,
        coefficients=tuple(map(float, coefficients)),
        covariance=tuple(tuple(map(float, row)) for row in covariance),
        test_standard=trials.test_standard,
        batch_standard=math.sqrt(between),
        degrees_of_freedom=freedom,
        component_values=tuple(map(float, np.asarray(component_values))) if rule else (),
        points=tuple(tuple(map(float, row)) for row in trials.points),
        observed=tuple(map(float, trials.means)),
        point_standards=tuple(map(float, np.sqrt(variances))),
        quality=surface_quality(trials, between, freedom, _left_out(residuals, hat, trials, counted)),
        source=f"Scheffé polynomial, {form}"
        + (f", on {RULES[rule].title} ({RULES[rule].source})" if rule else ""),
    )


def surface_quality(trials: TrialBlends, between: float, freedom: float, left_out: Floats) -> SurfaceQuality:
    """Sum up how a surface meets its trials.

    Parameters
    ----------
    trials : TrialBlends
        What was fitted.
    between : float
        Variance of batches about the surface.
    freedom : float
        Degrees of freedom.
    left_out : ndarray of float, shape (b,)
        Error of each batch with its blend left out; not-a-number where the others cannot tell.

    Returns
    -------
    SurfaceQuality
        Its left-out standard is the root mean square of the errors that can be told.
    """
    told = left_out[np.isfinite(left_out)]
    return SurfaceQuality(
        trials=int(trials.counts.sum()),
        degrees_of_freedom=freedom,
        residual_standard=math.sqrt(between + trials.test_standard**2),
        left_out_standard=float(np.sqrt(np.mean(told**2))) if len(told) else None,
        left_out=tuple(map(float, left_out)),
    )


def _counted(trials: TrialBlends, form: str) -> NDArray[np.bool_]:
    """A rule meets the components alone by construction: they say nothing of its scatter."""
    if form != "rule":
        return np.ones(len(trials.means), dtype=bool)
    return np.asarray(trials.points.max(axis=1) < 1.0 - 1e-9)


def _posterior(design: MixtureDesign, y: Floats, variances: Floats) -> tuple[Floats, Floats, Floats]:
    """Coefficients, their covariance and the hat matrix, in units of the prior for sound numbers."""
    scaled = design.columns * design.prior_standard
    weighted = scaled / variances[:, None]
    inverse = np.linalg.inv(scaled.T @ weighted + np.eye(len(design.terms)))
    away = inverse @ (weighted.T @ (y - design.columns @ design.prior_mean))
    covariance = inverse * np.outer(design.prior_standard, design.prior_standard)
    return design.prior_mean + design.prior_standard * away, covariance, scaled @ inverse @ weighted.T


def _batch_variance(
    trials: TrialBlends, design: MixtureDesign, y: Floats, counted: NDArray[np.bool_]
) -> float:
    if counted.sum() - np.linalg.matrix_rank(design.columns) < 1:
        raise MeasurementError(
            f"{int(counted.sum())} trial blends for {len(design.terms)} terms cannot tell the scatter "
            "of a batch: make more blends, take fewer terms, or state the scatter"
        )

    def surplus(between: float) -> float:
        variances = trials.test_variances + between
        coefficients, _, hat = _posterior(design, y, variances)
        squares = (y - design.columns @ coefficients) ** 2 / variances
        return float(squares[counted].sum() - (counted.sum() - np.trace(hat)))

    low, high = (1e-9 * trials.spread) ** 2, (30.0 * trials.spread + np.abs(y).max()) ** 2
    if trials.test_standard > 0.0 and surplus(0.0) <= 0.0:
        return 0.0
    for _ in range(60):  # halving on the logarithm: sixty halvings of eighty decades reach the last digit
        middle = math.sqrt(low * high)
        low, high = (middle, high) if surplus(middle) > 0.0 else (low, middle)
    return math.sqrt(low * high)


def _left_out(residuals: Floats, hat: Floats, trials: TrialBlends, counted: NDArray[np.bool_]) -> Floats:
    """Error of each batch when its whole blend is left out, in closed form with scatter and prior held."""
    errors = np.full(len(residuals), np.nan)
    for blend in np.unique(trials.blends[counted]):
        own = np.flatnonzero(trials.blends == blend)
        kept = np.eye(len(own)) - hat[np.ix_(own, own)]
        if np.linalg.eigvalsh(0.5 * (kept + kept.T))[0] > 1.0 - HIGHEST_LEVERAGE:
            errors[own] = np.linalg.solve(kept, residuals[own])
    return errors
