"""Amplitude sweeps made from a known damage law, exactly: their analysis must give the law back."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike, NDArray

from resile.errors import InputError

Floats = NDArray[np.float64]


def simulate_integrity(
    time_s: ArrayLike,
    *,
    exponent: float,
    loss_coefficient: float,
    loss_exponent: float,
    first_strain_percent: float = 0.1,
    last_strain_percent: float = 30.0,
    sweep_s: float = 310.0,
) -> Floats:
    """Give what is left whole of a specimen under a strain amplitude that rises in a straight line.

    Parameters
    ----------
    time_s : array_like of float
        Time since the beginning [s].
    exponent : float
        alpha of the planted law.
    loss_coefficient, loss_exponent : float
        C1 and C2 of ``C = 1 - C1 D^C2``.
    first_strain_percent, last_strain_percent : float
        Strain at the beginning and after `sweep_s` [%]; equal for one amplitude.
    sweep_s : float
        Length of the rise [s].

    Returns
    -------
    ndarray of float, shape of `time_s`
        C, cut off at 0.

    Raises
    ------
    InputError
        Where a number is not above zero, or ``k = 1 + (1 - C2) alpha`` is not.

    Notes
    -----
    ``dD/dt = (-dW/dD)^alpha`` with ``W = pi gamma² C(D)`` integrates to
    ``D^k/k = (pi C1 C2)^alpha int gamma^(2 alpha) dt``; the integral of a straight rise is
    ``(gamma^(2 alpha + 1) - gamma_0^(2 alpha + 1))/((2 alpha + 1) rate)``. By hand from the definition
    (Schapery's law of damage growth, as Hintz and Bahia use it, from memory, high).
    """
    numbers = (exponent, loss_coefficient, loss_exponent, first_strain_percent, last_strain_percent, sweep_s)
    k = 1.0 + (1.0 - loss_exponent) * exponent
    if not all(math.isfinite(n) and n > 0.0 for n in numbers) or k <= 0.0:
        raise InputError("damage law: every number, and k = 1 + (1 - C2) alpha, must be above zero")
    time = np.asarray(time_s, dtype=float)
    rate = (last_strain_percent - first_strain_percent) / sweep_s
    power = 2.0 * exponent + 1.0
    if rate == 0.0:
        work = first_strain_percent ** (2.0 * exponent) * time
    else:
        strain = first_strain_percent + rate * time
        work = (strain**power - first_strain_percent**power) / (power * rate)
    damage = (k * (math.pi * loss_coefficient * loss_exponent) ** exponent * work) ** (1.0 / k)
    return np.asarray(np.maximum(1.0 - loss_coefficient * damage**loss_exponent, 0.0))
