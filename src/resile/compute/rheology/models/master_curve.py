"""Modulus and phase angle of a model binder at any temperature and frequency, and its stiffness as a beam.

A master curve is a shape over frequency (Christensen and Anderson) and a shift with temperature (Kaelble as
modified by Rowe and Sharrock). It serves to construct records whose right answer is known; it is not fitted
to measured data here.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from resile.errors import InputError

Floats = NDArray[np.float64]

GLASSY_MODULUS_KPA = 1.0e6
"""Modulus of bitumen at low temperature and high frequency, 1 GPa [kPa]. Christensen and Anderson 1992."""
TENSION_TO_SHEAR = 3.0
"""Stiffness in bending over modulus in shear, of a material that keeps its volume (definition)."""


@dataclass(frozen=True, slots=True)
class MasterCurve:
    """One binder in one state of ageing.

    Attributes
    ----------
    rheological_index : float
        Width of the relaxation, usually written R.
    crossover_frequency_rad_s : float
        Frequency at which the phase angle is 45° at the reference temperature [rad/s].
    reference_c : float
        Reference temperature [°C].
    defining_c : float
        Temperature at which the shift changes its form [°C].
    c1, c2 : float
        Constants of the shift [1], [°C].
    glassy_modulus_kpa : float
        Modulus that is approached at high frequency [kPa].
    """

    rheological_index: float
    crossover_frequency_rad_s: float
    reference_c: float
    defining_c: float
    c1: float = 19.0
    c2: float = 92.0
    glassy_modulus_kpa: float = GLASSY_MODULUS_KPA

    def __post_init__(self) -> None:
        for name in ("rheological_index", "crossover_frequency_rad_s", "c1", "c2", "glassy_modulus_kpa"):
            if not getattr(self, name) > 0.0:
                raise InputError(
                    f"master curve: {name} is {getattr(self, name):g}; a number above 0 is needed"
                )


def christensen_anderson_modulus(
    frequency_rad_s: ArrayLike,
    *,
    glassy_modulus: float,
    crossover_frequency_rad_s: ArrayLike,
    rheological_index: float,
) -> Floats:
    """Give the size of the complex modulus by Christensen and Anderson.

    Parameters
    ----------
    frequency_rad_s : array_like of float, shape (n,) or scalar
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
    ratio = np.asarray(crossover_frequency_rad_s, dtype=float) / np.asarray(frequency_rad_s, dtype=float)
    return np.asarray(glassy_modulus * (1.0 + ratio**power) ** (-1.0 / power))


def christensen_anderson_phase(
    frequency_rad_s: ArrayLike, *, crossover_frequency_rad_s: ArrayLike, rheological_index: float
) -> Floats:
    """Give the phase angle by Christensen and Anderson.

    Parameters
    ----------
    frequency_rad_s, crossover_frequency_rad_s, rheological_index
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
    ratio = np.asarray(frequency_rad_s, dtype=float) / np.asarray(crossover_frequency_rad_s, dtype=float)
    return np.asarray(90.0 / (1.0 + ratio**power))


def kaelble_log_shift(
    temperature_c: ArrayLike, *, reference_c: float, defining_c: float, c1: float, c2: float
) -> Floats:
    """Give the shift with temperature by Kaelble, as modified by Rowe and Sharrock.

    Parameters
    ----------
    temperature_c : array_like of float, shape (n,) or scalar
        Temperature [°C].
    reference_c, defining_c : float
        Temperature of shift zero; temperature at which the form changes [°C].
    c1, c2 : float
        Constants [1], [°C].

    Returns
    -------
    ndarray of float
        ``log10 aT``: falls with temperature.

    Notes
    -----
    ``log aT = -C1 [(T - Td)/(C2 + |T - Td|) - (Tr - Td)/(C2 + |Tr - Td|)]``. Above ``Td``, with ``Tr = Td``,
    it is the equation of Williams, Landel and Ferry.

    References
    ----------
    Rowe and Sharrock 2011, from memory (high).

    Examples
    --------
    >>> round(float(kaelble_log_shift(20.0, reference_c=0.0, defining_c=0.0, c1=19.0, c2=92.0)), 6)
    -3.392857
    """

    def term(kelvin_apart: Floats) -> Floats:
        return kelvin_apart / (c2 + np.abs(kelvin_apart))

    here = np.asarray(temperature_c, dtype=float) - defining_c
    return np.asarray(-c1 * (term(here) - term(np.asarray(reference_c - defining_c))))


def modulus_and_phase(
    curve: MasterCurve, temperature_c: ArrayLike, frequency_rad_s: ArrayLike
) -> tuple[Floats, Floats]:
    """Give modulus and phase angle of a master curve.

    Parameters
    ----------
    curve : MasterCurve
        The model binder.
    temperature_c, frequency_rad_s : array_like of float, shapes that broadcast
        Temperature [°C] and angular frequency [rad/s].

    Returns
    -------
    tuple of (ndarray of float, ndarray of float)
        ``|G*|`` [kPa] and phase angle [°].

    Notes
    -----
    At another temperature the crossover frequency is ``wc/aT``.
    """
    shift = kaelble_log_shift(
        temperature_c, reference_c=curve.reference_c, defining_c=curve.defining_c, c1=curve.c1, c2=curve.c2
    )
    crossover = curve.crossover_frequency_rad_s / 10.0**shift
    modulus = christensen_anderson_modulus(
        frequency_rad_s,
        glassy_modulus=curve.glassy_modulus_kpa,
        crossover_frequency_rad_s=crossover,
        rheological_index=curve.rheological_index,
    )
    phase = christensen_anderson_phase(
        frequency_rad_s,
        crossover_frequency_rad_s=crossover,
        rheological_index=curve.rheological_index,
    )
    return modulus, phase


def bending_stiffness_mpa(curve: MasterCurve, temperature_c: float, loading_time_s: ArrayLike) -> Floats:
    """Give the stiffness that a beam of the model binder shows after a loading time.

    Parameters
    ----------
    curve : MasterCurve
        The model binder.
    temperature_c : float
        Temperature [°C].
    loading_time_s : array_like of float, shape (n,) or scalar
        Loading time [s].

    Returns
    -------
    ndarray of float
        Stiffness [MPa].

    Notes
    -----
    ``S(t) = 3 |G*|(w = 1/t)``: the rule of thumb between beam and shear. With it the m-value is exactly
    ``delta(1/t)/90``, and ``R = log10(2) log10(S/3000)/log10(1 - m)``, S in MPa, holds.

    References
    ----------
    SHRP-A-369, from memory (high); the relation of R, S and m: NCHRP Report 982, from memory (high).
    """
    modulus, _ = modulus_and_phase(curve, temperature_c, 1.0 / np.asarray(loading_time_s, dtype=float))
    return np.asarray(TENSION_TO_SHEAR * modulus / 1000.0)
