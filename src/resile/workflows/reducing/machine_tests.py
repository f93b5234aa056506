"""From the signals of oscillation, bending beam and rotational viscosity to runs with findings."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np

from resile.errors import MeasurementError
from resile.judge.findings import judge_measures
from resile.readers.summaries.columns import heads_sample
from resile.records.bending_beam import BeamGeometry, BeamRun
from resile.records.determination import Condition
from resile.records.finding import Measure
from resile.records.oscillation import OscillationRun
from resile.records.signal import Signal
from resile.records.viscosity import ViscosityRun
from resile.report.words import joined
from resile.specifications.creep_recovery import load_finding_rules

MachineRun = OscillationRun | BeamRun | ViscosityRun
_RULES = {"oscillation": "oscillation", "bending_beam": "bending_beam", "rotational_viscosity": "viscosity"}


def reduce_signal(signal: Signal, *, keep_signal: bool, temperature_c: float | None = None) -> MachineRun:
    """Reduce one signal by the method it records.

    Parameters
    ----------
    signal : Signal
        Of oscillation, a bending beam or rotational viscosity.
    keep_signal : bool
        Keep the columns with the run.
    temperature_c : float or None
        Test temperature where the record has none [°C].

    Returns
    -------
    OscillationRun, BeamRun or ViscosityRun
        With source, account, label and findings.

    Raises
    ------
    MeasurementError
        Names the file, and what cannot be a test of this kind.
    """
    try:
        run = _REDUCERS[signal.method](signal, temperature_c)
    except MeasurementError as error:
        place = f"{signal.source.path}, {signal.label}" if signal.label else signal.source.path
        raise MeasurementError(f"{place}: {error}") from error
    measures = (*run.measures, *_stated(signal, run))
    return replace(
        run,
        condition=Condition(signal.details.get("condition", "unknown")),
        source=signal.source,
        account=signal.account,
        label=signal.label,
        sample=next((text for name, text in signal.details.items() if text and heads_sample(name)), ""),
        measures=measures,
        findings=judge_measures(measures, load_finding_rules(_RULES[signal.method])),
        signal=signal if keep_signal else None,
    )


def _oscillation(signal: Signal, temperature_c: float | None) -> MachineRun:
    from resile.compute.rheology.oscillation.oscillation import reduce_oscillation

    columns = signal.columns
    return reduce_oscillation(
        columns["temperature_c"],
        columns["complex_modulus"],
        columns["phase_angle"],
        angular_frequency_rad_s=columns.get("angular_frequency_rad_s"),
        strain=columns.get("strain"),
        stress_kpa=columns.get("stress_kpa"),
        torque_nm=columns.get("torque_nm"),
        angle_rad=columns.get("angle_rad"),
        reported_rutting_parameter=columns.get("rutting_parameter"),
        plate_diameter_mm=_constant(signal, "plate_diameter_mm"),
        gap_mm=_constant(signal, "gap_mm"),
    )


def _beam(signal: Signal, temperature_c: float | None) -> MachineRun:
    from resile.compute.rheology.beam.bending_beam import reduce_beam, reduce_stiffness

    columns = signal.columns
    measured = columns.get("temperature_c")
    bath_c = temperature_c if measured is None else float(np.mean(measured))
    if "creep_stiffness" in columns:
        return reduce_stiffness(columns["time_s"], columns["creep_stiffness"], temperature_c=bath_c)
    return reduce_beam(
        columns["time_s"],
        columns["load_mn"],
        columns["deflection_mm"],
        geometry=BeamGeometry(*(float(columns[f"{name}_mm"][0]) for name in ("span", "width", "thickness"))),
        temperature_c=bath_c,
    )


def _viscosity(signal: Signal, temperature_c: float | None) -> MachineRun:
    from resile.compute.rheology.viscosity.viscosity_temperature import reduce_viscosity

    columns = signal.columns
    return reduce_viscosity(
        columns["temperature_c"],
        columns["rotational_viscosity"],
        torque_share_percent=columns.get("torque_share_percent"),
    )


_REDUCERS: dict[str, Callable[[Signal, float | None], MachineRun]] = {
    "oscillation": _oscillation,
    "bending_beam": _beam,
    "rotational_viscosity": _viscosity,
}


def _constant(signal: Signal, quantity: str) -> float | None:
    values = signal.columns.get(quantity)
    return None if values is None else float(values[0])


def _stated(signal: Signal, run: MachineRun) -> tuple[Measure, ...]:
    """Tell what the file does not state and the verdict needs."""
    if isinstance(run, OscillationRun):
        stated = "angular_frequency_rad_s" in signal.columns
        return (Measure("frequency_stated", float(stated)),)
    if isinstance(run, BeamRun):
        temperatures = signal.columns.get("temperature_c")
        stated_c = run.temperature_c is not None
        drift = (
            ()
            if temperatures is None
            else (Measure("bath_temperature_range_c", float(np.ptp(temperatures)), "°C"),)
        )
        nominal = Measure("nominal_lengths", float(len(signal.supposed)), "", joined(signal.supposed))
        return (Measure("temperature_stated", float(stated_c)), nominal, *drift)
    return ()
