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
