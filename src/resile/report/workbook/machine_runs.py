"""Sheets of oscillation, bending-beam and viscosity runs: every point, with formulas."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from resile.records.bending_beam import BeamRun
from resile.records.oscillation import OscillationRun
from resile.records.run_group import RunGroup
from resile.records.viscosity import ViscosityRun
from resile.report.paper.runs.machine_words import group_title
from resile.report.words import WORKING_CAUTION
from resile.report.workbook.cells import set_widths, write_cell, write_head, write_pairs

_OSCILLATION_HEAD = (
    "Test",
    "Specimen",
    "Temperature (°C)",
    "Frequency (rad/s)",
    "Strain",
    "Stress (kPa)",
    "|G*| (kPa)",
    "δ (°)",
    "|G*|/sin δ (kPa)",
    "|G*|·sin δ (kPa)",
)
_BEAM_HEAD = (
    "Test",
    "Beam",
    "Time (s)",
    "Load (mN)",
    "Deflection (mm)",
    "Span (mm)",
    "Width (mm)",
    "Thickness (mm)",
    "S (MPa)",
    "S fitted (MPa)",
    "Off (%)",
    "m",
)
_VISCOSITY_HEAD = ("Test", "Run", "Temperature (°C)", "Viscosity (Pa·s)", "Torque (%)")


def write_machine_sheets(book: Any, formats: dict[str, Any], groups: tuple[RunGroup, ...]) -> None:
    """Add a sheet for each kind of test that was made.

    Parameters
    ----------
    book : Workbook
        To add to.
    formats : dict
        By name.
    groups : tuple of RunGroup
        Of any kinds; without one of a kind there is no sheet of it.
    """
    for method, title, write in (
        ("oscillation", "Oscillation", _write_oscillation),
        ("bending_beam", "Bending beam", _write_beams),
        ("rotational_viscosity", "Viscosity", _write_viscosity),
    ):
        own = [group for group in groups if group.method == method]
        if own:
            sheet = book.add_worksheet(title)
            sheet.freeze_panes(1, 0)
            write(sheet, formats, own)


def _runs(groups: list[RunGroup]) -> Iterator[tuple[str, str, OscillationRun | BeamRun | ViscosityRun]]:
    for group in groups:
        runs: tuple[OscillationRun | BeamRun | ViscosityRun, ...] = group.runs
        for run, name in zip(runs, group.names, strict=True):
            yield group_title(group), name, run


def _write_oscillation(sheet: Any, formats: dict[str, Any], groups: list[RunGroup]) -> None:
    set_widths(sheet, (34, 18, 12, 12, 10, 10, 12, 9, 14, 14))
    write_head(sheet, formats, 0, _OSCILLATION_HEAD)
    row = 0
    for title, name, run in _runs(groups):
        if not isinstance(run, OscillationRun):
            continue
        for point in run.points:
            row += 1
            cells: tuple[tuple[float | str | None, str], ...] = (
                (title, "label"),
                (name, "text"),
                (point.temperature_c, "percent"),
                (point.angular_frequency_rad_s, "number"),
                (point.strain, "strain"),
                (point.stress_kpa, "number"),
                (point.complex_modulus, "number"),
                (point.phase_angle, "percent"),
            )
            _cells(sheet, formats, row, cells)
            sine = f"SIN(RADIANS(H{row + 1}))"
            if point.rutting_parameter is not None:
                sheet.write_formula(row, 8, f"=G{row + 1}/{sine}", formats["jnr"], point.rutting_parameter)
            sheet.write_formula(row, 9, f"=G{row + 1}*{sine}", formats["jnr"], point.fatigue_parameter)


def _write_beams(sheet: Any, formats: dict[str, Any], groups: list[RunGroup]) -> None:
    set_widths(sheet, (34, 18, 10, 10, 12, 10, 10, 12, 12, 12, 9, 9))
    write_head(sheet, formats, 0, _BEAM_HEAD)
    row = 0
    for title, name, run in _runs(groups):
        if not isinstance(run, BeamRun):
            continue
        for point in run.points:
            row += 1
            shape = run.geometry
            lengths = (None,) * 3 if shape is None else (shape.span_mm, shape.width_mm, shape.thickness_mm)
            cells: tuple[tuple[float | str | None, str], ...] = (
                (title, "label"),
                (name, "text"),
                (point.loading_time_s, "number"),
                (point.load_mn, "percent"),
                (point.deflection_mm, "strain"),
                *((length, "number") for length in lengths),
            )
            _cells(sheet, formats, row, cells)
            at = row + 1
            if point.load_mn is not None and shape is not None:
                formula = f"=D{at}/1000*F{at}^3/(4*G{at}*H{at}^3*E{at})"
                sheet.write_formula(row, 8, formula, formats["percent"], point.creep_stiffness)
            else:
                write_cell(sheet, row, 8, point.creep_stiffness, formats["percent"])
            write_cell(sheet, row, 9, point.fitted_stiffness, formats["percent"])
            off = f"=100*(I{at}/J{at}-1)"
            sheet.write_formula(row, 10, off, formats["jnr"], point.residual_percent)
            write_cell(sheet, row, 11, point.m_value, formats["jnr"])
    _write_beam_results(sheet, formats, groups, row + 2)


def _write_beam_results(sheet: Any, formats: dict[str, Any], groups: list[RunGroup], row: int) -> None:
    """Write stiffness and m-value after 60 s of each beam, and mean and scatter of several."""
    write_head(sheet, formats, row, ("After 60 s", "Beam", "S (MPa)", "m", "A", "B", "C", "R²"))
    for group in groups:
        first = row + 2
        for run, name in zip(group.runs, group.names, strict=True):
            if not isinstance(run, BeamRun):
                continue
            row += 1
            _cells(
                sheet,
                formats,
                row,
                (
                    (group_title(group), "label"),
                    (name, "text"),
                    (run.creep_stiffness, "percent"),
                    (run.m_value, "jnr"),
                    *((value, "strain") for value in run.coefficients),
                    (run.r_squared, "strain"),
                ),
            )
        if group.beams is None:
            continue
        last = row + 1
        for words, make, values in (
            ("mean", "AVERAGE({0})", (group.beams.creep_stiffness, group.beams.m_value)),
            (
                "range (% of the mean)",
                "100*(MAX({0})-MIN({0}))/AVERAGE({0})",
                (group.beams.creep_stiffness_range_percent, group.beams.m_value_range_percent),
            ),
            (
                "coefficient of variation (%)",
                "100*STDEV({0})/AVERAGE({0})",
                (group.beams.creep_stiffness_cv_percent, group.beams.m_value_cv_percent),
            ),
        ):
            row += 1
            sheet.write_string(row, 1, words, formats["text"])
            for column, value in zip("CD", values, strict=True):
                cells = f"{column}{first}:{column}{last}"
                place = "CD".index(column) + 2
                sheet.write_formula(row, place, f"={make.format(cells)}", formats["jnr"], value or 0.0)


def _write_viscosity(sheet: Any, formats: dict[str, Any], groups: list[RunGroup]) -> None:
    set_widths(sheet, (34, 18, 14, 14, 12, 14))
    write_head(sheet, formats, 0, _VISCOSITY_HEAD)
    row = 0
    ranges = []
    for title, name, run in _runs(groups):
        if not isinstance(run, ViscosityRun):
            continue
        for point in run.points:
            row += 1
            cells: tuple[tuple[float | str | None, str], ...] = (
                (title, "label"),
                (name, "text"),
                (point.temperature_c, "percent"),
                (point.rotational_viscosity, "jnr"),
                (point.torque_share_percent, "percent"),
            )
            _cells(sheet, formats, row, cells)
        ranges += [(name, range_) for range_ in run.working_temperatures]
    if not ranges:
        return
    row += 2
    write_head(
        sheet, formats, row, ("Temperatures for", "Run", "From (°C)", "Middle (°C)", "To (°C)", "Beyond (°C)")
    )
    for name, working in ranges:
        row += 1
        _cells(
            sheet,
            formats,
            row,
            (
                (working.purpose, "label"),
                (name, "text"),
                (working.lowest_c, "percent"),
                (working.middle_c, "percent"),
                (working.highest_c, "percent"),
                (working.extrapolated_c, "percent"),
            ),
        )
    write_pairs(sheet, formats, row + 2, (("Caution", WORKING_CAUTION),))


def _cells(
    sheet: Any, formats: dict[str, Any], row: int, cells: tuple[tuple[float | str | None, str], ...]
) -> None:
    for column, (value, form) in enumerate(cells):
        write_cell(sheet, row, column, value, formats[form])
