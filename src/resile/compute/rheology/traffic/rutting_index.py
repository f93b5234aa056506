"""One binder against another under the same train: a ratio of permanent strains with its interval.

An index compares binders. It is no depth of a rut: mixture, layer and traffic decide that.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from resile.compute.rheology.models.viscoelastic_models import BurgersModel, newtonian
from resile.compute.rheology.traffic.pulse_train import accumulate_strain, viscosity_factor
from resile.compute.statistics.uncertainty.coverage import coverage_factor, effective_degrees_of_freedom
from resile.errors import InputError, MeasurementError
from resile.records.models.pulse_train import LoadTrain, RelativeIndex
from resile.records.temperature_line import TemperatureLine

Floats = NDArray[np.float64]
PROBABILITY = 0.95
CREEP_S = 1.0
"""Loading time that Jnr belongs to [s]: AASHTO T 350, from memory (high)."""
_HOUR_S = 3600.0


@dataclass(frozen=True, slots=True)
class TrafficBinder:
    """A binder as a train of pulses needs it.

    Attributes
    ----------
    model : BurgersModel
        At `reference_c`.
    reference_c : float
        Its temperature [°C].
    slope_per_c : float
        Of ln Jnr against temperature [1/°C].
    covariance : tuple of float
        Variance of ln Jnr at `reference_c`, covariance with the slope, variance of the slope.
    degrees_of_freedom : float
        Of that variance.
    """

    model: BurgersModel
    reference_c: float
    slope_per_c: float
    covariance: tuple[float, float, float] = (0.0, 0.0, 0.0)
    degrees_of_freedom: float = math.inf


@dataclass(frozen=True, slots=True)
class StrainOfBinder:
    """Permanent strain of one binder under a train, with what its interval needs.

    Attributes
    ----------
    left : float
        Strain left at the end [ratio].
    retarded : float
        Of it, what would still come back [ratio].
    shares : ndarray of float, shape (b,)
        Share of the flow that each hour adds; their sum is 1.
    mean_c : float
        Mean temperature weighted by these shares [°C].
    standard_log : float
        Standard uncertainty of the natural logarithm of `left`.
    degrees_of_freedom : float
        Of it.
    """

    left: float
    retarded: float
    shares: Floats
    mean_c: float
    standard_log: float
    degrees_of_freedom: float


def binder_of_line(line: TemperatureLine) -> TrafficBinder:
    """Give the liquid that leaves the Jnr of a line: the least that can be said of a binder.

    Parameters
    ----------
    line : TemperatureLine
        Of Jnr against temperature.

    Returns
    -------
    TrafficBinder
        Viscosity ``1 s/Jnr`` at the middle of the line.

    Notes
    -----
    Jnr is the strain left by 1 s of stress and 9 s of rest, over the stress; a liquid of that viscosity
    leaves as much. Recovery that needs longer than nine seconds counts as flow.
    """
    viscosity = CREEP_S / math.exp(line.level)
    return TrafficBinder(
        newtonian(viscosity), line.middle_c, line.slope_per_c, line.covariance, line.degrees_of_freedom
    )


def jnr_at_stress(
    jnr_low: ArrayLike,
    jnr_high: ArrayLike,
    stress_kpa: ArrayLike,
    *,
    low_kpa: float = 0.1,
    high_kpa: float = 3.2,
) -> Floats:
    """Give Jnr at a stress between the two of the test.

    Parameters
    ----------
    jnr_low, jnr_high : array_like of float
        Jnr at the lower and at the higher stress, above zero [1/kPa].
    stress_kpa : array_like of float
        Stress between them, ends included [kPa].
    low_kpa, high_kpa : float
        Stresses of the test [kPa].

    Returns
    -------
    ndarray of float
        Jnr [1/kPa].

    Raises
    ------
    InputError
        Where a compliance is not above zero, or the stress lies outside: beyond 3.2 kPa compliance may rise
        steeply, and nothing tested says how.

    Notes
    -----
    ln Jnr straight in ln stress: common practice, no source.

    Examples
    --------
    >>> float(jnr_at_stress(1.0, 2.0, 3.2))
    2.0
    """
    low, high, stress = (np.asarray(a, dtype=float) for a in (jnr_low, jnr_high, stress_kpa))
    if np.any(~(low > 0)) or np.any(~(high > 0)):
        raise InputError("compliance at a stress: both values of Jnr must be above zero (1/kPa)")
    if np.any(~(stress >= low_kpa)) or np.any(~(stress <= high_kpa)):
        raise InputError(
            f"stress {float(np.max(stress)):g} kPa: between the {low_kpa:g} and {high_kpa:g} kPa "
            "of the test is needed"
        )
    share = np.log(stress / low_kpa) / math.log(high_kpa / low_kpa)
    return np.asarray(np.exp(np.log(low) + share * (np.log(high) - np.log(low))))


def strain_of_binder(binder: TrafficBinder, train: LoadTrain, temperature_c: ArrayLike) -> StrainOfBinder:
    """Give the permanent strain of a binder after hours of traffic.

    Parameters
    ----------
    binder : TrafficBinder
        The binder.
    train : LoadTrain
        The load; its pulses must fit into an hour.
    temperature_c : array_like of float, shape (b,)
        Pavement temperature of each hour, in order [°C].

    Returns
    -------
    StrainOfBinder
        With the standard uncertainty of its logarithm.

    Raises
    ------
    InputError
        Where there is no hour, or the pulses do not fit into one.

    Notes
    -----
    The strain is proportional to Jnr, and each hour's to ``exp(slope (T - reference))``: so its logarithm
    moves one for one with that of Jnr, and with the slope by the mean of T - reference weighted by the
    strain.
    """
    temperature = np.atleast_1d(np.asarray(temperature_c, dtype=float))
    if temperature.ndim != 1 or not temperature.size:
        raise InputError("load train: the temperature of one hour or more is needed")
    taken = train.pulses_per_hour * (train.pulse_s + train.rest_s)
    if taken > _HOUR_S * (1.0 + 1e-9):
        raise InputError(
            f"{train.pulses_per_hour} pulses of {train.pulse_s:.3g} s with {train.rest_s:.3g} s "
            "of rest do not fit "
            "into an hour; fewer axles or less rest are needed"
        )
    factor = viscosity_factor(temperature, reference_c=binder.reference_c, slope_per_c=binder.slope_per_c)
    strain = accumulate_strain(
        binder.model,
        stress_kpa=train.stress_kpa,
        pulse_s=train.pulse_s,
        rest_s=train.rest_s,
        pulses=np.full(temperature.size, train.pulses_per_hour),
        factor=factor,
        idle_s=max(_HOUR_S - taken, 0.0),
    )
    shares = (1.0 / factor) / np.sum(1.0 / factor)
    mean = float(shares @ temperature)
    away = mean - binder.reference_c
    of_level, shared, of_slope = binder.covariance
    variance = of_level + 2.0 * away * shared + away**2 * of_slope
    return StrainOfBinder(
        strain.left,
        float(strain.retarded[-1]),
        shares,
        mean,
        math.sqrt(max(variance, 0.0)),
        binder.degrees_of_freedom,
    )


def relative_index(strain: StrainOfBinder, reference: StrainOfBinder) -> RelativeIndex:
    """Give the permanent strain of a binder over that of the reference.

    Parameters
    ----------
    strain, reference : StrainOfBinder
        Under one and the same train and temperatures; the same object gives exactly 1.

    Returns
    -------
    RelativeIndex
        With a two-sided 95 % interval.

    Raises
    ------
    MeasurementError
        Where a strain is not above zero.

    Notes
    -----
    The logarithms are subtracted; their standard uncertainties add as squares, the two binders having been
    tested apart; degrees of freedom by Welch and Satterthwaite (JCGM 100:2008, G.4.1).
    """
    if not (strain.left > 0.0 and reference.left > 0.0):
        raise MeasurementError("relative index: both strains must be above zero")
    if strain is reference:
        return RelativeIndex(1.0, 1.0, 1.0)
    value = strain.left / reference.left
    parts = [strain.standard_log, reference.standard_log]
    freedom = [strain.degrees_of_freedom, reference.degrees_of_freedom]
    dof = max(1.0, float(effective_degrees_of_freedom(parts, freedom)))
    reach = math.hypot(*parts) * float(coverage_factor(dof, probability=PROBABILITY))
    return RelativeIndex(value, value * math.exp(-reach), value * math.exp(reach))
