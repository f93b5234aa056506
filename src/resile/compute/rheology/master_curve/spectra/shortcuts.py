"""Rules of thumb between oscillation, relaxation and creep, each by name, with what they miss told.

Use the exact way in `interconversion` where there is a spectrum; these serve where there is only a curve,
and to see what a published number computed by one of them is worth (`shortcut_errors_percent`).
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import MappingProxyType

import numpy as np
from numpy.typing import ArrayLike, NDArray

from resile.compute.rheology.master_curve.spectra.modes import dynamic_moduli, relaxation_modulus
from resile.errors import InputError
from resile.records.models.spectrum import RelaxationModes

Floats = NDArray[np.float64]
DynamicModuli = Callable[[Floats], tuple[Floats, Floats]]
"""From angular frequency [rad/s] to storage and loss modulus."""


def relaxation_modulus_christensen(moduli: DynamicModuli, time_s: ArrayLike) -> Floats:
    """Give the relaxation modulus as the storage modulus at one frequency.

    Parameters
    ----------
    moduli : callable
        Storage and loss modulus at an angular frequency [rad/s].
    time_s : array_like of float, any shape
        Time, above zero [s].

    Returns
    -------
    ndarray of float, shape of `time_s`
        In the unit of the moduli.

    Raises
    ------
    InputError
        Where a time is not a number above zero.

    Notes
    -----
    ``G(t) about G'(w)`` at ``w = 2/(pi t)``. Good where the modulus hardly falls; at a slope of one half it
    is a few per cent off, and towards the liquid end it fails.

    References
    ----------
    Christensen 1982, from memory (high).
    """
    return np.asarray(moduli(2.0 / (np.pi * _above_zero(time_s)))[0])


def relaxation_modulus_ninomiya_ferry(moduli: DynamicModuli, time_s: ArrayLike) -> Floats:
    """Give the relaxation modulus from three moduli.

    Parameters
    ----------
    moduli : callable
        Storage and loss modulus at an angular frequency [rad/s].
    time_s : array_like of float, any shape
        Time, above zero [s].

    Returns
    -------
    ndarray of float, shape of `time_s`
        In the unit of the moduli.

    Raises
    ------
    InputError
        Where a time is not a number above zero.

    Notes
    -----
    ``G(t) = G'(w) - 0.40 G''(0.40 w) + 0.014 G''(10 w)`` at ``w = 1/t``.

    References
    ----------
    Ninomiya and Ferry 1959, from memory (high).
    """
    frequency = 1.0 / _above_zero(time_s)
    return np.asarray(
        moduli(frequency)[0] - 0.40 * moduli(0.40 * frequency)[1] + 0.014 * moduli(10.0 * frequency)[1]
    )


def relaxation_modulus_equal_frequency(moduli: DynamicModuli, time_s: ArrayLike) -> Floats:
    """Give the size of the complex modulus at one over the time: the rule between beam and shear.

    Parameters
    ----------
    moduli : callable
        Storage and loss modulus at an angular frequency [rad/s].
    time_s : array_like of float, any shape
        Time, above zero [s].

    Returns
    -------
    ndarray of float, shape of `time_s`
        In the unit of the moduli.

    Raises
    ------
    InputError
        Where a time is not a number above zero.

    Notes
    -----
    ``|G*|(1/t)`` is nearer to ``1/J(t)``, what a creep test shows, than to ``G(t)``: for a power law
    ``t^-m`` it is ``Gamma(1 - m) G(t)`` and ``1/(J(t) Gamma(1 + m))``.

    References
    ----------
    SHRP-A-369, from memory (high); the power law by hand.
    """
    return np.asarray(np.hypot(*moduli(1.0 / _above_zero(time_s))))


SHORTCUTS: Mapping[str, Callable[[DynamicModuli, ArrayLike], Floats]] = MappingProxyType(
    {
        "christensen": relaxation_modulus_christensen,
        "ninomiya-ferry": relaxation_modulus_ninomiya_ferry,
        "equal-frequency": relaxation_modulus_equal_frequency,
    }
)
"""Relaxation modulus by rule of thumb, by name."""


def creep_compliance_power_law(relaxation: ArrayLike, slope: ArrayLike) -> Floats:
    """Give the creep compliance from the relaxation modulus and its slope at the same time.

    Parameters
    ----------
    relaxation : array_like of float, any shape
        Relaxation modulus, above zero, any unit.
    slope : array_like of float, shape that broadcasts
        ``m = -d ln G/d ln t`` at that time, 0 to below 1.

    Returns
    -------
    ndarray of float
        One over the unit of the modulus.

    Raises
    ------
    InputError
        Where a modulus is not above zero or a slope not from 0 to below 1.

    Notes
    -----
    ``G(t) J(t) = sin(m pi)/(m pi)``, exact where G is a power of time throughout.

    References
    ----------
    From memory (high); follows from the convolution of G and J.
    """
    modulus, m = np.asarray(relaxation, dtype=float), np.asarray(slope, dtype=float)
    if not (np.isfinite(modulus) & (modulus > 0.0)).all():
        raise InputError("relaxation modulus: a number above 0 is needed everywhere")
    if not ((m >= 0.0) & (m < 1.0)).all():
        raise InputError("slope: a number from 0 to below 1 is needed everywhere")
    return np.asarray(np.sinc(m) / modulus)


def shortcut_errors_percent(modes: RelaxationModes, time_s: ArrayLike) -> dict[str, Floats]:
    """Give how far each shortcut to the relaxation modulus is off for a material whose modes are known.

    Parameters
    ----------
    modes : RelaxationModes
        The material.
    time_s : array_like of float, any shape
        Time, above zero [s].

    Returns
    -------
    dict of str to ndarray of float, shape of `time_s`
        Shortcut less exact over exact [%], by the names in `SHORTCUTS`.

    Raises
    ------
    InputError
        Where a time is not a number above zero.

    References
    ----------
    Definition.
    """
    exact = relaxation_modulus(modes, _above_zero(time_s))

    def moduli(frequency: Floats) -> tuple[Floats, Floats]:
        return dynamic_moduli(modes, frequency)

    return {name: 100.0 * (rule(moduli, time_s) / exact - 1.0) for name, rule in SHORTCUTS.items()}


def _above_zero(time_s: ArrayLike) -> Floats:
    time = np.asarray(time_s, dtype=float)
    if not (np.isfinite(time) & (time > 0.0)).all():
        raise InputError("time: a number above 0 s is needed everywhere")
    return time
