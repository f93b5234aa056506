"""Raw records of the other tests of a grade, computed from a model binder.

`simulate_oscillation`, `simulate_beam` and `simulate_viscosity` give the columns that an instrument would
write; creep and recovery stands in `simulation`. For demonstration, tests and benchmarks: nothing here is
measured. Without a generator the record is exact, and a right reduction gives the model back.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike, NDArray

from resile.compute.rheology.master_curve.forms.model_binder import (
    ModelBinder,
    bending_stiffness_mpa,
    modulus_and_phase,
)
from resile.compute.rheology.viscosity.viscosity_temperature import viscosity_at
from resile.errors import InputError
from resile.records.bending_beam import BeamGeometry
from resile.records.viscosity import ViscosityLine

Floats = NDArray[np.float64]

CONTACT_LOAD_MN = 35.0
TEST_LOAD_MN = 980.0
"""Loads of the beam test [mN]. AASHTO T 313, from memory (high)."""
BEFORE_LOAD_S = 5.0
"""Rows under the contact load before the test load is put on [s]. Own choice."""
LOADING_S = 240.0
_RISE_S = 0.1  # the load stands this long before and after the step: its middle is found again to 4 ms
# What a good instrument leaves; common practice, no source.
_MODULUS_NOISE, _PHASE_NOISE_DEG, _TEMPERATURE_NOISE_C = 0.003, 0.03, 0.015
_LOAD_NOISE_MN, _DEFLECTION_NOISE_MM, _VISCOSITY_NOISE = 0.8, 2e-4, 0.004


def simulate_oscillation(
    curve: ModelBinder,
    temperature_c: ArrayLike,
    *,
    strain: ArrayLike,
    plate_diameter_mm: float,
    gap_mm: float,
    angular_frequency_rad_s: ArrayLike = 10.0,
    specimen_factor: float = 1.0,
    generator: np.random.Generator | None = None,
) -> dict[str, Floats]:
    """Give the record of a sweep between parallel plates, over temperature, frequency or both.

    Parameters
    ----------
    curve : ModelBinder
        The model binder in its state of ageing.
    temperature_c : array_like of float, shape (n,)
        Temperature of each row [°C].
    strain : array_like of float, shape (n,) or scalar
        Amplitude of the shear strain (ratio).
    plate_diameter_mm, gap_mm : float
        Plates [mm].
    angular_frequency_rad_s : array_like of float, shape (n,) or scalar
        Angular frequency [rad/s].
    specimen_factor : float
        Modulus of this specimen in multiples of the model's.
    generator : numpy.random.Generator or None
        Source of the noise; None for an exact record.

    Returns
    -------
    dict of str to ndarray of float, each of shape (n,)
        ``temperature_c``, ``angular_frequency_rad_s``, ``complex_modulus`` [kPa], ``phase_angle`` [°],
        ``strain``, ``stress_kpa``, ``torque_nm``, ``angle_rad``.

    Notes
    -----
    Stress is modulus times strain; torque ``pi R^3 tau/2``, rotation ``gamma h/R``. The recorded temperature
    carries its noise, the modulus does not follow it.
    """
    temperature = np.atleast_1d(np.asarray(temperature_c, dtype=float))
    modulus, phase = modulus_and_phase(curve, temperature, angular_frequency_rad_s)
    modulus = modulus * specimen_factor * (1.0 + _noise(generator, _MODULUS_NOISE, temperature.shape))
    phase = np.clip(phase + _noise(generator, _PHASE_NOISE_DEG, temperature.shape), 0.0, 90.0)
    amplitude = np.broadcast_to(np.asarray(strain, dtype=float), temperature.shape)
    radius_m, stress_kpa = plate_diameter_mm / 2000.0, modulus * amplitude
    return {
        "temperature_c": temperature + _noise(generator, _TEMPERATURE_NOISE_C, temperature.shape),
        "angular_frequency_rad_s": np.broadcast_to(
            np.asarray(angular_frequency_rad_s, dtype=float), temperature.shape
        ),
        "complex_modulus": modulus,
        "phase_angle": phase,
        "strain": amplitude,
        "stress_kpa": stress_kpa,
        "torque_nm": stress_kpa * 1000.0 * math.pi * radius_m**3 / 2.0,
        "angle_rad": amplitude * gap_mm / (plate_diameter_mm / 2.0),
    }


def simulate_beam(
    curve: ModelBinder,
    temperature_c: float,
    *,
    geometry: BeamGeometry,
    specimen_factor: float = 1.0,
    generator: np.random.Generator | None = None,
) -> dict[str, Floats]:
    """Give the record of a beam under its test load.

    Parameters
    ----------
    curve : ModelBinder
        The model binder in its state of ageing.
    temperature_c : float
        Temperature of the bath [°C].
    geometry : BeamGeometry
        Span and cross-section.
    specimen_factor : float
        Stiffness of this beam in multiples of the model's.
    generator : numpy.random.Generator or None
        Source of the noise; None for an exact record.

    Returns
    -------
    dict of str to ndarray of float, each of shape (n,)
        ``time_s`` from 0, ``load_mn``, ``deflection_mm`` and ``temperature_c``: 5 s under the contact load,
        then 240 s under the test load, a row each half second.

    Notes
    -----
    ``delta(t) = P L^3/(4 b h^3 S(t))`` with the stiffness of the model at each loading time. Before the test
    load the deflection is the contact load's share of the first one.
    """
    before = np.arange(-BEFORE_LOAD_S, 0.0, 0.5)
    after = np.arange(0.5, LOADING_S + 0.25, 0.5)
    loading = np.concatenate((before, (-_RISE_S, _RISE_S), after))
    on = loading > 0.0
    compliance = geometry.span_mm**3 / (4.0 * geometry.width_mm * geometry.thickness_mm**3)
    stiffness = bending_stiffness_mpa(curve, temperature_c, np.where(on, loading, _RISE_S)) * specimen_factor
    load = np.where(on, TEST_LOAD_MN, CONTACT_LOAD_MN)
    return {
        "time_s": loading + BEFORE_LOAD_S,
        "load_mn": load + _noise(generator, _LOAD_NOISE_MN, load.shape),
        "deflection_mm": load / 1000.0 * compliance / stiffness
        + _noise(generator, _DEFLECTION_NOISE_MM, load.shape),
        "temperature_c": temperature_c + _noise(generator, _TEMPERATURE_NOISE_C, load.shape),
    }


def simulate_viscosity(
    line: ViscosityLine,
    temperature_c: ArrayLike,
    *,
    full_scale_pa_s: ArrayLike,
    generator: np.random.Generator | None = None,
) -> dict[str, Floats]:
    """Give the record of a rotational viscometer.

    Parameters
    ----------
    line : ViscosityLine
        Viscosity of the model binder over temperature.
    temperature_c : array_like of float, shape (n,)
        Temperatures [°C].
    full_scale_pa_s : array_like of float, shape (n,) or scalar
        Viscosity at which the torque of spindle and speed reaches its largest [Pa·s].
    generator : numpy.random.Generator or None
        Source of the noise; None for an exact record.

    Returns
    -------
    dict of str to ndarray of float, each of shape (n,)
        ``temperature_c``, ``rotational_viscosity`` [Pa·s], ``torque_share_percent`` [%].

    Raises
    ------
    InputError
        Where a viscosity lies above full scale: the instrument would show none.
    """
    temperature = np.atleast_1d(np.asarray(temperature_c, dtype=float))
    exact = viscosity_at(temperature, intercept=line.intercept, slope=line.slope)
    viscosity = exact * (1.0 + _noise(generator, _VISCOSITY_NOISE, temperature.shape))
    share = 100.0 * viscosity / np.asarray(full_scale_pa_s, dtype=float)
    if np.any(share > 100.0):
        raise InputError(
            f"viscosity record: {share.max():.0f} % of the largest torque; at most 100 % can be read"
        )
    return {"temperature_c": temperature, "rotational_viscosity": viscosity, "torque_share_percent": share}


def _noise(generator: np.random.Generator | None, size: float, shape: tuple[int, ...]) -> Floats:
    return np.zeros(shape) if generator is None else generator.normal(0.0, size, shape)
