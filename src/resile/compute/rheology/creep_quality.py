"""How well a creep-recovery test was run, as plain numbers.

`creep_recovery_measures` gives one `Measure` a question (was the stress reached, was the temperature held,
do the points at the decisive times exist, did the specimen change ...). It judges nothing: the thresholds
stand in ``specifications/findings/creep_recovery.toml``.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from resile.compute.rheology.creep_steps import Cycles
from resile.records.creep_recovery import CreepRecoveryProgramme, Cycle, StressLevel
from resile.records.finding import Measure

Floats = NDArray[np.float64]
SignalColumns = tuple[Floats, Floats, Floats, Floats | None]

PLATE_RADIUS_OVER_GAP = 12.5
"""25 mm plates, 1 mm gap: the rim strain is 12.5 times the rotation [rad]. AASHTO R 92, section 4.2."""


def creep_recovery_measures(
    signal: SignalColumns,
    blocks: list[Cycles],
    levels: tuple[StressLevel, ...],
    conditioning: tuple[Cycle, ...],
    *,
    programme: CreepRecoveryProgramme,
) -> tuple[Measure, ...]:
    """Measure how one run went.

    Parameters
    ----------
    signal : tuple
        Time [s], stress [kPa], strain [ratio], temperature [°C] or None; each of shape (n,), the
        temperature also of shape ().
    blocks : list of Cycles
        The cycles of each stress level, conditioning included.
    levels : tuple of StressLevel
        What they were reduced to.
    conditioning : tuple of Cycle
        Cycles that were left out of the first mean.
    programme : CreepRecoveryProgramme
        The method.

    Returns
    -------
    tuple of Measure
        Each at its worst place in the run.

    Notes
    -----
    Pitfalls 1, 2, 3, 4, 9, 11, 16 and 20 of the method and its practice; see
    ``docs/methods/creep_recovery.md``.
    """
    return tuple(
        [
            *_counts(blocks, levels, conditioning, programme),
            *_stress(signal, blocks, levels, programme),
            *_temperature(signal, blocks),
            *_sampling(signal[0], blocks, levels),
            *_strain(signal[2], blocks, levels),
            *_results(levels),
        ]
    )


def _place(level: StressLevel, index: int) -> str:
    number = level.cycles[index].number if index < len(level.cycles) else index + 1
    return f"{level.stress_kpa:g} kPa, cycle {number}"


def _worst(values: list[Floats], blocks: list[Cycles], levels: tuple[StressLevel, ...]) -> tuple[float, str]:
    """Give the largest value over all cycles and the place it stands at."""
    tops = [float(block_values.max()) for block_values in values]
    block = int(np.argmax(tops))
    number = int(np.argmax(values[block])) + 1
    return tops[block], f"{levels[block].stress_kpa:g} kPa, cycle {number}"


def _counts(
    blocks: list[Cycles],
    levels: tuple[StressLevel, ...],
    conditioning: tuple[Cycle, ...],
    programme: CreepRecoveryProgramme,
) -> Iterator[Measure]:
    yield Measure("stress_levels", float(len(levels)))
    yield Measure("conditioning_cycles", float(len(conditioning)), "", f"{levels[0].stress_kpa:g} kPa")
    fewest = min(levels, key=lambda level: len(level.cycles))
    yield Measure("evaluated_cycles_fewest", float(len(fewest.cycles)), "", f"{fewest.stress_kpa:g} kPa")
    surplus = [len(block) - programme.cycles_evaluated for block in blocks[1:]]
    if surplus and max(surplus) > 0:
        where = levels[1 + int(np.argmax(surplus))]
        yield Measure("surplus_cycles", float(max(surplus)), "", f"{where.stress_kpa:g} kPa")
    incomplete = blocks[-1].incomplete
    if incomplete:
        yield Measure("incomplete_cycles", float(incomplete), "", "end of the record")


def _stress(
    signal: SignalColumns,
    blocks: list[Cycles],
    levels: tuple[StressLevel, ...],
    programme: CreepRecoveryProgramme,
) -> Iterator[Measure]:
    time, stress = signal[0], signal[1]
    nominal = [level.stress_kpa for level in levels]
    off = [100.0 * np.abs(b.stress_kpa / s - 1.0) for b, s in zip(blocks, nominal, strict=True)]
    yield Measure("stress_deviation_percent", *_with_unit(_worst(off, blocks, levels), "%"))
    for level in levels:
        if level.stress_kpa not in programme.stresses_kpa:
            ratios = [level.stress_kpa / s for s in programme.stresses_kpa]
            ratio = min(ratios, key=lambda value: abs(np.log(value)))
            yield Measure("stress_not_nominal_ratio", float(ratio), "", f"{level.stress_kpa:.4g} kPa")
    late, residual = [], []
    for block, target in zip(blocks, nominal, strict=True):
        late.append(_late_stress(time, stress, block, target))
        residual.append(_residual_stress(stress, block, target))
    yield Measure("late_stress_s", *_with_unit(_worst(late, blocks, levels), "s"))
    yield Measure("residual_stress_percent", *_with_unit(_worst(residual, blocks, levels), "%"))


def _with_unit(worst: tuple[float, str], unit: str) -> tuple[float, str, str]:
    return worst[0], unit, worst[1]


def _late_stress(time: Floats, stress: Floats, block: Cycles, target: float) -> Floats:
    """Time after the start of each cycle up to which the stress is still below 90 % of its own mean [s]."""
    late = np.zeros(len(block))
    for step in range(4):  # a record that needs more than four rows for the rise samples it finely
        row = np.minimum(block.first + step, block.last)
        below = stress[row] < 0.9 * block.stress_kpa
        late = np.where(below, np.maximum(time[row] - block.start_s, late), late)
    return late


def _residual_stress(stress: Floats, block: Cycles, target: float) -> Floats:
    """Mean absolute stress in the second half of each recovery, in per cent of the level."""
    cumulated = np.concatenate(([0.0], np.cumsum(np.abs(stress))))
    begin = (block.last + 1 + block.stop) // 2
    begin = np.minimum(begin, block.stop)
    mean: Floats = (cumulated[block.stop + 1] - cumulated[begin]) / (block.stop + 1 - begin)
    return 100.0 * mean / target


def _temperature(signal: SignalColumns, blocks: list[Cycles]) -> Iterator[Measure]:
    temperature = signal[3]
    if temperature is None or temperature.ndim == 0:
        return
    span = slice(int(blocks[0].first[0]), int(blocks[-1].stop[-1]) + 1)
    values, time = temperature[span], signal[0][span]
    target = float(np.rint(np.median(values)))  # grades step in whole degrees
    deviation = np.abs(values - target)
    worst = int(np.argmax(deviation))
    at = f"at {time[worst]:.1f} s, against {target:g} °C"
    yield Measure("temperature_deviation_c", float(deviation[worst]), "°C", at)
    centred = time - time.mean()
    square = float(centred @ centred)
    drift = float(centred @ (values - values.mean())) / square * (time[-1] - time[0]) if square else 0.0
    yield Measure("temperature_drift_c", float(drift), "°C", "over the run")
    yield Measure("temperature_drift_abs_c", abs(float(drift)), "°C", "over the run")


def _sampling(time: Floats, blocks: list[Cycles], levels: tuple[StressLevel, ...]) -> Iterator[Measure]:
    yield Measure("creep_gap_s", *_with_unit(_worst([b.creep_gap_s for b in blocks], blocks, levels), "s"))
    recovery_gaps = [b.recovery_gap_s for b in blocks]
    yield Measure("recovery_gap_s", *_with_unit(_worst(recovery_gaps, blocks, levels), "s"))
    widest = [b.switch_width_s for b in blocks]
    yield Measure("switch_width_s", *_with_unit(_worst(widest, blocks, levels), "s"))
    between = sum(
        int(np.count_nonzero(b.creep_interpolated) + np.count_nonzero(b.recovery_interpolated)) for b in blocks
    )
    yield Measure("interpolated_points", float(between))
    steps = np.diff(time)
    creep_steps = [_widest_step(steps, b.first, b.last) for b in blocks]
    recovery_steps = [_widest_step(steps, np.minimum(b.last + 1, b.stop), b.stop) for b in blocks]
    yield Measure("creep_sampling_s", *_with_unit(_worst(creep_steps, blocks, levels), "s"))
    yield Measure("recovery_sampling_s", *_with_unit(_worst(recovery_steps, blocks, levels), "s"))


def _widest_step(steps: Floats, begin: NDArray[np.intp], end: NDArray[np.intp]) -> Floats:
    """Largest time between neighbours among points ``begin`` to ``end`` of each cycle [s]."""
    padded = np.concatenate((steps, [0.0]))
    edges = np.column_stack((begin, end)).ravel()
    widest = np.maximum.reduceat(padded, edges)[::2]
    return np.where(end > begin, widest, 0.0)


def _strain(strain: Floats, blocks: list[Cycles], levels: tuple[StressLevel, ...]) -> Iterator[Measure]:
    first = blocks[0]
    if len(first) > 1:
        rise = strain[first.first] - first.initial_strain
        amplitude = float(first.creep_strain[1] - first.initial_strain[1])
        offset = float(rise[0] - rise[1]) if first.origin_assumed else float(first.initial_strain[0])
        if amplitude > 0.0:
            share = 100.0 * abs(offset) / amplitude
            yield Measure("strain_offset_percent", share, "%", f"{levels[0].stress_kpa:g} kPa, cycle 1")
    largest = float(np.abs(strain[first.first[0] : blocks[-1].stop[-1] + 1]).max())
    yield Measure("largest_strain", largest)
    yield Measure("largest_rotation_rad", largest / PLATE_RADIUS_OVER_GAP, "rad", "25 mm plates, 1 mm gap")
    if not first.strain_restarts:
        jumps = [_jumps(block) for block in blocks]
        if any(len(values) for values in jumps):
            kept = [values if len(values) else np.zeros(1) for values in jumps]
            yield Measure("cycle_jump_percent", *_with_unit(_worst(kept, blocks, levels), "%"))
    yield Measure("strain_restarts", float(first.strain_restarts))


def _jumps(block: Cycles) -> Floats:
    """Step of strain between the end of one cycle and the start of the next, in % of the creep strain."""
    creep = np.abs(block.creep_strain - block.initial_strain)
    step = np.abs(block.initial_strain[1:] - block.recovered_strain[:-1])
    # Where the next cycle starts later than the recovery ends, creep goes on in between: no jump is claimed.
    adjoining = np.diff(block.start_s) < 1.02 * np.median(np.diff(block.start_s)) if len(block) > 1 else []
    jumps: Floats = np.where(adjoining, 100.0 * step / creep[1:], 0.0)
    return np.concatenate(([0.0], jumps))


def _results(levels: tuple[StressLevel, ...]) -> Iterator[Measure]:
    low, high = levels[0], levels[-1]
    recoveries = [(level.percent_recovery or 0.0, level) for level in levels]
    lowest = min(recoveries, key=lambda pair: pair[0])
    highest = max(recoveries, key=lambda pair: pair[0])
    yield Measure("recovery_lowest_percent", lowest[0], "%", f"{lowest[1].stress_kpa:g} kPa")
    yield Measure("recovery_highest_percent", highest[0], "%", f"{highest[1].stress_kpa:g} kPa")
    yield Measure("recovery_low_stress_percent", low.percent_recovery or 0.0, "%", f"{low.stress_kpa:g} kPa")
    yield Measure("recovery_high_stress_percent", high.percent_recovery or 0.0, "%", f"{high.stress_kpa:g} kPa")
    yield Measure("jnr_low_stress", low.jnr or 0.0, "1/kPa", f"{low.stress_kpa:g} kPa")
    yield Measure("jnr_high_stress", high.jnr or 0.0, "1/kPa", f"{high.stress_kpa:g} kPa")
    residual = (low.jnr or 0.0) * low.stress_kpa
    yield Measure("residual_strain_low_stress_percent", 100.0 * residual, "%", f"{low.stress_kpa:g} kPa")
    rotation = 1e3 * residual / PLATE_RADIUS_OVER_GAP
    yield Measure("residual_rotation_mrad", rotation, "mrad", "25 mm plates, 1 mm gap")
    for level in levels:
        if level.jnr_trend_percent is not None:
            name = "jnr_rise_percent" if level is high else "jnr_rise_low_stress_percent"
            yield Measure(name, level.jnr_trend_percent, "%", f"{level.stress_kpa:g} kPa")
