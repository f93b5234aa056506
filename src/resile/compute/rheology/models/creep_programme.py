"""Strain of a fitted model under any programme of stress and temperature.

`compliance_at_stress` gives what a model answers to a stress, also between its levels;
`creep_model_compliance` its strain per stress after a time; `simulate_programme` its strain under steps of
stress and temperature. With what a fit leaves in doubt: `programme_doubt`.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from resile.errors import InputError
from resile.records.models.creep_model import CreepModel, LevelCompliance, ProgrammeResponse

Floats = NDArray[np.float64]


def compliance_at_stress(model: CreepModel, stress_kpa: float) -> LevelCompliance:
    """Give what a model answers to a stress.

    Parameters
    ----------
    model : CreepModel
        The model.
    stress_kpa : float
        Stress, of either sign [kPa].

    Returns
    -------
    LevelCompliance
        Of a level, or between two levels.

    Raises
    ------
    InputError
        Where the stress is not a number.

    Notes
    -----
    Between levels each compliance follows a straight line in the logarithm of stress, of its own logarithm
    where both ends are above zero (own choice: a power of stress). Beyond the lowest and the highest level
    that level's compliance is kept.
    """
    if not np.isfinite(stress_kpa):
        raise InputError(f"stress of a creep model: {stress_kpa} kPa found, a number is needed")
    size = abs(stress_kpa)
    stresses = [one.stress_kpa for one in model.compliances]
    above = int(np.searchsorted(stresses, size))
    if above == 0 or above == len(stresses):
        return model.compliances[min(above, len(stresses) - 1)]
    low, high = model.compliances[above - 1], model.compliances[above]
    share = float(np.log(size / low.stress_kpa) / np.log(high.stress_kpa / low.stress_kpa))
    ends = zip(low.numbers, high.numbers, strict=True)
    elastic, fluidity, *delayed = (_between(one, other, share) for one, other in ends)
    return LevelCompliance(size, elastic, fluidity, tuple(delayed))


def creep_model_compliance(model: CreepModel, time_s: ArrayLike, *, stress_kpa: float) -> Floats:
    """Give strain per stress at a time after a stress was put on and left on.

    Parameters
    ----------
    model : CreepModel
        The model.
    time_s : array_like of float, any shape
        Time since the stress was put on [s]; at and before it the answer is 0.
    stress_kpa : float
        The stress, which decides the compliances [kPa].

    Returns
    -------
    ndarray of float, shape of `time_s`
        Compliance [1/kPa].

    Raises
    ------
    InputError
        Where a time or the stress is not a number.

    Notes
    -----
    ``J(t) = J0 + t/h + sum J_i (1 - exp(-t/r_i))``, or ``J0 + t/h + J1 t^a`` with t in seconds.

    Examples
    --------
    >>> model = CreepModel("burgers", (LevelCompliance(3.2, 0.02, 2.0, (0.5,)),), (2.0,))
    >>> print(np.round(creep_model_compliance(model, [1.0], stress_kpa=3.2), 6))
    [2.216735]
    """
    time = np.asarray(time_s, dtype=float)
    if np.isnan(time).any():
        raise InputError("time: not-a-number found, numbers are needed")
    own = compliance_at_stress(model, stress_kpa)
    elapsed = np.maximum(time, 0.0)
    compliance = own.elastic_compliance + own.fluidity_per_kpa_s * elapsed
    if model.exponent is not None:
        compliance = compliance + own.delayed_compliance[0] * elapsed**model.exponent
    for delayed, retardation in zip(own.delayed_compliance, model.retardation_times_s, strict=False):
        compliance = compliance - delayed * np.expm1(-elapsed / retardation)
    return np.where(time > 0.0, compliance, 0.0)


def reduced_time(time_s: ArrayLike, *, starts_s: ArrayLike, log_shifts: ArrayLike) -> Floats:
    """Give the time that has run at the model's own temperature since the first step.

    Parameters
    ----------
    time_s : array_like of float, shape (n,)
        Times [s].
    starts_s, log_shifts : array_like of float, shape (k,)
        Start of each step, in order [s], and ``log10 aT`` of its temperature.

    Returns
    -------
    ndarray of float, shape (n,)
        Reduced time [s], negative before the first step.

    Notes
    -----
    ``xi(t) = int dt/aT``, time-temperature superposition.

    Examples
    --------
    >>> print(reduced_time([1.0, 3.0], starts_s=[0.0, 2.0], log_shifts=[0.0, -1.0]))
    [ 1. 12.]
    """
    time, starts = np.asarray(time_s, dtype=float), np.asarray(starts_s, dtype=float)
    rates = 10.0 ** (-np.asarray(log_shifts, dtype=float))
    begun = np.concatenate(([0.0], np.cumsum(np.diff(starts) * rates[:-1])))
    place = np.maximum(np.searchsorted(starts, time, side="right") - 1, 0)
    return np.asarray(begun[place] + (time - starts[place]) * rates[place])


def simulate_programme(
    model: CreepModel,
    time_s: ArrayLike,
    *,
    starts_s: ArrayLike,
    stresses_kpa: ArrayLike,
    log_shifts: ArrayLike = 0.0,
) -> ProgrammeResponse:
    """Give the strain of a model under steps of stress and temperature.

    Parameters
    ----------
    model : CreepModel
        The model at its own temperature.
    time_s : array_like of float, shape (n,)
        Times at which the strain is asked for [s]; before the first step it is 0.
    starts_s, stresses_kpa : array_like of float, shape (k,)
        Start [s] of each step, in order, and its stress [kPa]; the last one goes on.
    log_shifts : array_like of float, shape (k,) or scalar
        ``log10 aT`` of the temperature of each step, 0 at the model's own: negative where it is warmer.

    Returns
    -------
    ProgrammeResponse
        Strain, its part that never comes back, and stresses outside the levels of the model.

    Raises
    ------
    InputError
        Where steps are not in order or of different number, or a number is missing.

    Notes
    -----
    Time-temperature superposition: all parts of the model run in reduced time ``xi(t) = int dt/aT``. Step k
    adds ``s_k [J_k(xi - xi_k) - J_k(xi - xi_(k+1))]``; each step keeps the compliances of its stress, as
    in the fit. That the shift is one for all parts and all stresses is an assumption; for modified binders it
    often does not hold.

    Examples
    --------
    >>> model = CreepModel("burgers", (LevelCompliance(3.2, 0.0, 4.0, (0.0,)),), (1.0,))
    >>> answer = simulate_programme(model, [1.0, 9.0], starts_s=[0.0, 1.0], stresses_kpa=[3.2, 0.0])
    >>> [round(strain, 9) for strain in answer.strain]
    [12.8, 12.8]
    """
    time, starts, stresses = (
        np.atleast_1d(np.asarray(one, dtype=float)) for one in (time_s, starts_s, stresses_kpa)
    )
    shifts = np.broadcast_to(np.asarray(log_shifts, dtype=float), starts.shape)
    _refuse_what_is_no_programme(time, starts, stresses, shifts)
    reduced = reduced_time(time, starts_s=starts, log_shifts=shifts)
    edges = np.append(reduced_time(starts, starts_s=starts, log_shifts=shifts), np.inf)
    strain, flow = np.zeros_like(time), np.zeros_like(time)
    for place, stress in enumerate(stresses.tolist()):
        if stress == 0.0:
            continue
        put_on, taken_off = reduced - edges[place], reduced - edges[place + 1]
        for sign, elapsed in ((1.0, put_on), (-1.0, taken_off)):
            if np.any(elapsed > 0.0):
                strain += sign * stress * creep_model_compliance(model, elapsed, stress_kpa=stress)
        fluidity = compliance_at_stress(model, stress).fluidity_per_kpa_s
        flow += stress * fluidity * (np.maximum(put_on, 0.0) - np.maximum(taken_off, 0.0))
    sizes = np.abs(stresses[stresses != 0.0])
    lowest, highest = (model.compliances[end].stress_kpa for end in (0, -1))
    outside = np.unique(sizes[(sizes < lowest) | (sizes > highest)])
    columns = (tuple(one.tolist()) for one in (time, strain, flow, outside))
    return ProgrammeResponse(*columns)


def _between(low: float, high: float, share: float) -> float:
    if low > 0.0 and high > 0.0:
        return float(low ** (1.0 - share) * high**share)
    return low + share * (high - low)


def _refuse_what_is_no_programme(time: Floats, starts: Floats, stresses: Floats, shifts: Floats) -> None:
    if starts.shape != stresses.shape or not starts.size or np.any(np.diff(starts) <= 0.0):
        raise InputError(
            f"programme: {starts.size} starts and {stresses.size} stresses found; "
            "one stress a start is needed, the starts in order of time"
        )
    for name, column in (("time", time), ("start", starts), ("stress", stresses), ("shift", shifts)):
        if not np.isfinite(column).all():
            raise InputError(f"programme: a {name} is not a number; finite numbers are needed")
