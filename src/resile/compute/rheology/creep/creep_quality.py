"""How well a creep-recovery test was run, as plain numbers.

`creep_recovery_measures` gives one `Measure` a question (was the stress reached, was the temperature held,
do the points at the decisive times exist, did the specimen change ...). It judges nothing: the thresholds
stand in ``specifications/findings/creep_recovery.toml``.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from resile.compute.rheology.creep.creep_cycles import CycleNumbers, Cycles
from resile.records.creep_recovery import CreepRecoveryProgramme, StressLevel
from resile.records.finding import Measure

Floats = NDArray[np.float64]
SignalColumns = tuple[Floats, Floats, Floats, Floats | None]

PLATE_RADIUS_OVER_GAP = 12.5
"""25 mm plates, 1 mm gap: the rim strain is 12.5 times the rotation [rad]. AASHTO R 92, section 4.2."""


def creep_recovery_measures(
    signal: SignalColumns,
    numbers: CycleNumbers,
    levels: tuple[StressLevel, ...],
    conditioning_cycles: int,
    *,
    programme: CreepRecoveryProgramme,
) -> tuple[Measure, ...]:
    """Measure how one run went.

    Parameters
    ----------
    signal : tuple
        Time [s], stress [kPa], strain [ratio], temperature [°C] or None; each of shape (n,), the
        temperature also of shape ().
    numbers : CycleNumbers
        All cycles of the run, conditioning included.
    levels : tuple of StressLevel
        What they were reduced to.
    conditioning_cycles : int
        Cycles that were left out of the first mean.
    programme : CreepRecoveryProgramme
        The method.

    Returns
    -------
    tuple of Measure
        Each at its worst place in the run.

    Notes
    -----
    Pitfalls of the method and its practice, one measure each; see ``docs/methods/creep_recovery.md``.
    """
    return (
        *_counts(numbers, levels, conditioning_cycles, programme),
        *_stress(signal, numbers, levels, programme),
        *_temperature(signal, numbers.cycles),
        *_sampling(signal[0], numbers),
        *_strain(signal[2], numbers),
        *_results(levels),
    )


def _worst(name: str, values: Floats, unit: str, numbers: CycleNumbers) -> Measure:
    """Give the largest value over all cycles and the place it stands at; nought stands nowhere."""
    index = int(values.argmax())
    value = float(values[index])
    if value == 0.0:
        return Measure(name, value, unit)
    begin = next(begin for begin, end in numbers.levels if index < end)
    return Measure(name, value, unit, f"{numbers.nominal_kpa[index]:g} kPa, cycle {index - begin + 1}")


def _counts(
    numbers: CycleNumbers,
    levels: tuple[StressLevel, ...],
    conditioning: int,
    programme: CreepRecoveryProgramme,
) -> Iterator[Measure]:
    yield Measure("stress_levels", float(len(levels)))
    yield Measure("conditioning_cycles", float(conditioning), "", f"{levels[0].stress_kpa:g} kPa")
    fewest = min(levels, key=lambda level: len(level.cycles))
    yield Measure("evaluated_cycles_fewest", float(len(fewest.cycles)), "", f"{fewest.stress_kpa:g} kPa")
    for (begin, end), level in zip(numbers.levels[1:], levels[1:], strict=True):
        surplus = end - begin - programme.cycles_evaluated
        if surplus > 0:
            yield Measure("surplus_cycles", float(surplus), "", f"{level.stress_kpa:g} kPa")
    if numbers.cycles.incomplete:
        yield Measure("incomplete_cycles", float(numbers.cycles.incomplete), "", "end of the record")


def _stress(
    signal: SignalColumns,
    numbers: CycleNumbers,
    levels: tuple[StressLevel, ...],
    programme: CreepRecoveryProgramme,
) -> Iterator[Measure]:
    time, stress = signal[0], signal[1]
    cycles = numbers.cycles
    off = 100.0 * np.abs(cycles.stress_kpa / numbers.nominal_kpa - 1.0)
    yield _worst("stress_deviation_percent", off, "%", numbers)
    yield from _strange_levels([level.stress_kpa for level in levels], programme.stresses_kpa)
    yield _worst("late_stress_s", _late_stress(time, stress, cycles), "s", numbers)
    yield _worst("residual_stress_percent", _residual_stress(stress, numbers), "%", numbers)


def _strange_levels(found: list[float], nominal: tuple[float, ...]) -> Iterator[Measure]:
    """Ratio of the first level that is no nominal one to what stands in its place in the programme."""
    for place, stress in enumerate(found):
        if stress in nominal:
            continue
        candidates = nominal[place : place + 1] if len(found) == len(nominal) else nominal
        ratio = min((stress / target for target in candidates), key=lambda value: abs(math.log(value)))
        yield Measure("stress_not_nominal_ratio", ratio, "", f"{stress:.4g} kPa")
        return


def _late_stress(time: Floats, stress: Floats, cycles: Cycles) -> Floats:
    """Time after the start of each cycle up to which the stress is still below 90 % of its own mean [s]."""
    rows = np.minimum(cycles.first + np.arange(4)[:, None], cycles.last)
    late = np.where(stress[rows] < 0.9 * cycles.stress_kpa, time[rows] - cycles.start_s, 0.0)
    longest: Floats = late.max(axis=0)
    return np.maximum(longest, 0.0)


def _residual_stress(stress: Floats, numbers: CycleNumbers) -> Floats:
    """Mean absolute stress in the second half of each recovery, in per cent of the level."""
    cycles = numbers.cycles
    begin = np.minimum((cycles.last + 1 + cycles.stop) // 2, cycles.stop)
    end = np.maximum(cycles.stop - 1, begin)  # the last row may already carry the next push
    cumulated = np.concatenate(([0.0], np.cumsum(np.abs(stress))))
    mean: Floats = (cumulated[end + 1] - cumulated[begin]) / (end + 1 - begin)
    return 100.0 * mean / numbers.nominal_kpa


def _temperature(signal: SignalColumns, cycles: Cycles) -> Iterator[Measure]:
    temperature = signal[3]
    if temperature is None:
        yield Measure("temperature_missing", 1.0)
        return
    if temperature.ndim == 0:
        return
    span = slice(int(cycles.first[0]), int(cycles.stop[-1]) + 1)
    values, time = temperature[span], signal[0][span]
    mean = float(values.mean())
    target = float(round(mean))  # grades step in whole degrees
    deviation = np.abs(values - target)
    worst = int(deviation.argmax())
    at = f"at {time[worst]:.1f} s, against {target:g} °C"
    yield Measure("temperature_deviation_c", float(deviation[worst]), "°C", at)
    yield Measure("temperature_mean_deviation_c", abs(mean - target), "°C", f"against {target:g} °C")
    centred = time - time.mean()
    square = float(centred @ centred)
    drift = float(centred @ values) / square * float(time[-1] - time[0]) if square else 0.0
    yield Measure("temperature_drift_c", abs(drift), "°C", "over the run")


def _sampling(time: Floats, numbers: CycleNumbers) -> Iterator[Measure]:
    cycles = numbers.cycles
    yield _worst("creep_gap_s", cycles.creep_gap_s, "s", numbers)
    yield _worst("recovery_gap_s", cycles.recovery_gap_s, "s", numbers)
    yield _worst("switch_width_s", cycles.switch_width_s, "s", numbers)
    between = np.count_nonzero(cycles.creep_interpolated) + np.count_nonzero(cycles.recovery_interpolated)
    yield Measure("interpolated_points", float(between))
    # The last time step of the record has no successor: a zero keeps the indices of reduceat inside.
    steps = np.concatenate((time[1:] - time[:-1], [0.0, 0.0]))
    edges = np.column_stack(
        (cycles.first, cycles.last, np.minimum(cycles.last + 1, cycles.stop), cycles.stop)
    )
    widest = np.maximum.reduceat(steps, edges.ravel())
    yield _worst("creep_sampling_s", np.where(cycles.last > cycles.first, widest[::4], 0.0), "s", numbers)
    in_recovery = cycles.stop > cycles.last + 1
    yield _worst("recovery_sampling_s", np.where(in_recovery, widest[2::4], 0.0), "s", numbers)


def _strain(strain: Floats, numbers: CycleNumbers) -> Iterator[Measure]:
    cycles = numbers.cycles
    creep = cycles.creep_strain - cycles.initial_strain
    if len(creep) > 1:
        offset = _origin_offset(strain, cycles)
        yield Measure("strain_offset_percent", 100.0 * abs(offset / float(creep[1])), "%", "first cycle")
    span = strain[cycles.first[0] : cycles.stop[-1] + 1]
    largest = max(float(span.max()), -float(span.min()))
    yield Measure("largest_strain", largest)
    yield Measure("largest_rotation_rad", largest / PLATE_RADIUS_OVER_GAP, "rad", "25 mm plates, 1 mm gap")
    yield Measure("strain_restarts", float(cycles.strain_restarts))
    yield from _odd_cycle(creep, numbers)
    if len(creep) > 1 and not cycles.strain_restarts:
        step = np.abs(cycles.initial_strain[1:] - cycles.recovered_strain[:-1])
        period = np.diff(cycles.start_s)
        # Where the next push comes later than the recovery ends, recovery goes on: no jump is claimed.
        jumps = np.where(period < 1.02 * period.min(), 100.0 * step / np.abs(creep[1:]), 0.0)
        yield _worst("cycle_jump_percent", np.concatenate(([0.0], jumps)), "%", numbers)


def _odd_cycle(creep: Floats, numbers: CycleNumbers) -> Iterator[Measure]:
    """Largest departure of a push from the middle of its two neighbours at the same stress, in % of them."""
    odd = np.zeros(len(creep))
    for begin, end in numbers.levels:
        middle = 0.5 * (creep[begin : end - 2] + creep[begin + 2 : end])
        odd[begin + 1 : end - 1] = 100.0 * np.abs(creep[begin + 1 : end - 1] / middle - 1.0)
    yield _worst("odd_cycle_percent", odd, "%", numbers)


def _origin_offset(strain: Floats, cycles: Cycles) -> float:
    """Strain the record shows before the first push; from the second push where no point stands there."""
    if not cycles.origin_assumed:
        return float(cycles.initial_strain[0])
    rise = strain[cycles.first[:2]] - cycles.initial_strain[:2]
    return float(cycles.initial_strain[0] + rise[0] - rise[1])


def _results(levels: tuple[StressLevel, ...]) -> Iterator[Measure]:
    low, high = levels[0], levels[-1]
    recoveries = [level.percent_recovery or 0.0 for level in levels]
    places = [f"{level.stress_kpa:g} kPa" for level in levels]
    lowest, highest = recoveries.index(min(recoveries)), recoveries.index(max(recoveries))
    yield Measure("recovery_lowest_percent", recoveries[lowest], "%", places[lowest])
    yield Measure("recovery_highest_percent", recoveries[highest], "%", places[highest])
    yield Measure("recovery_low_stress_percent", recoveries[0], "%", places[0])
    yield Measure("recovery_high_stress_percent", recoveries[-1], "%", places[-1])
    yield Measure("jnr_low_stress", low.jnr or 0.0, "1/kPa", places[0])
    yield Measure("jnr_high_stress", high.jnr or 0.0, "1/kPa", places[-1])
    residual = (low.jnr or 0.0) * low.stress_kpa
    yield Measure("residual_strain_low_stress_percent", 100.0 * residual, "%", places[0])
    yield Measure("residual_rotation_mrad", 1e3 * residual / PLATE_RADIUS_OVER_GAP, "mrad", places[0])
    if len(levels) > 1 and low.jnr:
        rise = 100.0 * ((high.jnr or 0.0) - low.jnr) / low.jnr
        yield Measure("jnr_difference_percent", rise, "%", f"{places[0]} to {places[-1]}")
    for level, place in zip(levels, places, strict=True):
        if level.jnr_trend_percent is not None:
            name = "jnr_rise_percent" if level is high else "jnr_rise_low_stress_percent"
            yield Measure(name, level.jnr_trend_percent, "%", place)
