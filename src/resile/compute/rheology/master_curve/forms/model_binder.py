"""Modulus and phase angle of a model binder at any temperature and frequency, and its stiffness as a beam.

A master curve is a shape over frequency (Christensen and Anderson) and a shift with temperature (Kaelble as
modified by Rowe and Sharrock). It serves to construct records whose right answer is known; a curve is fitted
to measured sweeps in `joint_fit`.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from resile.compute.rheology.master_curve.forms.shapes import (
    GLASSY_MODULUS_KPA,
    christensen_anderson_modulus,
    christensen_anderson_phase,
)
from resile.compute.rheology.master_curve.forms.shifts import kaelble_log_shift
from resile.errors import InputError

Floats = NDArray[np.float64]

TENSION_TO_SHEAR = 3.0
"""Stiffness in bending over modulus in shear, of a material that keeps its volume (definition)."""


@dataclass(frozen=True, slots=True)
class ModelBinder:
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
                    f"model binder: {name} is {getattr(self, name):g}; a number above 0 is needed"
                )


def modulus_and_phase(
    binder: ModelBinder, temperature_c: ArrayLike, angular_frequency_rad_s: ArrayLike
) -> tuple[Floats, Floats]:
    """Give modulus and phase angle of a master binder.

    Parameters
    ----------
    binder : ModelBinder
        The model binder.
    temperature_c, angular_frequency_rad_s : array_like of float, shapes that broadcast
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
        temperature_c,
        reference_c=binder.reference_c,
        defining_c=binder.defining_c,
        c1=binder.c1,
        c2=binder.c2,
    )
    crossover = binder.crossover_frequency_rad_s / 10.0**shift
    modulus = christensen_anderson_modulus(
        angular_frequency_rad_s,
        glassy_modulus=binder.glassy_modulus_kpa,
        crossover_frequency_rad_s=crossover,
        rheological_index=binder.rheological_index,
    )
    phase = christensen_anderson_phase(
        angular_frequency_rad_s,
        crossover_frequency_rad_s=crossover,
        rheological_index=binder.rheological_index,
    )
    return modulus, phase


def bending_stiffness_mpa(binder: ModelBinder, temperature_c: float, loading_time_s: ArrayLike) -> Floats:
    """Give the stiffness that a beam of the model binder shows after a loading time.

    Parameters
    ----------
    binder : ModelBinder
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
    modulus, _ = modulus_and_phase(binder, temperature_c, 1.0 / np.asarray(loading_time_s, dtype=float))
    return np.asarray(TENSION_TO_SHEAR * modulus / 1000.0)
