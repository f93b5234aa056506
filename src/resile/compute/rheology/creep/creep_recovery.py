"""Reduce a multiple-stress creep and recovery record to compliance and recovery.

What is in here and what to use when:

* `reduce_creep_recovery`: a whole record (time, stress, strain) to one `CreepRecoveryRun` a specimen.
* The elastic-response curve, and what a summary's differences must follow from: `creep_indices`.

The symbols of the standard: e0, ec, er are the strains at the start of a cycle, at the end of creep and at
the end of recovery; s is the stress.
"""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
from numpy.typing import ArrayLike, NDArray

from resile.compute.rheology.creep.creep_cycles import CycleNumbers, Cycles
from resile.compute.rheology.creep.creep_indices import (
    compliance_slope_percent,
    difference_percent,
    minimum_recovery_percent,
)
from resile.compute.rheology.creep.creep_quality import SignalColumns, creep_recovery_measures
from resile.compute.rheology.creep.creep_steps import find_cycles
from resile.errors import MeasurementError
from resile.records.creep_recovery import CreepRecoveryProgramme, CreepRecoveryRun, Cycle, StressLevel

Floats = NDArray[np.float64]

NO_RECOVERY_PERCENT = 1e-6
"""Below this a recovery is zero to the precision of the arithmetic; its relative difference is no number."""


def reduce_creep_recovery(
    time_s: ArrayLike,
    stress_kpa: ArrayLike,
    strain: ArrayLike,
    *,
    programme: CreepRecoveryProgramme,
    temperature_c: ArrayLike | None = None,
) -> tuple[CreepRecoveryRun, ...]:
    """Reduce a creep-recovery record.

    Parameters
    ----------
    time_s, stress_kpa, strain : array_like, shape (n,)
        Running time [s] in order, shear stress [kPa], shear strain [ratio].
    programme : CreepRecoveryProgramme
        Nominal times, stresses and cycle counts of the method.
    temperature_c : array_like, shape (n,) or (), optional
        Recorded temperature, or one value for the whole record [°C].

    Returns
    -------
    tuple of CreepRecoveryRun
        One for each time the programme of stresses is run through (a record can hold several specimens),
        without source and findings.

    Raises
    ------
    MeasurementError
        When the columns differ in length, hold no number, or no complete cycle is found.

    Notes
    -----
    For cycle N at stress s, AASHTO T 350, section 9 (from memory, high): ``e1 = ec - e0``, ``e10 = er - e0``,
    ``R = 100 (e1 - e10)/e1``, ``Jnr = e10/s``; means over ten cycles. The stress s is the nominal one where
    the mean measured stress lies within `programme.stress_match_percent` of it. Cycles before the evaluated
    ones at the first stress are conditioning. A stress that falls starts a new run.

    References
    ----------
    AASHTO T 350; ASTM D7405; EN 16659.
    """
    time, stress, ratio = (np.asarray(column, dtype=float) for column in (time_s, stress_kpa, strain))
    temperature = None if temperature_c is None else np.asarray(temperature_c, dtype=float)
    _refuse_what_is_no_record(time, stress, ratio)
    cycles = find_cycles(time, stress, ratio, programme=programme)
    nominal = _nominal_stress(cycles.stress_kpa, programme)
    recovery, jnr = _recovery_and_jnr(cycles, nominal)
    signal = (time, stress, ratio, temperature)
    runs = []
    for begin, end in _run_bounds(nominal):
        part = slice(begin, end)
        edges = [0, *(np.flatnonzero(np.diff(nominal[part])) + 1).tolist(), end - begin]
        numbers = CycleNumbers(
            cycles.between(begin, end), nominal[part], recovery[part], jnr[part], tuple(pairwise(edges))
        )
        runs.append(_reduce_run(numbers, signal, programme))
    return tuple(runs)


def _run_bounds(nominal: Floats) -> list[tuple[int, int]]:
    """Give the first and one past the last cycle of each run: a stress that falls starts a new one."""
    edges = [0, *(np.flatnonzero(np.diff(nominal) < 0.0) + 1).tolist(), len(nominal)]
    return list(pairwise(edges))


def _refuse_what_is_no_record(time: Floats, stress: Floats, strain: Floats) -> None:
    if not len(time) == len(stress) == len(strain):
        raise MeasurementError(
            f"time, stress and strain have {len(time)}, {len(stress)} and {len(strain)} points; "
            "they must be of one length"
        )
    if len(time) < 4:
        raise MeasurementError(f"{len(time)} points are no creep-recovery record; one cycle alone needs more")
    for name, column in (("time", time), ("stress", stress), ("strain", strain)):
        if not np.isfinite(column).all():
            raise MeasurementError(f"the {name} column holds a value that is not a number")


def _nominal_stress(measured: Floats, programme: CreepRecoveryProgramme) -> Floats:
    """Give the nominal stress of each cycle, or the mean of like neighbours where none is near."""
    nominal = np.asarray(programme.stresses_kpa, dtype=float)
    nearest: Floats = nominal[np.argmin(np.abs(np.log(measured[:, None] / nominal)), axis=1)]
    near = np.abs(measured / nearest - 1.0) <= 0.01 * programme.stress_match_percent
    if near.all():
        return nearest
    alike = np.concatenate(([False], np.abs(np.diff(np.log(measured))) < 0.1)) & ~near
    alike[1:] &= ~near[:-1]
    group = np.cumsum(~alike)
    means = np.bincount(group, weights=measured) / np.maximum(np.bincount(group), 1)
    chosen: Floats = np.where(near, nearest, np.round(means[group], 4))
    return chosen


def _reduce_run(
    numbers: CycleNumbers, signal: SignalColumns, programme: CreepRecoveryProgramme
) -> CreepRecoveryRun:
    records = _cycle_records(numbers)
    evaluated = programme.cycles_evaluated
    blocks = numbers.levels
    skipped = max(blocks[0][1] - evaluated, 0)
    kept = [(skipped, blocks[0][1]), *((begin, min(end, begin + evaluated)) for begin, end in blocks[1:])]
    levels = tuple(_reduce_level(numbers, records, begin, end) for begin, end in kept)
    low, high = levels[0], levels[-1]
    two = len(levels) > 1
    return CreepRecoveryRun(
        levels=levels,
        conditioning=records[:skipped],
        jnr_difference_percent=_jnr_difference(low, high) if two else None,
        recovery_difference_percent=_recovery_difference(low, high) if two else None,
        jnr_slope_percent=_slope(low, high) if two else None,
        elastic_response_minimum_percent=_curve_at(levels),
        temperature_c=_mean_temperature(signal[3], numbers.cycles),
        measures=creep_recovery_measures(signal, numbers, levels, skipped, programme=programme),
        programme=programme,
    )


def _cycle_records(numbers: CycleNumbers) -> tuple[Cycle, ...]:
    cycles = numbers.cycles
    rows = zip(
        numbers.number_in_level(),
        cycles.initial_strain.tolist(),
        cycles.creep_strain.tolist(),
        cycles.recovered_strain.tolist(),
        numbers.recovery.tolist(),
        numbers.jnr.tolist(),
        cycles.start_s.tolist(),
        strict=True,
    )
    return tuple([Cycle(*row) for row in rows])


def _recovery_and_jnr(cycles: Cycles, nominal_kpa: Floats) -> tuple[Floats, Floats]:
    creep = cycles.creep_strain - cycles.initial_strain
    left = cycles.recovered_strain - cycles.initial_strain
    still = np.flatnonzero(creep == 0.0)
    if len(still):
        raise MeasurementError(
            f"the strain does not change in the push at {cycles.start_s[still[0]]:.1f} s "
            f"({nominal_kpa[still[0]]:g} kPa); is it the strain column?"
        )
    recovery: Floats = 100.0 * (creep - left) / creep
    jnr: Floats = left / nominal_kpa
    return recovery, jnr


def _reduce_level(numbers: CycleNumbers, records: tuple[Cycle, ...], begin: int, end: int) -> StressLevel:
    count = end - begin
    recovery, recovery_sd, recovery_rise = _mean_sd_rise(numbers.recovery[begin:end])
    jnr, jnr_sd, jnr_rise = _mean_sd_rise(numbers.jnr[begin:end])
    return StressLevel(
        stress_kpa=float(numbers.nominal_kpa[begin]),
        measured_stress_kpa=float(numbers.cycles.stress_kpa[begin:end].sum()) / count,
        percent_recovery=recovery,
        jnr=jnr,
        percent_recovery_sd=recovery_sd,
        jnr_sd=jnr_sd,
        jnr_trend_percent=100.0 * jnr_rise / jnr if jnr_rise is not None and jnr != 0.0 else None,
        recovery_trend=recovery_rise,
        cycles=records[begin:end],
    )


def _mean_sd_rise(values: Floats) -> tuple[float, float | None, float | None]:
    """Give the mean, the standard deviation and the rise of the fitted line from first to last value."""
    count = len(values)
    mean = float(values.sum()) / count
    if count < 3:
        return mean, abs(float(values[1] - values[0])) / math.sqrt(2.0) if count == 2 else None, None
    off = values - mean
    place = np.arange(count) - 0.5 * (count - 1)
    rise = float(place @ off) * 12.0 / (count * (count + 1))  # sum of squared places: count (count^2 - 1)/12
    return mean, math.sqrt(float(off @ off) / (count - 1)), rise


def _finite(value: Floats) -> float | None:
    number = float(value)
    return number if math.isfinite(number) else None


def _jnr_difference(low: StressLevel, high: StressLevel) -> float | None:
    if low.jnr is None or high.jnr is None:
        return None
    return _finite(difference_percent(low.jnr, high.jnr))


def _slope(low: StressLevel, high: StressLevel) -> float | None:
    if low.jnr is None or high.jnr is None:
        return None
    return _finite(
        compliance_slope_percent(
            low.jnr, high.jnr, stress_low_kpa=low.stress_kpa, stress_high_kpa=high.stress_kpa
        )
    )


def _recovery_difference(low: StressLevel, high: StressLevel) -> float | None:
    if low.percent_recovery is None or high.percent_recovery is None:
        return None
    if abs(low.percent_recovery) < NO_RECOVERY_PERCENT:
        return 0.0 if abs(high.percent_recovery) < NO_RECOVERY_PERCENT else None
    return -float(difference_percent(low.percent_recovery, high.percent_recovery))


def _curve_at(levels: tuple[StressLevel, ...]) -> float | None:
    for level in levels:
        if level.stress_kpa == 3.2 and level.jnr is not None and level.jnr >= 0.0:
            value = float(minimum_recovery_percent(level.jnr))
            return value if np.isfinite(value) else None
    return None


def _mean_temperature(temperature: Floats | None, cycles: Cycles) -> float | None:
    if temperature is None:
        return None
    if temperature.ndim == 0:
        return float(temperature)
    return float(temperature[cycles.first[0] : cycles.stop[-1] + 1].mean())
