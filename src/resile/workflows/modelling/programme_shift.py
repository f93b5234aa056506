"""The time-temperature shift of a programme, as a person states it; never assumed."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from resile.errors import InputError, MeasurementError
from resile.readers.layout import Layout
from resile.records.creep_recovery import CreepRecoveryRun
from resile.records.models.creep_model import CreepModelFit
from resile.records.models.step_programme import ProgrammeShift, ShiftKind, StepProgramme
from resile.records.reading import HeldFile
from resile.workflows.reducing.reduction import reduce_record

_SAME_C = 0.05
_FEWEST_APART_C = 1.0


@dataclass(frozen=True, slots=True)
class StatedShift:
    """What was stated; at most one of them.

    Attributes
    ----------
    per_c : float or None
        By how much ``log10 aT`` falls for each degree that it is warmer.
    second : str, Path, HeldFile or None
        Creep-recovery record of the same binder at another temperature.
    sweeps : sequence of str or Path
        Frequency sweeps of the same binder, for a master curve.
    """

    per_c: float | None = None
    second: str | Path | HeldFile | None = None
    sweeps: Sequence[str | Path] = ()


def shift_of_programme(
    fit: CreepModelFit,
    run: CreepRecoveryRun,
    programme: StepProgramme,
    stated: StatedShift,
    *,
    layout: Layout | None,
) -> ProgrammeShift:
    """Give the shift of each step.

    Parameters
    ----------
    fit, run
        The model, and the run it was fitted to.
    programme : StepProgramme
        What is asked.
    stated : StatedShift
        Where the shift is to come from.
    layout : Layout or None
        How records are to be understood.

    Returns
    -------
    ProgrammeShift
        With the temperatures behind it.

    Raises
    ------
    InputError
        Steps at another temperature and no shift stated, several stated, or one that cannot be.
    """
    given = (stated.per_c is not None, stated.second is not None, bool(stated.sweeps))
    if sum(given) > 1:
        raise InputError("shift: state one slope, or one second record, or sweeps; several were given")
    own = fit.model.temperature_c
    asked = [step.temperature_c for step in programme.steps]
    others = sorted({one for one in asked if one is not None and (own is None or abs(one - own) > _SAME_C)})
    if not others:
        words = "none: all steps at the temperature of the record"
        return ProgrammeShift(ShiftKind.NONE, words, own, own, (0.0,) * len(asked))
    if own is None:
        raise InputError("programme: the record states no temperature, so its steps cannot name one either")
    if not any(given):
        listed = ", ".join(f"{one:g}" for one in others)
        raise InputError(
            f"programme: steps at {listed} °C, the record is at {own:.4g} °C, and no shift is stated; state "
            "a slope, a second creep-recovery record at another temperature, or frequency sweeps"
        )
    temperatures = [own if one is None else one for one in asked]
    if stated.sweeps:
        return _from_sweeps(own, temperatures, stated.sweeps, layout)
    if stated.second is not None:
        slope, words, other = _from_second(run, own, stated.second, layout)
        low, high, kind = min(own, other), max(own, other), ShiftKind.TWO_TEMPERATURES
    else:
        slope, low, high, kind = float(stated.per_c or 0.0), own, own, ShiftKind.STATED
        words = f"stated: log aT falls by {slope:g} for each degree warmer"
    if not 0.0 < slope < 1.0:
        raise InputError(
            f"shift: log aT would fall by {slope:g} for each degree warmer; above 0 and below 1 is needed "
            "(bitumen near 60 °C: about 0.05)"
        )
    return ProgrammeShift(kind, words, low, high, tuple(-slope * (one - own) for one in temperatures))


def _from_second(
    run: CreepRecoveryRun, own: float, second: str | Path | HeldFile, layout: Layout | None
) -> tuple[float, str, float]:
    """Give the slope of log Jnr between two temperatures: flow scales with one over aT."""
    runs = reduce_record(second, layout=layout).creep_recovery_runs
    if len(runs) != 1:
        raise MeasurementError(f"{second}: {len(runs)} creep-recovery runs found; one is needed for a shift")
    other = runs[0].temperature_c
    if other is None or abs(other - own) < _FEWEST_APART_C:
        found = "no temperature" if other is None else f"{other:.4g} °C"
        raise InputError(f"{second}: {found} found; a record at least 1 °C from {own:.4g} °C is needed")
    stress, here = run.levels[-1].stress_kpa, run.levels[-1].jnr
    there = {level.stress_kpa: level.jnr for level in runs[0].levels}.get(stress)
    if there is None or here is None or not (here > 0.0 and there > 0.0):
        raise MeasurementError(
            f"{second}: Jnr above 0 at {stress:g} kPa is needed in both records for a shift"
        )
    slope = math.log10(there / here) / (other - own)
    words = (
        f"from Jnr at {stress:g} kPa of two records, {own:.4g} and {other:.4g} °C: log aT falls by "
        f"{slope:.4g} for each degree warmer"
    )
    return slope, words, other


def _from_sweeps(
    own: float, temperatures: list[float], sweeps: Sequence[str | Path], layout: Layout | None
) -> ProgrammeShift:
    from resile.compute.rheology.master_curve.fitting.fitted_curve import curve_log_shift
    from resile.workflows.files import record_files
    from resile.workflows.modelling.master_curve import fit_sweeps

    report = fit_sweeps(record_files([Path(one) for one in sweeps]), layout=layout, join=True)
    if not report.curves:
        raise report.refused[0].error if report.refused else InputError("shift: no sweep found")
    if len(report.curves) > 1:
        raise InputError(
            f"shift: the sweeps make {len(report.curves)} curves; those of one binder are needed"
        )
    curve = report.curves[0]
    shifts = curve_log_shift(curve, [*temperatures, own])
    low = min(one.lowest_temperature_c for one in curve.isotherms)
    high = max(one.highest_temperature_c for one in curve.isotherms)
    words = f"{curve.shift} shift of a master curve from sweeps at {low:.4g} to {high:.4g} °C"
    moved = tuple((shifts[:-1] - shifts[-1]).tolist())
    return ProgrammeShift(ShiftKind.CURVE, words, low, high, moved)
