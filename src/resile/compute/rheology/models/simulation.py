"""Whole creep and recovery records computed from a model, with the faults a real test can have.

For demonstration, tests and benchmarks: `simulate_creep_recovery` gives the columns of a record,
`model_cycles` the exact values that a right reduction of a sound record must give back. Nothing here is
measured. Randomness comes only from the generator that is passed in.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from resile.compute.rheology.models.viscoelastic_models import Binder, StressPulse, creep_recovery_response
from resile.errors import InputError
from resile.records.creep_recovery import CreepRecoveryProgramme


@dataclass(frozen=True, slots=True)
class Sampling:
    """When the instrument writes a row.

    Attributes
    ----------
    creep_interval_s, recovery_interval_s : float
        Time between rows in the loaded and in the unloaded part [s].
    irregularity : float
        Each row between the ends of a step moves by up to this share of half an interval (0 to below 1).
    lead_s : float
        All rows of a step come this much early, so that none falls on its end; 0 puts a row
        at the very end [s].
    start_rows : bool
        True: a row at the moment each step starts as well (strain as the step before left it).
    """

    creep_interval_s: float = 0.1
    recovery_interval_s: float = 0.1
    irregularity: float = 0.0
    lead_s: float = 0.0
    start_rows: bool = False

    def __post_init__(self) -> None:
        if not (self.creep_interval_s > 0 and self.recovery_interval_s > 0):
            raise InputError("sampling: an interval of 0 s or less found, above 0 s is needed")
        if not 0 <= self.irregularity < 1:
            raise InputError(f"sampling: irregularity {self.irregularity} found, 0 to below 1 is needed")
        if not 0 <= self.lead_s < min(self.creep_interval_s, self.recovery_interval_s) / 2:
            raise InputError(f"sampling: lead {self.lead_s} s found, 0 to below half an interval is needed")


@dataclass(frozen=True, slots=True)
class Imperfections:
    """How far instrument and specimen fall short; by default not at all.

    Attributes
    ----------
    stress_rise_s : float
        Time the stress takes to rise and to fall [s].
    stress_offset_percent : float
        Applied stress above nominal, in % of nominal; the record shows the applied stress.
    stress_noise_percent : float
        Standard deviation of the recorded stress under load [% of nominal]; the strain does not follow it.
    strain_noise : float
        Standard deviation of the recorded strain (ratio).
    strain_drift_per_s : float
        Steady creep of the strain zero (ratio per second).
    temperature_noise_c : float
        Standard deviation of the recorded temperature [°C].
    temperature_drift_c : float
        Rise of the recorded temperature from the first to the last row [°C]; the strain does not follow it.
    failing_percent_per_cycle : float
        Growth of the compliance from one cycle to the next at the highest stress [%]: tertiary flow, slip or
        edge fracture.
    jump_cycle : int
        Cycle, counted from 1 through the whole test, at whose start the strain jumps; 0 for none.
    jump_strain : float
        Height of the jump (ratio).
    """

    stress_rise_s: float = 0.0
    stress_offset_percent: float = 0.0
    stress_noise_percent: float = 0.0
    strain_noise: float = 0.0
    strain_drift_per_s: float = 0.0
    temperature_noise_c: float = 0.0
    temperature_drift_c: float = 0.0
    failing_percent_per_cycle: float = 0.0
    jump_cycle: int = 0
    jump_strain: float = 0.0

    @property
    def random(self) -> bool:
        """True where a random generator is needed."""
        return max(self.stress_noise_percent, self.strain_noise, self.temperature_noise_c) > 0


PERFECT = Imperfections()
EVERY_TENTH = Sampling()


def simulate_creep_recovery(
    binder: Binder,
    programme: CreepRecoveryProgramme,
    *,
    conditioning_cycles: int = 10,
    temperature_c: float = 64.0,
    sampling: Sampling = EVERY_TENTH,
    imperfections: Imperfections = PERFECT,
    generator: np.random.Generator | None = None,
) -> dict[str, NDArray[np.float64]]:
    """Give the record of a whole creep and recovery test on a model binder.

    Parameters
    ----------
    binder : BurgersModel or mapping of float to BurgersModel
        One model, or one for each stress level [kPa].
    programme : CreepRecoveryProgramme
        Cycle times, stress levels and evaluated cycles.
    conditioning_cycles : int, optional
        Cycles run at the first stress before the evaluated ones.
    temperature_c : float, optional
        Temperature at the start [°C].
    sampling : Sampling, optional
        When rows are written.
    imperfections : Imperfections, optional
        Faults of instrument and specimen.
    generator : numpy.random.Generator or None, optional
        Source of the noise and of irregular sampling; needed where either is asked for.

    Returns
    -------
    dict of str to ndarray of float, each of shape (n,)
        ``time_s`` (running), ``stress_kpa``, ``strain`` (ratio, running), ``temperature_c``, ``cycle_number``
        (counted from 1 within each stress level), ``segment_number`` (each loaded or unloaded step, from 1)
        and ``point_number``.

    Raises
    ------
    InputError
        When noise or irregular sampling is asked for without a generator, or a stress has no model.
    """
    if generator is None and (imperfections.random or sampling.irregularity > 0):
        raise InputError("simulation: noise or irregular sampling needs a random generator, none was given")
    stresses, numbers = _cycles_of(programme, conditioning_cycles)
    length = programme.creep_time_s + programme.recovery_time_s
    starts = length * np.arange(len(stresses), dtype=np.float64)
    pulses = _pulses(programme, stresses, starts, imperfections)
    time, cycle, loaded = _rows(programme, len(stresses), sampling, generator)
    strain = creep_recovery_response(binder, time, pulses=pulses)
    strain += imperfections.strain_drift_per_s * time
    if imperfections.jump_cycle:
        strain[time > starts[imperfections.jump_cycle - 1] + 1e-9] += imperfections.jump_strain
    stress = _recorded_stress(time - starts[cycle], loaded, stresses[cycle], programme, imperfections)
    temperature = temperature_c + imperfections.temperature_drift_c * time / time[-1]
    if generator is not None:
        nominal = np.where(loaded, stresses[cycle], 0.0)
        stress += nominal * imperfections.stress_noise_percent / 100 * generator.standard_normal(len(time))
        strain += imperfections.strain_noise * generator.standard_normal(len(time))
        temperature = temperature + imperfections.temperature_noise_c * generator.standard_normal(len(time))
    return {
        "time_s": time,
        "stress_kpa": stress,
        "strain": strain,
        "temperature_c": temperature,
        "cycle_number": numbers[cycle].astype(float),
        "segment_number": 2.0 * cycle + np.where(loaded, 1.0, 2.0),
        "point_number": np.arange(1.0, len(time) + 1.0),
    }


def model_cycles(
    binder: Binder, programme: CreepRecoveryProgramme, *, conditioning_cycles: int = 10
) -> dict[str, NDArray[np.float64]]:
    """Give the exact cycle values of a model binder: the truth a reduction must find.

    Parameters
    ----------
    binder : BurgersModel or mapping of float to BurgersModel
        One model, or one for each stress level [kPa].
    programme : CreepRecoveryProgramme
        Cycle times, stress levels and evaluated cycles.
    conditioning_cycles : int, optional
        Cycles run at the first stress before the evaluated ones.

    Returns
    -------
    dict of str to ndarray of float, each of shape (cycles,)
        ``stress_kpa``, ``cycle_number``, ``initial_strain``, ``creep_strain``, ``recovered_strain``,
        ``percent_recovery`` and ``jnr`` of every cycle, conditioning included.

    Raises
    ------
    InputError
        When a stress has no model.

    Notes
    -----
    Strains come from `creep_recovery_response` at exactly the start, the end of creep and the end of
    recovery; percent recovery and Jnr from their definitions (AASHTO T 350, section 9, from memory).
    """
    stresses, numbers = _cycles_of(programme, conditioning_cycles)
    length = programme.creep_time_s + programme.recovery_time_s
    starts = length * np.arange(len(stresses), dtype=np.float64)
    pulses = _pulses(programme, stresses, starts, PERFECT)
    initial = creep_recovery_response(binder, starts, pulses=pulses)
    creep = creep_recovery_response(binder, starts + programme.creep_time_s, pulses=pulses)
    recovered = creep_recovery_response(binder, starts + length, pulses=pulses)
    return {
        "stress_kpa": stresses,
        "cycle_number": numbers.astype(float),
        "initial_strain": initial,
        "creep_strain": creep,
        "recovered_strain": recovered,
        "percent_recovery": 100 * (creep - recovered) / (creep - initial),
        "jnr": (recovered - initial) / stresses,
    }


def _cycles_of(
    programme: CreepRecoveryProgramme, conditioning_cycles: int
) -> tuple[NDArray[np.float64], NDArray[np.int64]]:
    """Give the nominal stress of every cycle and its number within its level."""
    if conditioning_cycles < 0:
        raise InputError(f"simulation: {conditioning_cycles} conditioning cycles found, 0 or more are needed")
    evaluated = programme.cycles_evaluated
    counts = [evaluated] * len(programme.stresses_kpa)
    counts[0] += conditioning_cycles
    numbers = np.concatenate([np.arange(1, count + 1) for count in counts])
    return np.repeat(np.asarray(programme.stresses_kpa, dtype=float), counts), numbers


def _pulses(
    programme: CreepRecoveryProgramme,
    stresses: NDArray[np.float64],
    starts: NDArray[np.float64],
    imperfections: Imperfections,
) -> list[StressPulse]:
    growth = 1 + imperfections.failing_percent_per_cycle / 100
    first_of_highest = int(np.argmax(stresses))
    return [
        StressPulse(
            start_s=float(start),
            end_s=float(start) + programme.creep_time_s,
            stress_kpa=float(stress) * (1 + imperfections.stress_offset_percent / 100),
            nominal_stress_kpa=float(stress),
            rise_s=imperfections.stress_rise_s,
            compliance_factor=growth ** max(0, place - first_of_highest),
        )
        for place, (start, stress) in enumerate(zip(starts, stresses, strict=True))
    ]


def _step_times(
    length_s: float, interval_s: float, sampling: Sampling, generator: np.random.Generator | None
) -> NDArray[np.float64]:
    """Give the times of one step's rows, counted from its start."""
    count = max(1, round(length_s / interval_s))
    times = length_s * np.arange(1, count + 1) / count
    if generator is not None and sampling.irregularity > 0:
        shift = generator.uniform(-0.5, 0.5, count) * sampling.irregularity * length_s / count
        shift[-1] = 0.0  # the last row keeps its place: how far it lies before the end is told by the lead
        times = times + shift
    times = times - sampling.lead_s
    return np.concatenate([[0.0], times]) if sampling.start_rows else times


def _rows(
    programme: CreepRecoveryProgramme,
    cycles: int,
    sampling: Sampling,
    generator: np.random.Generator | None,
) -> tuple[NDArray[np.float64], NDArray[np.int64], NDArray[np.bool_]]:
    """Give running time, cycle index (from 0) and whether the row lies in the loaded part."""
    length = programme.creep_time_s + programme.recovery_time_s
    time, cycle, loaded = [], [], []
    for number in range(cycles):
        for begin, duration, interval, is_loaded in (
            (0.0, programme.creep_time_s, sampling.creep_interval_s, True),
            (programme.creep_time_s, programme.recovery_time_s, sampling.recovery_interval_s, False),
        ):
            inside = _step_times(duration, interval, sampling, generator)
            time.append(number * length + begin + inside)
            cycle.append(np.full(len(inside), number))
            loaded.append(np.full(len(inside), is_loaded))
    return np.concatenate(time), np.concatenate(cycle), np.concatenate(loaded)


def _recorded_stress(
    in_cycle_s: NDArray[np.float64],
    loaded: NDArray[np.bool_],
    stresses: NDArray[np.float64],
    programme: CreepRecoveryProgramme,
    imperfections: Imperfections,
) -> NDArray[np.float64]:
    """Give the stress the instrument shows, with its straight rise and fall."""
    full = stresses * (1 + imperfections.stress_offset_percent / 100)
    rise = imperfections.stress_rise_s
    if rise == 0:
        return np.where(loaded, full, 0.0)
    rising = np.clip(in_cycle_s / rise, 0.0, 1.0)
    falling = np.clip(1 - (in_cycle_s - programme.creep_time_s) / rise, 0.0, 1.0)
    return np.asarray(full * np.where(loaded, rising, falling), dtype=float)
