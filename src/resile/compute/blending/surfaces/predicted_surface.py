"""What a fitted surface says of recipes: mean, doubt, slope. For any number of recipes."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from resile.compute.blending.rules.mixing_rules import rule_gradient, rule_values
from resile.compute.blending.rules.polymer_recovery import recovery_curve, recovery_slopes
from resile.compute.blending.surfaces.mixture_terms import term_columns, term_gradients
from resile.compute.blending.surfaces.recovery_surface import FORM as RECOVERY_CURVE
from resile.compute.blending.surfaces.residual_kernel import kernel_matrix
from resile.errors import MeasurementError
from resile.records.blending.surface import Surface

Floats = NDArray[np.float64]


BLOCK = 4096
"""Recipes worked through at once: their columns stay in the cache of a processor core."""


class SurfacePrediction(NamedTuple):
    """Mean of a property over recipes, on the scale of the fit.

    Attributes
    ----------
    mean : ndarray of float, shape (m,)
        Expected property; of a surface on logarithms, the logarithm of the median.
    standard : ndarray of float, shape (m,)
        Standard doubt of that mean, that of the choice of the form included, without scatter of batch and
        test.
    degrees_of_freedom : float
        For Student's t; infinite where the scatter was given.
    """

    mean: Floats
    standard: Floats
    degrees_of_freedom: float


class _Residual(NamedTuple):
    """The smooth residual of a surface at its trials."""

    points: Floats
    factor: Floats
    columns: Floats
    weights: Floats


def predict_surface(surface: Surface, shares: ArrayLike) -> SurfacePrediction:
    """Predict a property of recipes.

    Parameters
    ----------
    surface : Surface
        As fitted.
    shares : array_like of float, shape (m, q)
        Shares by mass, as ratios; their sum is not checked, so that a search may step off it.

    Returns
    -------
    SurfacePrediction
        Mean and standard doubt of the mean; add ``batch_standard`` and ``test_standard`` in squares for a
        result.

    Notes
    -----
    Where a form was chosen among others, the square of the doubt is that of the chosen one plus the mean of
    the squared distances of all forms from it, weighted by how far left-out blends speak for each.

    Raises
    ------
    MeasurementError
        Where the shares do not fit the components.
    """
    x = _recipes(surface, shares)
    residual = _residual(surface)
    others = [_residual(rival.surface) for rival in surface.rivals]
    mean, standard = np.empty(len(x)), np.empty(len(x))
    for first in range(0, len(x), BLOCK):
        rows = slice(first, first + BLOCK)
        mean[rows], standard[rows] = _predicted(surface, residual, x[rows])
        if others:
            apart = _apart(surface, others, x[rows], mean[rows])
            standard[rows] = np.sqrt(standard[rows] ** 2 + (apart**2).sum(axis=0))
    return SurfacePrediction(mean, standard, surface.degrees_of_freedom)


def surface_covariance(surface: Surface, first: ArrayLike, second: ArrayLike) -> Floats:
    """Give the covariance of the doubt of the mean between recipes.

    Parameters
    ----------
    surface : Surface
        As fitted.
    first : array_like of float, shape (m, q)
        Shares by mass, as ratios.
    second : array_like of float, shape (k, q)
        Shares by mass, as ratios.

    Returns
    -------
    ndarray of float, shape (m, k)
        On the scale of the fit; its diagonal for equal recipes is the square of the standard doubt.

    Raises
    ------
    MeasurementError
        Where the shares do not fit the components.
    """
    a, b = _recipes(surface, first), _recipes(surface, second)
    residual = _residual(surface)
    own = _own_covariance(surface, residual, a, b)
    if not surface.rivals:
        return own
    others = [_residual(rival.surface) for rival in surface.rivals]
    apart_a, apart_b = (_apart(surface, others, x, _mean(surface, residual, x)) for x in (a, b))
    return np.asarray(own + apart_a.T @ apart_b)


def surface_gradient(surface: Surface, shares: ArrayLike) -> Floats:
    """Give how the mean changes with each share, the others held.

    Parameters
    ----------
    surface : Surface
        As fitted.
    shares : array_like of float, shape (m, q)
        Shares by mass, as ratios.

    Returns
    -------
    ndarray of float, shape (m, q)
        On the scale of the fit, for a share of 1. To move along recipes that add up to 1, take differences
        of it.

    Raises
    ------
    MeasurementError
        Where the shares do not fit the components.
    """
    x = _recipes(surface, shares)
    if surface.form == RECOVERY_CURVE:
        polymer = np.asarray(surface.component_values)
        slopes = np.asarray(recovery_slopes(x @ polymer, surface.coefficients)[1][:, None] * polymer)
    else:
        slopes = term_gradients(surface.terms, x, surface.coefficients)
    if surface.rule:
        own = np.asarray(surface.component_values)
        of_rule = rule_gradient(surface.rule, x, own)
        if surface.scale == "logarithm":
            of_rule = of_rule / rule_values(surface.rule, x, own)[:, None]
        slopes = slopes + of_rule
    residual = _residual(surface)
    if residual is not None:
        lengths = np.asarray(surface.kernel_lengths)
        near = surface.kernel_variance * kernel_matrix(x, residual.points, lengths) * residual.weights
        slopes = slopes - (near.sum(axis=1)[:, None] * x - near @ residual.points) / lengths**2
    return slopes


def _own_covariance(surface: Surface, residual: _Residual | None, a: Floats, b: Floats) -> Floats:
    """Covariance of the chosen form alone."""
    columns_a, columns_b = _mean_and_columns(surface, a)[1], _mean_and_columns(surface, b)[1]
    if residual is None:
        return np.asarray(columns_a @ _covariance(surface) @ columns_b.T)
    variance, lengths = surface.kernel_variance, surface.kernel_lengths
    solved_a = variance * kernel_matrix(a, residual.points, lengths) @ residual.factor.T
    solved_b = variance * kernel_matrix(b, residual.points, lengths) @ residual.factor.T
    left_a = columns_a - solved_a @ residual.factor @ residual.columns
    left_b = columns_b - solved_b @ residual.factor @ residual.columns
    smooth = variance * kernel_matrix(a, b, lengths) - solved_a @ solved_b.T
    return np.asarray(smooth + left_a @ _covariance(surface) @ left_b.T)


def _mean(surface: Surface, residual: _Residual | None, x: Floats) -> Floats:
    """Mean alone: a third of the work of a prediction."""
    mean = _mean_and_columns(surface, x)[0]
    if residual is None:
        return mean
    near = surface.kernel_variance * kernel_matrix(x, residual.points, surface.kernel_lengths)
    return np.asarray(mean + near @ residual.weights)


def _apart(surface: Surface, others: Sequence[_Residual | None], x: Floats, mean: Floats) -> Floats:
    """Distance of each rival from the chosen form, by the root of its weight; shape (rivals, m)."""
    return np.stack(
        [
            np.sqrt(rival.weight) * (_mean(rival.surface, residual, x) - mean)
            for rival, residual in zip(surface.rivals, others, strict=True)
        ]
    )


def _predicted(surface: Surface, residual: _Residual | None, x: Floats) -> tuple[Floats, Floats]:
    mean, columns = _mean_and_columns(surface, x)
    if residual is None:
        return mean, np.sqrt(_squares(surface, columns))
    near = surface.kernel_variance * kernel_matrix(x, residual.points, surface.kernel_lengths)
    solved = near @ residual.factor.T
    left = columns - solved @ (residual.factor @ residual.columns)
    variance = surface.kernel_variance - (solved**2).sum(axis=1) + _squares(surface, left)
    return mean + near @ residual.weights, np.sqrt(np.maximum(variance, 0.0))


def _recipes(surface: Surface, shares: ArrayLike) -> Floats:
    x = np.atleast_2d(np.asarray(shares, dtype=float))
    if x.ndim != 2 or x.shape[1] != len(surface.components) or not np.isfinite(x).all():
        raise MeasurementError(
            f"recipes: needed is a number for each of {len(surface.components)} components; "
            f"found shape {x.shape}"
        )
    return x


def _mean_and_columns(surface: Surface, x: Floats) -> tuple[Floats, Floats]:
    """Mean without the smooth residual, and its slope on each coefficient."""
    if surface.form == RECOVERY_CURVE:
        content = x @ np.asarray(surface.component_values)
        slopes = recovery_slopes(content, surface.coefficients)[0]
        return recovery_curve(content, surface.coefficients), slopes
    columns = term_columns(surface.terms, x)
    mean = columns @ np.asarray(surface.coefficients)
    if surface.rule:
        mixed = rule_values(surface.rule, x, np.asarray(surface.component_values))
        mean = mean + (np.log(mixed) if surface.scale == "logarithm" else mixed)
    return mean, columns


def _covariance(surface: Surface) -> Floats:
    count = len(surface.coefficients)
    return np.asarray(surface.covariance, dtype=float).reshape(count, count)


def _squares(surface: Surface, columns: Floats) -> Floats:
    return np.asarray(np.maximum(((columns @ _covariance(surface)) * columns).sum(axis=1), 0.0))


def _residual(surface: Surface) -> _Residual | None:
    if surface.kernel_variance <= 0.0:
        return None
    points = np.asarray(surface.points)
    noise = np.asarray(surface.point_standards) ** 2
    total = surface.kernel_variance * kernel_matrix(points, points, surface.kernel_lengths) + np.diag(noise)
    factor = np.linalg.inv(np.linalg.cholesky(total))
    mean, columns = _mean_and_columns(surface, points)
    weights = factor.T @ (factor @ (np.asarray(surface.observed) - mean))
    return _Residual(points, factor, columns, weights)
