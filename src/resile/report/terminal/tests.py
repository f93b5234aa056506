"""The sheets of oscillation, bending-beam and viscosity runs: findings first, then one table."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from resile.records.bending_beam import BeamRun
from resile.records.oscillation import OscillationRun
from resile.records.run_group import RunGroup
from resile.records.viscosity import ViscosityRun
from resile.report.numbers import ShowRule, decimals_of, fixed
from resile.report.paper.models.model import Column
from resile.report.paper.runs.machine_words import group_sentence
from resile.report.terminal.grids import (
    fact_lines,
    finding_lines,
    grid_of,
    heading_line,
    sheet_of,
    small_line,
    title_line,
)
from resile.report.words import WORKING_CAUTION

if TYPE_CHECKING:
    from rich.console import Group

_MOST_POINTS = 40
_FOUR_FIGURES = ShowRule("four significant figures", significant=4)


def render_machine_run(run: OscillationRun | BeamRun | ViscosityRun) -> Group:
    """Give the sheet of one run.

    Parameters
    ----------
    run : OscillationRun, BeamRun or ViscosityRun
        A reduced run.

    Returns
    -------
    rich.console.Group
        What was tested, findings, results.
    """
    parts: list[Any] = [title_line(_sentence(run))]
    if run.source is not None:
        parts.append(small_line(f"{run.source.path}  SHA-256 {run.source.sha256[:16]}…"))
    parts += finding_lines(run.findings)
    parts += ["", heading_line("Results")]
    if isinstance(run, OscillationRun):
        parts += _oscillation(run)
    elif isinstance(run, BeamRun):
        parts += _beam(run)
    else:
        parts += _viscosity(run)
    return sheet_of(parts)


def render_replicates(groups: Sequence[RunGroup]) -> Group | None:
    """Give means and scatter of replicate beams, with their findings; None where no beam has a companion.

    Parameters
    ----------
    groups : sequence of RunGroup
        Of any method.

    Returns
    -------
    rich.console.Group or None
        One line a group of beams.
    """
    parts: list[Any] = []
    for group in groups:
        beams = group.beams
        if beams is None:
            if group.findings:  # what was not compared, and why
                parts += finding_lines(group.findings)
            continue
        scatter = (
            f"S ranges over {fixed(beams.creep_stiffness_range_percent, 1)} %, "
            f"m over {fixed(beams.m_value_range_percent, 1)} % of the mean "
            f"({', '.join(group.names)})."
        )
        parts += [title_line(group_sentence(group)), scatter, *finding_lines(group.findings)]
    return sheet_of(parts) if parts else None


def _sentence(run: OscillationRun | BeamRun | ViscosityRun) -> str:
    name = ", ".join(part for part in (run.sample, run.label) if part)
    named = f" of {name}" if name else ""
    if isinstance(run, BeamRun):
        at = "" if run.temperature_c is None else f" at {run.temperature_c:g} °C"
        return f"Bending beam{named}{at}: S {fixed(run.creep_stiffness, 1)} MPa, m {fixed(run.m_value, 3)}."
    temperatures = sorted({point.temperature_c for point in run.points})
    span = f"{temperatures[0]:g} °C" + (f" to {temperatures[-1]:g} °C" if len(temperatures) > 1 else "")
    title = "Oscillation" if isinstance(run, OscillationRun) else "Rotational viscosity"
    points = "1 point" if len(run.points) == 1 else f"{len(run.points)} points"
    return f"{title}{named}: {points}, {span}."


def _number(value: float | None) -> str:
    return fixed(value, 0 if value is None else decimals_of(value, _FOUR_FIGURES))


def _oscillation(run: OscillationRun) -> list[Any]:
    columns = [Column(words, "right") for words in ("°C", "rad/s", "|G*| (kPa)", "δ (°)")]
    columns += [Column("|G*|/sin δ (kPa)", "right"), Column("|G*|·sin δ (kPa)", "right")]
    rows: list[list[Any]] = [
        [
            f"{point.temperature_c:.4g}",
            _number(point.angular_frequency_rad_s),
            _number(point.complex_modulus),
            fixed(point.phase_angle, 1),
            _number(point.rutting_parameter),
            _number(point.fatigue_parameter),
        ]
        for point in run.points[:_MOST_POINTS]
    ]
    more = len(run.points) - len(rows)
    return [grid_of(columns, rows), *([f"and {more} points more (all with --json)"] if more > 0 else [])]


def _beam(run: BeamRun) -> list[Any]:
    columns = [Column(words, "right") for words in ("s", "mN", "mm", "S (MPa)", "fitted", "off (%)", "m")]
    rows: list[list[Any]] = [
        [
            f"{point.loading_time_s:g}",
            _number(point.load_mn),
            _number(point.deflection_mm),
            fixed(point.creep_stiffness, 1),
            fixed(point.fitted_stiffness, 1),
            fixed(point.residual_percent, 2, signed=True),
            fixed(point.m_value, 3),
        ]
        for point in run.points
    ]
    facts = []
    if run.geometry is not None:
        shape = run.geometry
        beam = f"span {shape.span_mm:g}, width {shape.width_mm:g}, thickness {shape.thickness_mm:g} mm"
        facts = fact_lines((("Beam", beam),))
    return [grid_of(columns, rows), *facts]


def _viscosity(run: ViscosityRun) -> list[Any]:
    columns = [Column(words, "right") for words in ("°C", "Viscosity (Pa·s)", "Torque (%)")]
    rows: list[list[Any]] = [
        [
            f"{point.temperature_c:g}",
            _number(point.rotational_viscosity),
            fixed(point.torque_share_percent, 1),
        ]
        for point in run.points
    ]
    facts = [
        (
            row.purpose.capitalize(),
            f"{row.lowest_c:.1f} to {row.highest_c:.1f} °C "
            f"({row.viscosity_high:g} to {row.viscosity_low:g} Pa·s)",
        )
        for row in run.working_temperatures
    ]
    caution = small_line(WORKING_CAUTION)
    return [grid_of(columns, rows), *fact_lines(tuple(facts)), *([caution] if facts else [])]
