"""Uncertainty of any function of measured quantities: linear law, and simulation where it fails.

Use `propagate_linear` first, `simulate_propagation` where the function bends within the uncertainties, and
`linear_method_holds` to see whether it does. `mean_with_correlation` gives the inputs from simultaneous
observations. A function is called as ``function(x1, x2, ...)`` with arrays of shape (m,) and gives an array
of shape (m,), or (k, m) for k outputs; it must be vectorised.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from statistics import NormalDist

import numpy as np
from numpy.typing import ArrayLike, NDArray

from resile.compute.statistics.uncertainty.draws import checked_correlation, coverage_interval, draw_inputs
from resile.errors import MeasurementError
from resile.records.propagation import InputQuantity, LinearPropagation, SimulatedPropagation

Floats = NDArray[np.float64]
Function = Callable[..., ArrayLike]

STEP = 1e-3
"""Step of the central difference in standard uncertainties: small enough that curvature does not count."""
SMALLEST_STEP = 1e-9
"""Smallest step as a share of the estimate: a million times the rounding of a number."""


def mean_with_correlation(observations: ArrayLike) -> tuple[Floats, Floats, Floats]:
    """Give means of quantities observed together, their standard uncertainties and correlation.

    Parameters
    ----------
    observations : array_like of float, shape (n, m), n at least 2
        One row a quantity, one column an occasion on which all were observed.

    Returns
    -------
    tuple of ndarray
        Means (n,), standard uncertainties of the means (n,), correlation (n, n).

    Raises
    ------
    MeasurementError
        Where there are fewer than two occasions, or a quantity does not vary.

    References
    ----------
    JCGM 100:2008, 4.2 and 5.2.3 (Type A).
    """
    rows = np.asarray(observations, dtype=float)
    if rows.ndim != 2 or rows.shape[1] < 2 or not np.isfinite(rows).all():
        raise MeasurementError("observations: needed is a row a quantity, with two or more finite values")
    covariance = np.atleast_2d(np.cov(rows)) / rows.shape[1]
    standards = np.sqrt(np.diag(covariance))
    if np.any(standards == 0.0):
        raise MeasurementError("observations: a quantity does not vary, so it has no correlation")
    return rows.mean(axis=1), standards, covariance / np.outer(standards, standards)


def propagate_linear(
    function: Function, inputs: Sequence[InputQuantity], *, correlation: ArrayLike | None = None
) -> LinearPropagation:
    """Carry standard uncertainties through a function by the law of propagation.

    Parameters
    ----------
    function : callable
        See the module.
    inputs : sequence of InputQuantity
        Shapes of distributions do not matter here.
    correlation : array_like of float, shape (n, n), or None
        Correlation between the inputs; None for none.

    Returns
    -------
    LinearPropagation
        For each output.

    Raises
    ------
    MeasurementError
        Where the function gives no finite number near the estimates, or the correlation is not one.

    Notes
    -----
    ``u^2(y) = sum_i sum_j c_i c_j u_i u_j r_ij`` with ``c_i`` by central differences over a thousandth of
    the standard uncertainty. Effective degrees of freedom by Welch and Satterthwaite, for uncorrelated inputs
    only. Terms of higher order are left out: where they matter, simulate.

    References
    ----------
    JCGM 100:2008, 5.1.2, 5.2.2, G.4.1.

    Examples
    --------
    >>> sides = (InputQuantity("a", 3.0, 0.1), InputQuantity("b", 4.0, 0.1))
    >>> found = propagate_linear(lambda a, b: a + b, sides)
    >>> round(found.standards[0], 6)
    0.141421
    """
    best, standards = _estimates(inputs)
    between = checked_correlation(correlation, len(inputs))
    steps = _steps(best, standards)
    moved = np.concatenate(
        (best[:, None], best[:, None] + np.diag(steps), best[:, None] - np.diag(steps)), axis=1
    )
    outputs = _evaluate(function, moved)
    count = len(inputs)
    sensitivities = (outputs[:, 1 : count + 1] - outputs[:, count + 1 :]) / (2.0 * steps)
    parts = sensitivities * standards
    covariance = parts @ between @ parts.T
    combined = np.sqrt(np.maximum(np.diag(covariance), 0.0))
    scale = np.where(combined > 0.0, combined, 1.0)
    related = covariance / np.outer(scale, scale)
    np.fill_diagonal(related, 1.0)
    independent = np.array_equal(between, np.eye(count))
    return LinearPropagation(
        values=tuple(outputs[:, 0].tolist()),
        standards=tuple(combined.tolist()),
        correlation=tuple(tuple(row) for row in np.clip(related, -1.0, 1.0).tolist()),
        sensitivities=tuple(tuple(row) for row in sensitivities.tolist()),
        degrees_of_freedom=tuple(
            _effective(row, total, inputs) if independent else None
            for row, total in zip(parts, combined.tolist(), strict=True)
        ),
    )


def simulate_propagation(
    function: Function,
    inputs: Sequence[InputQuantity],
    *,
    rng: np.random.Generator,
    draws: int = 200_000,
    correlation: ArrayLike | None = None,
    probability: float = 0.95,
    interval: str = "symmetric",
) -> tuple[SimulatedPropagation, ...]:
    """Carry distributions through a function by drawing the inputs.

    Parameters
    ----------
    function : callable
        See the module.
    inputs : sequence of InputQuantity
        With the shapes of their distributions.
    rng : numpy.random.Generator
        Source of the draws.
    draws : int
        How many, at least 1000.
    correlation : array_like of float, shape (n, n), or None
        Correlation between the normal scores behind the inputs: for normal inputs that of the inputs, for
        log-normal ones that of their logarithms.
    probability : float
        Share of the draws the interval holds.
    interval : str
        ``"symmetric"`` (equal shares outside) or ``"shortest"``.

    Returns
    -------
    tuple of SimulatedPropagation
        One an output.

    Raises
    ------
    MeasurementError
        Where an input, the correlation or an argument cannot be used, or a draw gives no finite number.

    References
    ----------
    JCGM 101:2008, sections 5 to 7.
    """
    if draws < 1000 or not 0.0 < probability < 1.0:
        raise MeasurementError("simulation: needed are at least 1000 draws and a probability between 0 and 1")
    outputs = _evaluate(function, draw_inputs(inputs, rng=rng, draws=draws, correlation=correlation))
    return tuple(_summary(row, probability, interval) for row in outputs)


def numerical_tolerance(standard: ArrayLike, *, significant_digits: int = 1) -> Floats:
    """Give half a unit of the last significant digit of a standard uncertainty.

    Parameters
    ----------
    standard : array_like of float
        Standard uncertainty, positive.
    significant_digits : int
        Digits regarded as meaningful, 1 or 2.

    Returns
    -------
    ndarray of float
        In the unit of the uncertainty.

    Raises
    ------
    MeasurementError
        Where an uncertainty is not above zero or there are no digits.

    References
    ----------
    JCGM 101:2008, 7.9.2.

    Examples
    --------
    >>> float(numerical_tolerance(0.0539, significant_digits=1))
    0.005
    """
    u = np.asarray(standard, dtype=float)
    if not np.isfinite(u).all() or np.any(u <= 0.0) or significant_digits < 1:
        raise MeasurementError("numerical tolerance: needed is a standard uncertainty above zero")
    # Rounded first, as one would write it: 0.0998 to one digit is 0.1, not 0.09...
    power = np.floor(np.log10(u) + 1e-12)
    rounded = np.round(u / 10.0 ** (power - significant_digits + 1)) * 10.0 ** (
        power - significant_digits + 1
    )
    last = np.floor(np.log10(rounded) + 1e-12) - significant_digits + 1
    return np.asarray(0.5 * 10.0**last)


def linear_method_holds(
    value: float, standard: float, simulated: SimulatedPropagation, *, significant_digits: int = 1
) -> bool:
    """Tell whether the linear law gives the interval that the simulation gives.

    Parameters
    ----------
    value, standard : float
        Result and standard uncertainty by the linear law.
    simulated : SimulatedPropagation
        The same by simulation, with a symmetric interval.
    significant_digits : int
        Digits of the standard uncertainty regarded as meaningful.

    Returns
    -------
    bool
        True where both ends agree within `numerical_tolerance`.

    Raises
    ------
    MeasurementError
        Where the standard uncertainty is not above zero.

    Notes
    -----
    The linear interval is ``y -+ k u`` with k of the normal distribution for the simulation's probability.

    References
    ----------
    JCGM 101:2008, 8.1.
    """
    reach = NormalDist().inv_cdf(0.5 + 0.5 * simulated.probability) * standard
    allowed = float(numerical_tolerance(standard, significant_digits=significant_digits))
    off = max(abs(value - reach - simulated.lower), abs(value + reach - simulated.upper))
    return off <= allowed


def _estimates(inputs: Sequence[InputQuantity]) -> tuple[Floats, Floats]:
    best = np.array([q.value for q in inputs], dtype=float)
    standards = np.array([q.standard for q in inputs], dtype=float)
    if (
        not len(best)
        or not (np.isfinite(best).all() and np.isfinite(standards).all())
        or np.any(standards < 0)
    ):
        raise MeasurementError(
            "propagation: needed are inputs with finite values and standard uncertainties of zero or above"
        )
    return best, standards


def _steps(best: Floats, standards: Floats) -> Floats:
    """Give steps far below the uncertainties and far above the rounding of the estimates."""
    steps = np.maximum(STEP * standards, SMALLEST_STEP * np.abs(best))
    return np.where(steps > np.finfo(float).tiny / SMALLEST_STEP, steps, 1e-6)


def _evaluate(function: Function, columns: Floats) -> Floats:
    outputs = np.atleast_2d(np.asarray(function(*columns), dtype=float))
    if outputs.ndim != 2 or outputs.shape[1] != columns.shape[1]:
        raise MeasurementError(
            f"propagation: the function gave shape {outputs.shape} for {columns.shape[1]} sets of inputs; "
            "it must work on arrays"
        )
    if not np.isfinite(outputs).all():
        raise MeasurementError("propagation: the function gives no finite number within the uncertainties")
    return outputs


def _effective(parts: Floats, combined: float, inputs: Sequence[InputQuantity]) -> float | None:
    below = sum(
        part**4 / q.degrees_of_freedom
        for part, q in zip(parts.tolist(), inputs, strict=True)
        if q.degrees_of_freedom is not None
    )
    return combined**4 / below if below > 0.0 and math.isfinite(below) else None


def _summary(draws: Floats, probability: float, interval: str) -> SimulatedPropagation:
    lower, upper = coverage_interval(draws, probability=probability, interval=interval)
    return SimulatedPropagation(
        float(draws.mean()),
        float(draws.std(ddof=1)),
        lower,
        upper,
        probability,
        interval,
        len(draws),
        float(np.median(draws)),
    )
