"""Shapes of a master curve over frequency, each by author and year."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]

GLASSY_MODULUS_KPA = 1.0e6
"""Modulus of bitumen at low temperature and high frequency, 1 GPa [kPa]. Christensen and Anderson 1992."""


def christensen_anderson_modulus(
    angular_frequency_rad_s: ArrayLike,
    *,
    glassy_modulus: float,
    crossover_frequency_rad_s: ArrayLike,
    rheological_index: float,
) -> Floats:
    """Give the size of the complex modulus by Christensen and Anderson.

    Parameters
    ----------
    angular_frequency_rad_s : array_like of float, shape (n,) or scalar
        Angular frequency [rad/s].
    glassy_modulus : float
        Modulus that is approached at high frequency, any unit.
    crossover_frequency_rad_s : array_like of float, shape that broadcasts
        Frequency of 45° [rad/s].
    rheological_index : float
        Width of the relaxation.

    Returns
    -------
    ndarray of float
        In the unit of the glassy modulus.

    Notes
    -----
    ``|G*| = Gg [1 + (wc/w)^b]^(-1/b)``, ``b = log10(2)/R``.

    References
    ----------
    Christensen and Anderson 1992, as printed in lecture notes (Eq. 5, 8).

    Examples
    --------
    >>> modulus = christensen_anderson_modulus(
    ...     1.0, glassy_modulus=1e9, crossover_frequency_rad_s=10.0, rheological_index=2.0
    ... )
    >>> round(float(modulus))
    2863475
    """
    power = np.log10(2.0) / rheological_index
    ratio = np.asarray(crossover_frequency_rad_s, dtype=float) / np.asarray(
        angular_frequency_rad_s, dtype=float
    )
    return np.asarray(glassy_modulus * (1.0 + ratio**power) ** (-1.0 / power))


def christensen_anderson_phase(
    angular_frequency_rad_s: ArrayLike, *, crossover_frequency_rad_s: ArrayLike, rheological_index: float
) -> Floats:
    """Give the phase angle by Christensen and Anderson.

    Parameters
    ----------
    angular_frequency_rad_s, crossover_frequency_rad_s, rheological_index
        As in `christensen_anderson_modulus`.

    Returns
    -------
    ndarray of float
        Phase angle [°].

    Notes
    -----
    ``delta = 90/[1 + (w/wc)^b]``; the slope ``d log|G*|/d log w`` is exactly ``delta/90``.

    References
    ----------
    Christensen and Anderson 1992, as printed in lecture notes (Eq. 6).
    """
    power = np.log10(2.0) / rheological_index
    ratio = np.asarray(angular_frequency_rad_s, dtype=float) / np.asarray(
        crossover_frequency_rad_s, dtype=float
    )
    return np.asarray(90.0 / (1.0 + ratio**power))


def christensen_anderson_marasteanu_modulus(
    angular_frequency_rad_s: ArrayLike,
    *,
    glassy_modulus: float,
    location_frequency_rad_s: ArrayLike,
    rheological_index: float,
    viscous_exponent: float,
) -> Floats:
    """Give the size of the complex modulus by Christensen, Anderson and Marasteanu.

    Parameters
    ----------
    angular_frequency_rad_s : array_like of float, shape (n,) or scalar
        Angular frequency [rad/s].
    glassy_modulus : float
        Modulus that is approached at high frequency, any unit.
    location_frequency_rad_s : array_like of float, shape that broadcasts
        Frequency at which the two asymptotes meet [rad/s].
    rheological_index : float
        Width of the relaxation; ``v = log10(2)/R``.
    viscous_exponent : float
        Slope of ``log |G*|`` at low frequency, usually written w or w'; 1 gives Christensen and Anderson.

    Returns
    -------
    ndarray of float
        In the unit of the glassy modulus.

    Notes
    -----
    ``|G*| = Gg [1 + (wc/w)^v]^(-w'/v)``.

    References
    ----------
    Marasteanu and Anderson 1999, from memory (high).
    """
    power = np.log10(2.0) / rheological_index
    ratio = np.asarray(location_frequency_rad_s, dtype=float) / np.asarray(
        angular_frequency_rad_s, dtype=float
    )
    return np.asarray(glassy_modulus * (1.0 + ratio**power) ** (-viscous_exponent / power))


def christensen_anderson_marasteanu_phase(
    angular_frequency_rad_s: ArrayLike,
    *,
    location_frequency_rad_s: ArrayLike,
    rheological_index: float,
    viscous_exponent: float,
) -> Floats:
    """Give the phase angle by Christensen, Anderson and Marasteanu.

    Parameters
    ----------
    angular_frequency_rad_s, location_frequency_rad_s, rheological_index, viscous_exponent
        As in `christensen_anderson_marasteanu_modulus`.

    Returns
    -------
    ndarray of float
        Phase angle [°].

    Notes
    -----
    ``delta = 90 w'/[1 + (w/wc)^v]``.

    References
    ----------
    Marasteanu and Anderson 1999, from memory (high).
    """
    power = np.log10(2.0) / rheological_index
    ratio = np.asarray(angular_frequency_rad_s, dtype=float) / np.asarray(
        location_frequency_rad_s, dtype=float
    )
    return np.asarray(90.0 * viscous_exponent / (1.0 + ratio**power))


def olard_di_benedetto_modulus(
    angular_frequency_rad_s: ArrayLike,
    *,
    glassy_modulus: float,
    characteristic_time_s: ArrayLike,
    creep_weight: float,
    slow_exponent: float,
    fast_exponent: float,
    dashpot_ratio: float,
    static_modulus: float = 0.0,
) -> NDArray[np.complex128]:
    """Give the complex modulus of two springs, two parabolic elements and one dashpot (2S2P1D).

    Parameters
    ----------
    angular_frequency_rad_s : array_like of float, shape (n,) or scalar
        Angular frequency [rad/s].
    glassy_modulus : float
        Modulus that is approached at high frequency, usually written G0, any unit.
    characteristic_time_s : array_like of float, shape that broadcasts
        Time that places the curve, usually written tau [s].
    creep_weight : float
        Weight of the first parabolic element, usually written alpha or delta.
    slow_exponent, fast_exponent : float
        Exponents of the parabolic elements, ``0 < k < h < 1``: k governs high, h middling frequencies.
    dashpot_ratio : float
        Time of the dashpot over `characteristic_time_s`, usually written beta.
    static_modulus : float
        Modulus that is left at low frequency, in the unit of the glassy modulus: about 0 for a binder.

    Returns
    -------
    ndarray of complex
        In the unit of the glassy modulus.

    Notes
    -----
    ``G* = G00 + (G0 - G00)/[1 + a (i w tau)^-k + (i w tau)^-h + (i w beta tau)^-1]``.

    References
    ----------
    Olard and Di Benedetto 2003, from memory (high).
    """
    time = np.asarray(characteristic_time_s, dtype=float)
    turned = 1j * np.asarray(angular_frequency_rad_s, dtype=float) * time
    softening = (
        1.0 + creep_weight * turned**-slow_exponent + turned**-fast_exponent + 1.0 / (turned * dashpot_ratio)
    )
    return np.asarray(static_modulus + (glassy_modulus - static_modulus) / softening)
