"""The demonstration day: an invented laboratory, its samples, its test orders and its record files.

`write_demonstration` puts the whole day into a folder. The records are computed from model binders: those of
``binders.toml`` (`resile.compute.rheology.models.simulation`), of ``grades.toml`` and ``sweeps.toml``
(`resile.compute.rheology.master_curve.forms.model_binder`).
Orders, ageing records and the supplier's certificate stand ready as files under ``day``.
Nothing was measured, and every file says so.
"""

from __future__ import annotations

import io
import math
import re
import tomllib
from collections.abc import Mapping
from importlib import resources
from importlib.resources.abc import Traversable
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from resile.compute.rheology.models.simulation import Imperfections, Sampling, simulate_creep_recovery
from resile.compute.rheology.models.viscoelastic_models import BurgersModel, KelvinElement
from resile.errors import InputError
from resile.records.creep_recovery import CreepRecoveryProgramme
from resile.specifications.creep_recovery import load_programme
from resile.workflows.demonstration.blends import blend_files
from resile.workflows.demonstration.grade_records import grade_files
from resile.workflows.demonstration.production_files import production_files
from resile.workflows.demonstration.roads import weather_files
from resile.workflows.demonstration.sweep_records import sweep_files

INVENTED = "invented for demonstration"
DATE_OF_ISSUE = "2026-05-13"
"""The evening of the invented day, so that the pages are the same each time."""

IN_ONE_COMMAND = "2*/order.toml"
"""The orders of the whole grades, which are reported together."""

LABORATORY = "Road Laboratory of Ambelund, Tussowey Isles"
PLATE_DIAMETER_MM = 25.0
GAP_MM = 1.0

# What a good instrument leaves: common practice, no source. Small enough that no finding is raised by it.
_STRESS_RISE_S = 0.005
_STRESS_NOISE_PERCENT = 0.15
_STRAIN_NOISE = 2e-5
_TEMPERATURE_NOISE_C = 0.012

Columns = Mapping[str, NDArray[np.float64]]


def write_demonstration(folder: Path) -> list[Path]:
    """Write the demonstration day into a folder.

    Parameters
    ----------
    folder : Path
        Made where it does not exist; files of the same names are written again, others are left alone.

    Returns
    -------
    list of Path
        Every file written, sorted; the test orders are those named ``order.toml``.

    Raises
    ------
    InputError
        When the folder cannot be written.

    Notes
    -----
    The same version writes the same bytes each time: the noise of each record comes from the seed printed
    beside it in ``binders.toml``, ``grades.toml`` or ``sweeps.toml``, and workbooks carry a fixed date.
    """
    contents = {
        **_ready_files(),
        **_record_files(load_programme()),
        **grade_files(LABORATORY, INVENTED),
        **weather_files(INVENTED),
        **blend_files(INVENTED),
        **sweep_files(LABORATORY, INVENTED),
        **production_files(INVENTED),
    }
    paths = []
    try:
        for name, content in sorted(contents.items()):
            path = folder.joinpath(*name.split("/"))
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_bytes(content)
            paths.append(path)
    except OSError as error:
        raise InputError(f"{folder}: the demonstration cannot be written there: {error.strerror}") from error
    return paths


def read_story() -> tuple[str, dict[str, str]]:
    """Give the story of the day as its README tells it.

    Returns
    -------
    str
        What comes before the first order.
    dict of str to str
        The hour and the words that belong to each order, by its folder.
    """
    text = (resources.files(__package__) / "day" / "README.txt").read_text(encoding="utf-8")
    pieces = re.split(r"\n(?=\d\d:\d\d )", text.rpartition("\n\n")[0])
    orders = {path.partition("/")[0] for path in _ready_files() if path.endswith("/order.toml")}
    chapters = {piece.split()[1]: piece for piece in pieces if piece.split()[1] in orders}
    return "\n".join(piece for piece in pieces if piece not in chapters.values()), chapters


def _ready_files() -> dict[str, bytes]:
    """Give orders, ageing records, tables and the story, with one kind of line end on every system."""

    def walk(place: Traversable, prefix: str) -> dict[str, bytes]:
        found: dict[str, bytes] = {}
        for entry in place.iterdir():
            if entry.is_dir():
                found |= walk(entry, f"{prefix}{entry.name}/")
            else:
                found[prefix + entry.name] = entry.read_bytes().replace(b"\r\n", b"\n")
        return found

    return walk(resources.files(__package__) / "day", "")


def _record_files(programme: CreepRecoveryProgramme) -> dict[str, bytes]:
    day = tomllib.loads((resources.files(__package__) / "binders.toml").read_text(encoding="utf-8"))
    files: dict[str, bytes] = {}
    sheets: dict[str, list[tuple[dict[str, Any], Columns]]] = {}
    for record in day["record"]:
        columns = _measure(record, day["binder"][record["binder"]], programme)
        if record["form"] == "workbook":
            sheets.setdefault(record["file"], []).append((record, columns))
        else:
            files[record["file"]] = _FORMS[record["form"]](record, columns)
    return files | {name: _workbook(runs) for name, runs in sheets.items()}


def _measure(
    record: Mapping[str, Any], binder: Mapping[str, Any], programme: CreepRecoveryProgramme
) -> Columns:
    """Compute one record from its model binder."""
    share = record["compliance"]
    late = share * record["late"]
    models = {
        float(stress): BurgersModel(
            maxwell_dashpot_kpa_s=parts["dashpot"] / share,
            maxwell_spring_kpa=parts["spring"] / share,
            kelvin_elements=tuple(KelvinElement(e / late, h / late) for e, h in parts["kelvin"]),
        )
        for stress, parts in binder.items()
    }
    return simulate_creep_recovery(
        models,
        programme,
        conditioning_cycles=record["conditioning_cycles"],
        temperature_c=record["temperature_c"],
        sampling=Sampling(0.1, record["recovery_interval_s"]),
        imperfections=Imperfections(
            stress_rise_s=_STRESS_RISE_S,
            stress_noise_percent=_STRESS_NOISE_PERCENT,
            strain_noise=_STRAIN_NOISE,
            temperature_noise_c=_TEMPERATURE_NOISE_C,
            failing_percent_per_cycle=record["failing_percent_per_cycle"],
        ),
        generator=np.random.default_rng(record["seed"]),
    )


def _comma(record: Mapping[str, Any], columns: Columns) -> bytes:
    """Comma, decimal point, UTF-8, one heading row with units in brackets."""
    lines = [
        f'laboratory,"{LABORATORY}"',
        f"remark,{INVENTED}",
        f'sample,"{record["title"]}"',
        f"specimen,{record['specimen']}",
        "residue,RTFO",
        "",
        "time [s],shear stress [kPa],shear strain [%],temperature [°C],cycle",
    ]
    rows = zip(
        columns["time_s"],
        columns["stress_kpa"],
        100 * columns["strain"],
        columns["temperature_c"],
        _running_cycle(columns),
        strict=True,
    )
    lines += [f"{t:.2f},{s:.5f},{g:.5f},{c:.2f},{n:.0f}" for t, s, g, c, n in rows]
    return _text(lines, "utf-8")


def _semicolon(record: Mapping[str, Any], columns: Columns) -> bytes:
    """Semicolon, decimal comma, one-byte Western code page, German headings, a row of units."""
    lines = [
        f"Labor;{LABORATORY}",
        f"Bemerkung;{INVENTED} (für die Vorführung erfunden)",
        f"Probe;{record['title']}",
        f"Probekörper;{record['specimen']}",
        "Rückstand;RTFO",
        "",
        "Messpunkt;Zeit;Schubspannung;Scherdeformation;Temperatur",
        ";[s];[Pa];[%];[°C]",
    ]
    rows = zip(
        columns["point_number"],
        columns["time_s"],
        1000 * columns["stress_kpa"],
        100 * columns["strain"],
        columns["temperature_c"],
        strict=True,
    )
    lines += [f"{p:.0f};{t:.2f};{s:.2f};{g:.5f};{c:.2f}".replace(".", ",") for p, t, s, g, c in rows]
    return _text(lines, "cp1252")


def _torque(record: Mapping[str, Any], columns: Columns) -> bytes:
    """Tabs; torque and rotation in place of stress and strain, with plate and gap above."""
    radius_m = PLATE_DIAMETER_MM / 2000
    # Rim of a parallel plate: stress = 2M/(pi R^3), strain = rotation R/gap.
    torque_mnm = columns["stress_kpa"] * 1e3 * math.pi * radius_m**3 / 2 * 1e3
    angle_mrad = columns["strain"] * GAP_MM / (PLATE_DIAMETER_MM / 2) * 1e3
    lines = [
        f"laboratory\t{LABORATORY}",
        f"remark\t{INVENTED}",
        f"sample\t{record['title']}",
        f"specimen\t{record['specimen']}",
        "residue\tRTFO",
        f"plate diameter [mm]\t{PLATE_DIAMETER_MM:.2f}",
        f"gap [mm]\t{GAP_MM:.3f}",
        "",
        "time, s\ttorque, mN·m\trotation angle, mrad\ttemperature, °C",
    ]
    rows = zip(columns["time_s"], torque_mnm, angle_mrad, columns["temperature_c"], strict=True)
    lines += [f"{t:.2f}\t{m:.6f}\t{a:.5f}\t{c:.2f}" for t, m, a, c in rows]
    return _text(lines, "utf-8")


_FORMS = {"comma": _comma, "semicolon": _semicolon, "torque": _torque}


def _workbook(runs: list[tuple[dict[str, Any], Columns]]) -> bytes:
    """Title rows, merged headings over a row of names and a row of units, one sheet a specimen."""
    from datetime import datetime

    import xlsxwriter

    buffer = io.BytesIO()
    book = xlsxwriter.Workbook(buffer, {"in_memory": True})
    book.set_properties({"title": INVENTED, "created": datetime(2026, 5, 12)})
    bold = book.add_format({"bold": True})
    centred = book.add_format({"bold": True, "align": "center", "bottom": 1})
    for record, columns in runs:
        sheet = book.add_worksheet(record["sheet"])
        sheet.set_column(0, 4, 16)
        sheet.merge_range(0, 0, 0, 4, f"{record['title']}, specimen {record['specimen']}, RTFO residue", bold)
        sheet.merge_range(1, 0, 1, 4, f"{LABORATORY}: {INVENTED}", book.add_format())
        sheet.merge_range(3, 0, 3, 1, "test", centred)
        sheet.merge_range(3, 2, 3, 4, "measured", centred)
        sheet.write_row(4, 0, ["cycle", "time", "shear stress", "shear strain", "temperature"], bold)
        sheet.write_row(5, 0, ["", "s", "kPa", "%", "°C"])
        sheet.freeze_panes(6, 0)
        for place, values in enumerate(
            (
                _running_cycle(columns),
                np.round(columns["time_s"], 2),
                np.round(columns["stress_kpa"], 5),
                np.round(100 * columns["strain"], 5),
                np.round(columns["temperature_c"], 2),
            )
        ):
            sheet.write_column(6, place, values.tolist())
    book.close()
    return buffer.getvalue()


def _running_cycle(columns: Columns) -> NDArray[np.float64]:
    """Number the cycles through the whole test, from 1."""
    return np.asarray((columns["segment_number"] + 1) // 2, dtype=float)


def _text(lines: list[str], encoding: str) -> bytes:
    return ("\n".join(lines) + "\n").encode(encoding)
