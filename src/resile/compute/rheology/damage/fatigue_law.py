"""The fatigue law of the linear amplitude sweep: damage at failure, coefficient A, cycles to failure.

What to use when: `analyse_amplitude_sweep` (module ``amplitude_sweep``) for a whole record; these for a step
alone. Every equation is AASHTO T 391 (formerly TP 101) and Hintz and Bahia's papers on the test, from memory
(high), except where a function says otherwise.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike, NDArray

from resile.compute.rheology.above_zero import above_zero
from resile.errors import MeasurementError

Floats = NDArray[np.float64]


def damage_at_loss(loss: ArrayLike, *, loss_coefficient: ArrayLike, loss_exponent: ArrayLike) -> Floats:
    """Give the damage at which C has fallen by a loss.

    Parameters
    ----------
    loss : array_like of float
        C0 - C at failure, above zero.
    loss_coefficient, loss_exponent : array_like of float
        C1 and C2.

    Returns
    -------
    ndarray of float
        ``Df = (loss/C1)^(1/C2)``.

    Raises
    ------
    MeasurementError
        Where a number is not above zero.

    Notes
    -----
    AASHTO T 391. For the older rule of 35 % the loss is ``0.35 C0`` by definition, so 0.35 stands inside the
    bracket; the formula as remembered has it outside, which would not be a loss of 35 %.

    Examples
    --------
    >>> round(float(damage_at_loss(0.35, loss_coefficient=0.05, loss_exponent=0.5)), 3)
    49.0
    """
    fallen, c1, c2 = (
        above_zero("fatigue law", n, v)
        for n, v in (("loss", loss), ("C1", loss_coefficient), ("C2", loss_exponent))
    )
    return np.asarray((fallen / c1) ** (1.0 / c2))


def fatigue_coefficient(
    exponent: ArrayLike,
    *,
    loss_coefficient: ArrayLike,
    loss_exponent: ArrayLike,
    damage_at_failure: ArrayLike,
    frequency_hz: ArrayLike = 10.0,
    initial_modulus: ArrayLike = 1.0,
) -> Floats:
    """Give A of the fatigue law.

    Parameters
    ----------
    exponent : array_like of float
        alpha.
    loss_coefficient, loss_exponent : array_like of float
        C1 and C2.
    damage_at_failure : array_like of float
        Df.
    frequency_hz : array_like of float
        Loading frequency [Hz].
    initial_modulus : array_like of float
        As in `damage_growth`.

    Returns
    -------
    ndarray of float
        A [cycles, for a strain in %].

    Raises
    ------
    MeasurementError
        Where a number is not above zero, or k is not.

    Notes
    -----
    ``k = 1 + (1 - C2) alpha``, ``A = f Df^k/(k (pi I C1 C2)^alpha)``; AASHTO T 391 with I = 1. It is the
    growth of damage at one amplitude, integrated up to Df.
    """
    alpha, c1, c2, df, f, initial = (
        above_zero("fatigue law", name, value)
        for name, value in (
            ("alpha", exponent),
            ("C1", loss_coefficient),
            ("C2", loss_exponent),
            ("Df", damage_at_failure),
            ("frequency", frequency_hz),
            ("initial modulus", initial_modulus),
        )
    )
    k = 1.0 + (1.0 - c2) * alpha
    if np.any(k <= 0.0):
        raise MeasurementError(
            f"fatigue law: k = 1 + (1 - C2) alpha is {np.min(k):.3g}, above zero is needed"
        )
    return np.asarray(f * df**k / (k * (math.pi * initial * c1 * c2) ** alpha))


def fatigue_life(strain_percent: ArrayLike, *, coefficient_a: ArrayLike, exponent_b: ArrayLike) -> Floats:
    """Give the cycles to failure at a strain amplitude.

    Parameters
    ----------
    strain_percent : array_like of float
        Strain amplitude, above zero [%].
    coefficient_a, exponent_b : array_like of float
        A and B = 2 alpha.

    Returns
    -------
    ndarray of float
        ``Nf = A strain^(-B)``.

    Raises
    ------
    MeasurementError
        Where a number is not above zero.

    Examples
    --------
    >>> round(float(fatigue_life(5.0, coefficient_a=235597.278, exponent_b=3.0)), 3)
    1884.778
    """
    strain, a, b = (
        above_zero("fatigue law", n, v)
        for n, v in (("strain", strain_percent), ("A", coefficient_a), ("B", exponent_b))
    )
    return np.asarray(a * strain**-b)
