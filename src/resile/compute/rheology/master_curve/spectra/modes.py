"""What relaxation and retardation modes do at any time or frequency.

Use `dynamic_moduli` and `relaxation_modulus` on relaxation modes, `creep_compliance_of_modes` on retardation
modes, and the slopes for what a beam calls m.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from resile.errors import InputError
from resile.records.models.spectrum import RelaxationModes, RetardationModes

Floats = NDArray[np.float64]


def dynamic_moduli(modes: RelaxationModes, angular_frequency_rad_s: ArrayLike) -> tuple[Floats, Floats]:
    """Give storage and loss modulus of relaxation modes.

    Parameters
    ----------
    modes : RelaxationModes
        The modes.
    angular_frequency_rad_s : array_like of float, any shape
        Angular frequency, above zero [rad/s].

    Returns
    -------
    tuple of (ndarray of float, ndarray of float)
        ``G'`` and ``G''`` [kPa].

    Raises
    ------
    InputError
        Where a frequency is not a number above zero.

    Notes
    -----
    ``G' = Ge + sum Gi w² ri²/(1 + w² ri²)``, ``G'' = sum Gi w ri/(1 + w² ri²)``.

    References
    ----------
    Generalised Maxwell model, lecture notes, Eq. 1 to 4.

    Examples
    --------
    >>> storage, loss = dynamic_moduli(RelaxationModes((1.0,), (4.0,)), 1.0)
    >>> float(storage), float(loss)
    (2.0, 2.0)
    """
    frequency = _above_zero("frequency", angular_frequency_rad_s, "rad/s")
    product = frequency[..., None] * np.asarray(modes.relaxation_times_s)
    size = np.asarray(modes.mode_moduli_kpa)
    loss = size * (1.0 / (product + 1.0 / product))
    return modes.equilibrium_modulus_kpa + (loss * product).sum(axis=-1), loss.sum(axis=-1)


def relaxation_modulus(modes: RelaxationModes, time_s: ArrayLike) -> Floats:
    """Give stress per strain at a time after a strain was put on and held.

    Parameters
    ----------
    modes : RelaxationModes
        The modes.
    time_s : array_like of float, any shape
        Time, 0 or more [s].

    Returns
    -------
    ndarray of float, shape of `time_s`
        ``G(t)`` [kPa].

    Raises
    ------
    InputError
        Where a time is not a number or below zero.

    References
    ----------
    Generalised Maxwell model, lecture notes, Eq. 1.
    """
    time = _time(time_s)
    decays = np.exp(-time[..., None] / np.asarray(modes.relaxation_times_s))
    return np.asarray(modes.equilibrium_modulus_kpa + decays @ np.asarray(modes.mode_moduli_kpa))


def creep_compliance_of_modes(modes: RetardationModes, time_s: ArrayLike) -> Floats:
    """Give strain per stress at a time after a stress was put on and held.

    Parameters
    ----------
    modes : RetardationModes
        The modes.
    time_s : array_like of float, any shape
        Time, 0 or more [s].

    Returns
    -------
    ndarray of float, shape of `time_s`
        ``J(t)`` [1/kPa].

    Raises
    ------
    InputError
        Where a time is not a number or below zero.

    References
    ----------
    Definition of Kelvin elements in a row; as `viscoelastic_models.creep_compliance`.
    """
    time = _time(time_s)
    rises = -np.expm1(-time[..., None] / np.asarray(modes.retardation_times_s))
    return np.asarray(
        modes.glassy_compliance + modes.fluidity * time + rises @ np.asarray(modes.mode_compliances)
    )


def creep_compliance_slope(modes: RetardationModes, time_s: ArrayLike) -> Floats:
    """Give the logarithmic slope of the compliance: the m-value of a creep test on this material.

    Parameters
    ----------
    modes : RetardationModes
        The modes.
    time_s : array_like of float, any shape
        Time, 0 or more [s].

    Returns
    -------
    ndarray of float, shape of `time_s`
        ``d ln J/d ln t``, 0 (solid) to 1 (liquid).

    Raises
    ------
    InputError
        Where a time is not a number or below zero.

    References
    ----------
    Derivative of the sum of `creep_compliance_of_modes`, by hand.
    """
    time = _time(time_s)
    retardation = np.asarray(modes.retardation_times_s)
    speeds = np.exp(-time[..., None] / retardation) / retardation
    rate = modes.fluidity + speeds @ np.asarray(modes.mode_compliances)
    return np.asarray(time * rate / creep_compliance_of_modes(modes, time))


def relaxation_modulus_slope(modes: RelaxationModes, time_s: ArrayLike) -> Floats:
    """Give the logarithmic slope of the relaxation modulus, with its sign turned.

    Parameters
    ----------
    modes : RelaxationModes
        The modes.
    time_s : array_like of float, any shape
        Time, 0 or more [s].

    Returns
    -------
    ndarray of float, shape of `time_s`
        ``-d ln G/d ln t``.

    Raises
    ------
    InputError
        Where a time is not a number or below zero.

    References
    ----------
    Derivative of the sum of `relaxation_modulus`, by hand.
    """
    time = _time(time_s)
    times = np.asarray(modes.relaxation_times_s)
    speeds = np.exp(-time[..., None] / times) / times
    return np.asarray(time * (speeds @ np.asarray(modes.mode_moduli_kpa)) / relaxation_modulus(modes, time))


def _time(time_s: ArrayLike) -> Floats:
    time = np.asarray(time_s, dtype=float)
    if not (np.isfinite(time) & (time >= 0.0)).all():
        raise InputError("time: a number of 0 s or more is needed everywhere")
    return time


def _above_zero(words: str, values: ArrayLike, unit: str) -> Floats:
    numbers = np.asarray(values, dtype=float)
    if not (np.isfinite(numbers) & (numbers > 0.0)).all():
        raise InputError(f"{words}: a number above 0 {unit} is needed everywhere")
    return numbers
