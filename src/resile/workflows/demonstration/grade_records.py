"""The records of three whole grades: oscillation, beams and viscosity of the binders of ``grades.toml``.

Three computers wrote them: commas, semicolons with decimal commas and German words, tabs, and a workbook.
"""

from __future__ import annotations

import io
import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from importlib import resources
from typing import Any

import numpy as np
from numpy.typing import NDArray

from resile.compute.rheology.master_curve.forms.model_binder import ModelBinder, modulus_and_phase
from resile.compute.rheology.models.grade_test_simulation import (
    simulate_beam,
    simulate_oscillation,
    simulate_viscosity,
)
from resile.compute.rheology.oscillation.oscillation import target_strain
from resile.records.bending_beam import BeamGeometry
from resile.records.viscosity import ViscosityLine

SPAN_MM = 102.0
GRADE_FREQUENCY_RAD_S = 10.0
Columns = Mapping[str, NDArray[np.float64]]


@dataclass(frozen=True, slots=True)
class _Heading:
    """How a column is written: words, unit and decimals on an English and on a German computer."""

    words: str
    unit: str
    decimals: int
    german: str
    factor: float = 1.0
    german_unit: str = ""
    german_factor: float = 0.0


_HEADINGS = {
    "time_s": _Heading("time", "s", 1, "Zeit"),
    "temperature_c": _Heading("temperature", "°C", 2, "Temperatur"),
    "angular_frequency_rad_s": _Heading("angular frequency", "rad/s", 2, "Kreisfrequenz"),
    "complex_modulus": _Heading("complex modulus", "kPa", 4, "Komplexer Schubmodul", 1.0, "Pa", 1e3),
    "phase_angle": _Heading("phase angle", "°", 2, "Phasenwinkel"),
    "strain": _Heading("shear strain", "%", 3, "Scherdeformation", 100.0),
    "stress_kpa": _Heading("shear stress", "kPa", 5, "Schubspannung", 1.0, "Pa", 1e3),
    "torque_nm": _Heading("torque", "mN·m", 5, "Drehmoment", 1e3),
    "load_mn": _Heading("load", "mN", 1, "Kraft"),
    "deflection_mm": _Heading("deflection", "mm", 4, "Durchbiegung"),
    "rotational_viscosity": _Heading(
        "rotational viscosity", "Pa·s", 4, "Rotationsviskosität", 1.0, "mPa·s", 1e3
    ),
    "torque_share_percent": _Heading("torque share", "%", 1, "relatives Drehmoment"),
}
_COLUMNS = {
    "amplitude": (
        "time_s",
        "temperature_c",
        "angular_frequency_rad_s",
        "strain",
        "complex_modulus",
        "phase_angle",
    ),
    "oscillation": (
        "temperature_c",
        "angular_frequency_rad_s",
        "complex_modulus",
        "phase_angle",
        "strain",
        "stress_kpa",
        "torque_nm",
    ),
    "beam": ("time_s", "load_mn", "deflection_mm", "temperature_c"),
    "viscosity": ("temperature_c", "rotational_viscosity", "torque_share_percent"),
}
_LINES = {
    "plate diameter": "Plattendurchmesser",
    "gap": "Spalt",
    "span": "Stützweite",
    "width": "Breite",
    "thickness": "Balkenhöhe",
}


def grade_files(laboratory: str, remark: str) -> dict[str, bytes]:
    """Give every record file of the three whole grades, by its name in the folder.

    Parameters
    ----------
    laboratory, remark : str
        Written at the head of every file.

    Returns
    -------
    dict of str to bytes
        The same each time.
    """
    text = (resources.files(__package__) / "grades.toml").read_text(encoding="utf-8")
    grades = tomllib.loads(text)
    files: dict[str, bytes] = {}
    sheets: dict[str, list[Mapping[str, Any]]] = {}
    columns = {}
    for place, record in enumerate(grades["record"]):
        columns[place] = _measure(record, grades["binder"][record["binder"]])
        if record["form"] == "workbook":
            sheets.setdefault(record["file"], []).append({**record, "columns": columns[place]})
        else:
            files[record["file"]] = TEXT_FORMS[record["form"]](record, columns[place], laboratory, remark)
    return files | {name: _workbook(runs, laboratory, remark) for name, runs in sheets.items()}


def model_binder(state: Mapping[str, float]) -> ModelBinder:
    """Give the model binder of one residue as ``grades.toml`` states it."""
    return ModelBinder(
        rheological_index=state["index"],
        crossover_frequency_rad_s=10.0 ** state["log_crossover"],
        reference_c=state["defining_c"],
        defining_c=state["defining_c"],
        c1=state["c1"],
        c2=state["c2"],
    )


def _measure(record: Mapping[str, Any], binder: Mapping[str, Any]) -> Columns:
    """Compute one record from its model binder."""
    generator = np.random.default_rng(record["seed"])
    temperatures = record["temperatures_c"]
    if record["kind"] == "viscosity":
        return simulate_viscosity(
            ViscosityLine(**binder["viscosity"]),
            temperatures,
            full_scale_pa_s=record["full_scale_pa_s"],
            generator=generator,
        )
    curve = model_binder(binder[record["residue"]])
    if record["kind"] == "beam":
        geometry = BeamGeometry(SPAN_MM, record["width_mm"], record["thickness_mm"])
        return simulate_beam(
            curve,
            temperatures[0],
            geometry=geometry,
            specimen_factor=record["factor"],
            generator=generator,
        )
    modulus, _ = modulus_and_phase(curve, temperatures, GRADE_FREQUENCY_RAD_S)
    return simulate_oscillation(
        curve,
        temperatures,
        strain=np.round(target_strain(modulus), 4),
        angular_frequency_rad_s=GRADE_FREQUENCY_RAD_S,
        plate_diameter_mm=record["plate_diameter_mm"],
        gap_mm=record["gap_mm"],
        generator=generator,
    )


def _lengths(record: Mapping[str, Any]) -> list[tuple[str, float]]:
    """Give the lengths that the file states above its columns [mm]."""
    if record["kind"] == "beam":
        return [("span", SPAN_MM), ("width", record["width_mm"]), ("thickness", record["thickness_mm"])]
    if record["kind"] in ("oscillation", "amplitude"):
        stated = record.get("plate_in_file_mm", record["plate_diameter_mm"])
        return [("plate diameter", stated), ("gap", record["gap_mm"])]
    return []


def _comma(record: Mapping[str, Any], columns: Columns, laboratory: str, remark: str) -> bytes:
    """Comma, decimal point, UTF-8, units in brackets."""
    lines = [
        f'laboratory,"{laboratory}"',
        f"remark,{remark}",
        f'sample,"{record["title"]}"',
        *([f"specimen,{record['specimen']}"] if "specimen" in record else []),
        f"residue,{record['residue']}",
        *(f"{name} [mm],{length:.2f}" for name, length in _lengths(record)),
        "",
    ]
    return _text([*lines, *_rows(record, columns, ",", "{words} [{unit}]")], "utf-8")


def _tab(record: Mapping[str, Any], columns: Columns, laboratory: str, remark: str) -> bytes:
    """Tabs, the unit after a comma."""
    lines = [
        f"laboratory\t{laboratory}",
        f"remark\t{remark}",
        f"sample\t{record['title']}",
        *([f"specimen\t{record['specimen']}"] if "specimen" in record else []),
        f"residue\t{record['residue']}",
        *(f"{name} [mm]\t{length:.2f}" for name, length in _lengths(record)),
        "",
    ]
    return _text([*lines, *_rows(record, columns, "\t", "{words}, {unit}")], "utf-8")


def _rows(record: Mapping[str, Any], columns: Columns, separator: str, heading: str) -> list[str]:
    kinds = [(name, _HEADINGS[name]) for name in _COLUMNS[record["kind"]]]
    printed = [
        [f"{value:.{kind.decimals}f}" for value in kind.factor * columns[name]] for name, kind in kinds
    ]
    heads = separator.join(heading.format(words=kind.words, unit=kind.unit) for _, kind in kinds)
    return [heads, *(separator.join(row) for row in zip(*printed, strict=True))]


def _semicolon(record: Mapping[str, Any], columns: Columns, laboratory: str, remark: str) -> bytes:
    """Semicolon, decimal comma, one-byte Western code page, German headings, a row of units."""
    kinds = [(name, _HEADINGS[name]) for name in _COLUMNS[record["kind"]]]
    residue = {"original": "Original"}.get(record["residue"], record["residue"])
    lines = [
        f"Labor;{laboratory}",
        f"Bemerkung;{remark} (für die Vorführung erfunden)",
        f"Probe;{record['title']}",
        *([f"Probekörper;{record['specimen']}"] if "specimen" in record else []),
        f"Rückstand;{residue}",
        *(f"{_LINES[name]} [mm];{length:.2f}".replace(".", ",") for name, length in _lengths(record)),
        "",
        ";".join(kind.german for _, kind in kinds),
        ";".join(f"[{kind.german_unit or kind.unit}]" for _, kind in kinds),
    ]
    printed = []
    for name, kind in kinds:
        factor = kind.german_factor or kind.factor
        # Three digits fewer after the mark where the unit is a thousandth.
        decimals = max(0, kind.decimals - (3 if kind.german_factor else 0)) + (1 if kind.german_factor else 0)
        printed.append([f"{value:.{decimals}f}".replace(".", ",") for value in factor * columns[name]])
    return _text([*lines, *(";".join(row) for row in zip(*printed, strict=True))], "cp1252")


TEXT_FORMS = {"comma": _comma, "tab": _tab, "semicolon": _semicolon}


def _workbook(runs: Sequence[Mapping[str, Any]], laboratory: str, remark: str) -> bytes:
    """A title, plate and gap above a row of names and a row of units, one sheet a sweep."""
    import xlsxwriter

    buffer = io.BytesIO()
    book = xlsxwriter.Workbook(buffer, {"in_memory": True})
    book.set_properties({"title": remark, "created": datetime(2026, 5, 12)})
    bold = book.add_format({"bold": True})
    for record in runs:
        sheet = book.add_worksheet(record["sheet"])
        sheet.set_column(0, 6, 17)
        sheet.write(0, 0, f"{record['title']}, {record['residue']}", bold)
        sheet.write(1, 0, f"{laboratory}: {remark}")
        sheet.write_row(2, 0, ["residue", record["residue"]])
        for row, (name, length) in enumerate(_lengths(record), start=3):
            sheet.write_row(row, 0, [f"{name} [mm]", length])
        kinds = [(name, _HEADINGS[name]) for name in _COLUMNS[record["kind"]]]
        sheet.write_row(6, 0, [kind.words for _, kind in kinds], bold)
        sheet.write_row(7, 0, [kind.unit for _, kind in kinds])
        sheet.freeze_panes(8, 0)
        for place, (name, kind) in enumerate(kinds):
            values = np.round(kind.factor * record["columns"][name], kind.decimals)
            sheet.write_column(8, place, values.tolist())
    book.close()
    return buffer.getvalue()


def _text(lines: Sequence[str], encoding: str) -> bytes:
    return ("\n".join(lines) + "\n").encode(encoding)
