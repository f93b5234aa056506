"""Tables of oscillation, bending-beam and viscosity runs."""

from __future__ import annotations

from collections.abc import Sequence

from resile.records.bending_beam import BeamRun
from resile.records.oscillation import OscillationRun
from resile.records.run_group import RunGroup
from resile.records.viscosity import ViscosityRun, WorkingTemperatures
from resile.report.numbers import NOT_KNOWN, fixed, shown
from resile.report.paper.models.model import LEFT, RIGHT, Column, Table
from resile.report.words import WORKING_CAUTION

_SHORT_NAME = 14
_MOST_POINTS = 60
"""More rows than this are left to the workbook: a page is read, not searched."""


def unbroken(name: str) -> str:
    """Keep a short name on one line."""
    return name.replace(" ", "\N{NO-BREAK SPACE}") if len(name) <= _SHORT_NAME else name


def points_table(runs: Sequence[OscillationRun], names: Sequence[str]) -> Table:
    """Tabulate the points of oscillation runs; of a long sweep the first ones.

    Parameters
    ----------
    runs : sequence of OscillationRun
        Of one group.
    names : sequence of str
        What tells them apart.

    Returns
    -------
    Table
        One row a point.
    """
    rows = [
        (
            unbroken(name),
            fixed(p.temperature_c, 1),
            NOT_KNOWN if p.angular_frequency_rad_s is None else f"{p.angular_frequency_rad_s:.4g}",
            NOT_KNOWN if p.strain is None else fixed(100.0 * p.strain, 2),
            shown(p.complex_modulus, "complex_modulus"),
            shown(p.phase_angle, "phase_angle"),
            shown(p.rutting_parameter, "rutting_parameter"),
            shown(p.fatigue_parameter, "fatigue_parameter"),
        )
        for run, name in zip(runs, names, strict=True)
        for p in run.points
    ]
    more = len(rows) - _MOST_POINTS
    return Table(
        "Points, in the order of the test.",
        (
            Column("Specimen", LEFT, 1.5),
            Column("Temperature (°C)", RIGHT, 1.4),
            Column("Frequency (rad/s)", RIGHT, 1.4),
            Column("Strain (%)", RIGHT, 1.0),
            Column("|G*| (kPa)", RIGHT, 1.1),
            Column("δ (°)", RIGHT, 0.8),
            Column("|G*|/sin δ (kPa)", RIGHT, 1.4),
            Column("|G*|·sin δ (kPa)", RIGHT, 1.4),
        ),
        tuple(rows[:_MOST_POINTS]),
        f"{more} points more stand in the workbook (.xlsx) and in the JSON." if more > 0 else "",
        dense=True,
    )


def beam_table(group: RunGroup) -> Table:
    """Tabulate stiffness, m-value and curve of each beam, and the mean of several.

    Parameters
    ----------
    group : RunGroup
        Beams of one temperature.

    Returns
    -------
    Table
        One row a beam.
    """
    rows = [
        (
            unbroken(name),
            shown(run.creep_stiffness, "creep_stiffness"),
            shown(run.m_value, "m_value"),
            *(fixed(value, 4) for value in run.coefficients),
            NOT_KNOWN if run.r_squared is None else fixed(run.r_squared, 6),
            fixed(max(abs(point.residual_percent) for point in run.points), 2),
        )
        for run, name in zip(group.runs, group.names, strict=True)
        if isinstance(run, BeamRun)
    ]
    beams = group.beams
    strong: tuple[int, ...] = ()
    if beams is not None:
        strong = (len(rows),)
        rows.append(
            (
                f"mean of {beams.count}",
                shown(beams.creep_stiffness, "creep_stiffness"),
                shown(beams.m_value, "m_value"),
                *("",) * 5,
            )
        )
    return Table(
        "After 60 s of loading, on the curve log S = A + B log t + C (log t)² through the report times.",
        (
            Column("Beam", LEFT, 1.8),
            Column("S (MPa)", RIGHT, 1.0),
            Column("m", RIGHT, 0.8),
            Column("A", RIGHT, 0.9),
            Column("B", RIGHT, 0.9),
            Column("C", RIGHT, 0.9),
            Column("R²", RIGHT, 1.0),
            Column("Largest residual (%)", RIGHT, 1.5),
        ),
        tuple(rows),
        strong=strong,
    )


def report_times_table(runs: Sequence[BeamRun], names: Sequence[str]) -> Table:
    """Tabulate load, deflection, stiffness and slope at the report times.

    Parameters
    ----------
    runs : sequence of BeamRun
        Beams of one temperature.
    names : sequence of str
        What tells them apart.

    Returns
    -------
    Table
        One row a beam and time.
    """
    return Table(
        "At the report times.",
        (
            Column("Beam", LEFT, 1.8),
            Column("Time (s)", RIGHT, 0.9),
            Column("Load (mN)", RIGHT, 1.0),
            Column("Deflection (mm)", RIGHT, 1.3),
            Column("S measured (MPa)", RIGHT, 1.5),
            Column("S fitted (MPa)", RIGHT, 1.3),
            Column("Off (%)", RIGHT, 0.8),
            Column("m", RIGHT, 0.8),
        ),
        tuple(
            (
                unbroken(name),
                f"{p.loading_time_s:g}",
                fixed(p.load_mn, 1),
                fixed(p.deflection_mm, 4),
                fixed(p.creep_stiffness, 1),
                fixed(p.fitted_stiffness, 1),
                fixed(p.residual_percent, 2, signed=True),
                fixed(p.m_value, 3),
            )
            for run, name in zip(runs, names, strict=True)
            for p in run.points
        ),
        dense=True,
    )


def viscosity_table(run: ViscosityRun) -> Table:
    """Tabulate the viscosities of a run."""
    return Table(
        "Viscosities, in order of temperature.",
        (
            Column("Temperature (°C)", RIGHT, 1.0),
            Column("Viscosity (Pa·s)", RIGHT, 1.0),
            Column("Torque (% of the largest)", RIGHT, 1.2),
        ),
        tuple(
            (
                fixed(p.temperature_c, 1),
                shown(p.rotational_viscosity, "rotational_viscosity"),
                fixed(p.torque_share_percent, 1),
            )
            for p in run.points
        ),
    )


def working_table(ranges: Sequence[WorkingTemperatures]) -> Table | None:
    """Tabulate the temperatures of mixing and compaction, the caution below; None where there are none.

    Parameters
    ----------
    ranges : sequence of WorkingTemperatures
        Read off the line through the viscosities.

    Returns
    -------
    Table or None
        One row a purpose.
    """
    if not ranges:
        return None
    return Table(
        "Mixing and compaction temperatures, read off the line.",
        (
            Column("For", LEFT, 1.0),
            Column("From (°C)", RIGHT, 0.9),
            Column("Middle (°C)", RIGHT, 0.9),
            Column("To (°C)", RIGHT, 0.9),
            Column("At viscosities (Pa·s)", RIGHT, 1.4),
            Column("Beyond the measured temperatures", LEFT, 2.0),
        ),
        tuple(
            (
                row.purpose,
                fixed(row.lowest_c, 1),
                fixed(row.middle_c, 1),
                fixed(row.highest_c, 1),
                f"{row.viscosity_high:g} to {row.viscosity_low:g}",
                f"by {fixed(row.extrapolated_c, 1)} °C" if row.extrapolated_c else "no",
            )
            for row in ranges
        ),
        WORKING_CAUTION,
    )
