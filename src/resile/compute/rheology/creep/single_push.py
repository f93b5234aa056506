"""One push of a spring-and-dashpot binder: softer when hotter or pushed harder, and back from two numbers.

What to use when: `softened_model` for an invented binder at another temperature and stress, `model_of_result`
to draw a result of which only Jnr and recovery are known, `push_once` for the push itself. They teach; they
predict no real binder (for that: `temperature_line`).
"""

from __future__ import annotations

import math

import numpy as np

from resile.compute.rheology.models.viscoelastic_models import (
    BurgersModel,
    KelvinElement,
    StressPulse,
    creep_recovery_response,
)
from resile.errors import InputError
from resile.records.explanation import Push

PUSH_POINTS = 20
"""Points of the path while pushed."""
REST_POINTS = 60
"""Points of the path while let go."""

LEAST_RECOVERY_PERCENT = 1e-9
"""A recovery up to this is none [%]."""


def softened_model(
    model: BurgersModel, *, warmer_c: float, slope_per_c: float, stress_kpa: float, doubling_stress_kpa: float
) -> BurgersModel:
    """Give a model at another temperature and stress.

    Parameters
    ----------
    model : BurgersModel
        At the temperature of reference and a vanishing stress.
    warmer_c : float
        Degrees above the temperature of reference; negative below [°C].
    slope_per_c : float
        Change of the natural logarithm of the flow by one degree [1/°C].
    stress_kpa : float
        Stress of the push, 0 or more [kPa].
    doubling_stress_kpa : float
        Stress at which the flow for each kPa has doubled [kPa].

    Returns
    -------
    BurgersModel
        Springs as before; dashpots thinned.

    Raises
    ------
    InputError
        Where a number cannot be used.

    Notes
    -----
    Heat divides every dashpot by f = exp(slope_per_c x warmer_c), so that time runs f times as fast; stress
    divides the dashpot in the row by g = 1 + stress/doubling_stress. Jnr of the flow alone is then f g/h0.
    The form is our own choice, the simplest in which heat and stress both leave more behind; no source.
    """
    for name, value in (("temperature", warmer_c), ("slope", slope_per_c)):
        if not math.isfinite(value):
            raise InputError(f"{name}: {value} found, a number is needed")
    if not (0 <= stress_kpa < math.inf and doubling_stress_kpa > 0):
        raise InputError(
            f"stress {stress_kpa} kPa with a doubling stress of {doubling_stress_kpa} kPa: "
            "0 or more, and above 0, are needed"
        )
    heat = math.exp(slope_per_c * warmer_c)
    return BurgersModel(
        maxwell_dashpot_kpa_s=model.maxwell_dashpot_kpa_s / (heat * (1 + stress_kpa / doubling_stress_kpa)),
        maxwell_spring_kpa=model.maxwell_spring_kpa,
        kelvin_elements=tuple(
            KelvinElement(one.spring_kpa, one.dashpot_kpa_s / heat) for one in model.kelvin_elements
        ),
    )


def model_of_result(
    jnr: float,
    percent_recovery: float,
    *,
    retardation_time_s: float,
    creep_time_s: float = 1.0,
    recovery_time_s: float = 9.0,
) -> BurgersModel:
    """Give a model whose first push shows a compliance and a recovery.

    Parameters
    ----------
    jnr : float
        Strain that stays, per stress; above 0 [1/kPa].
    percent_recovery : float
        Share that springs back, below 100; a negative one counts as 0 [%].
    retardation_time_s : float
        Retardation time of the part that springs back [s].
    creep_time_s, recovery_time_s : float
        Times of the cycle [s].

    Returns
    -------
    BurgersModel
        One dashpot and at most one Kelvin element.

    Raises
    ------
    InputError
        Where no such model exists.

    Notes
    -----
    With q = exp(-creep/r), p = exp(-recovery/r), the strains per stress at the end of the push and of the
    rest are ``a + (1 - q)/E`` and ``a + p (1 - q)/E``; their ratio to Jnr and recovery gives E and the flow
    a = creep/h0. Two unknowns, two equations: the ends are exact, the path between is an illustration.
    """
    for name, value, words in (
        ("Jnr", jnr, "above 0 1/kPa"),
        ("retardation time", retardation_time_s, "above 0 s"),
    ):
        if not (math.isfinite(value) and value > 0):
            raise InputError(f"{name}: {value} found, {words} is needed")
    if not percent_recovery < 100:
        raise InputError(f"recovery: {percent_recovery} % found, below 100 % is needed")
    share = max(percent_recovery, 0.0) / 100
    back = jnr * share / (1 - share)
    if percent_recovery <= LEAST_RECOVERY_PERCENT:  # its spring would be too stiff for a number
        return BurgersModel(maxwell_dashpot_kpa_s=creep_time_s / jnr)
    gone = math.exp(-recovery_time_s / retardation_time_s)
    risen = back / (1 - gone)
    flow = jnr - gone * risen
    if not flow > 0:
        raise InputError(
            f"recovery {percent_recovery} % with a retardation time of {retardation_time_s} s: "
            "what comes back after the rest is more than what stays; a shorter time is needed"
        )
    spring = -math.expm1(-creep_time_s / retardation_time_s) / risen
    return BurgersModel(
        maxwell_dashpot_kpa_s=creep_time_s / flow,
        kelvin_elements=(KelvinElement(spring, spring * retardation_time_s),),
    )


def push_once(
    model: BurgersModel,
    *,
    stress_kpa: float,
    temperature_c: float,
    creep_time_s: float = 1.0,
    recovery_time_s: float = 9.0,
) -> Push:
    """Push a binder once from rest and let it go.

    Parameters
    ----------
    model : BurgersModel
        At this temperature and stress.
    stress_kpa : float
        Stress, above 0 [kPa].
    temperature_c : float
        Temperature; only told, the model has it already [°C].
    creep_time_s, recovery_time_s : float
        Times of the push and of the rest [s].

    Returns
    -------
    Push
        Ends, recovery, Jnr and the path between.

    Raises
    ------
    InputError
        Where the stress is not above 0.

    Notes
    -----
    As `resile.compute.rheology.creep.creep_recovery` for one cycle: R = 100 (e1 - e10)/e1, Jnr = e10/s. A
    spring in the row moves at once: the path has two points at its start and at the end of the push.
    """
    if not (math.isfinite(stress_kpa) and stress_kpa > 0):
        raise InputError(f"stress: {stress_kpa} kPa found, above 0 is needed")
    length = creep_time_s + recovery_time_s
    rest = np.linspace(0.0, 1.0, REST_POINTS + 1) ** 2  # denser where the strain still moves fast
    # A point just after a moment (2 ns: the response settles 1 ns) shows where the spring has jumped to.
    times = np.concatenate(
        [
            [0.0, 2e-9],
            creep_time_s * np.arange(1, PUSH_POINTS + 1) / PUSH_POINTS,
            [creep_time_s + 2e-9],
            creep_time_s + recovery_time_s * rest[1:],
        ]
    )
    pulse = StressPulse(start_s=0.0, end_s=creep_time_s, stress_kpa=stress_kpa)
    strain = creep_recovery_response(model, times, pulses=[pulse])
    peak, left = (
        float(value) for value in creep_recovery_response(model, [creep_time_s, length], pulses=[pulse])
    )
    return Push(
        stress_kpa=stress_kpa,
        temperature_c=temperature_c,
        creep_time_s=creep_time_s,
        recovery_time_s=recovery_time_s,
        creep_strain=peak,
        recovered_strain=left,
        percent_recovery=100.0 * (peak - left) / peak,
        jnr=left / stress_kpa,
        time_s=tuple(times.tolist()),
        strain=tuple(strain.tolist()),
    )
