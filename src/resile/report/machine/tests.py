"""The JSON of oscillation, bending-beam and viscosity runs: full precision, ``None`` where unknown."""

from __future__ import annotations

from dataclasses import asdict, fields
from typing import Any

from resile.records.bending_beam import BeamRun, ReplicateBeams
from resile.records.oscillation import OscillationRun
from resile.records.run_group import RunGroup
from resile.records.viscosity import ViscosityRun
from resile.report.machine.records import account_to_json, finding_to_json

Json = dict[str, Any]
_METHOD_WORDS = {"rotational_viscosity": "viscosity"}
_WITHOUT_CYCLES: Json = {
    "conditioning_cycles": None,
    "levels": [],
    "jnr_difference_percent": None,
    "recovery_difference_percent": None,
    "jnr_slope_percent": None,
}
"""Every run carries the promised keys of a creep-recovery run, so that a walk over runs meets no gap."""


def machine_run_to_json(run: OscillationRun | BeamRun | ViscosityRun) -> Json:
    """Give a run as ``resile reduce --json`` names it.

    Parameters
    ----------
    run : OscillationRun, BeamRun or ViscosityRun
        A reduced run.

    Returns
    -------
    dict
        Moduli in kPa, stiffness in MPa, viscosity in Pa·s, temperatures in °C.
    """
    source = None if run.source is None else {"path": run.source.path, "sha256": run.source.sha256}
    return {
        "source": source,
        "method": _METHOD_WORDS.get(run.method, run.method),
        "temperature_c": run_temperature_c(run),
        "condition": str(run.condition),
        **_content(run),
        **_WITHOUT_CYCLES,
        "findings": [finding_to_json(finding) for finding in run.findings],
        "label": run.label,
        "sample": run.sample,
        "account": account_to_json(run.account),
    }


def replicates_to_json(group: RunGroup) -> Json:
    """Give replicate beams as ``resile reduce --json`` names them.

    Parameters
    ----------
    group : RunGroup
        Beams of one binder, residue and temperature.

    Returns
    -------
    dict
        Means and scatter (None where there is one beam), files and findings.
    """
    beams = {} if group.beams is None else asdict(group.beams)
    return {
        "sample": group.sample,
        "condition": str(group.condition),
        "temperature_c": group.temperature_c,
        "names": list(group.names),
        "paths": [run.source.path for run in group.runs if run.source is not None],
        **{field.name: beams.get(field.name) for field in fields(ReplicateBeams)},
        "count": len(group.runs),
        "findings": [finding_to_json(finding) for finding in group.findings],
    }


def run_temperature_c(run: OscillationRun | BeamRun | ViscosityRun) -> float | None:
    """Give the temperature of a run that has one only, else None.

    Parameters
    ----------
    run : OscillationRun, BeamRun or ViscosityRun
        A reduced run.

    Returns
    -------
    float or None
        Temperature [°C].
    """
    if isinstance(run, BeamRun):
        return run.temperature_c
    temperatures = {point.temperature_c for point in run.points}
    return temperatures.pop() if len(temperatures) == 1 else None


def _content(run: OscillationRun | BeamRun | ViscosityRun) -> Json:
    points = [asdict(point) for point in run.points]
    if isinstance(run, OscillationRun):
        return {"points": points, "plate_diameter_mm": run.plate_diameter_mm, "gap_mm": run.gap_mm}
    if isinstance(run, BeamRun):
        return {
            "creep_stiffness": run.creep_stiffness,
            "m_value": run.m_value,
            "points": points,
            "coefficients": list(run.coefficients),
            "r_squared": run.r_squared,
            "geometry": None if run.geometry is None else asdict(run.geometry),
        }
    return {
        "points": points,
        "line": None if run.line is None else asdict(run.line),
        "working_temperatures": [asdict(range_) for range_ in run.working_temperatures],
    }
