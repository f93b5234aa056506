"""The records behind the models of one invented binder: frequency sweeps and an amplitude sweep.

Both come from ``sweeps.toml``: a master curve and a law of damage. Nothing was measured.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from importlib import resources
from typing import Any

import numpy as np
from numpy.typing import NDArray

from resile.compute.rheology.damage.damage_simulation import simulate_integrity
from resile.compute.rheology.damage.modulus_slope import fit_modulus_slope
from resile.compute.rheology.master_curve.forms.model_binder import ModelBinder, modulus_and_phase
from resile.compute.rheology.models.grade_test_simulation import simulate_oscillation
from resile.compute.rheology.oscillation.oscillation import storage_modulus, target_strain
from resile.workflows.demonstration.grade_records import TEXT_FORMS, model_binder

FOLDER = "301-models"
"""Where the files stand in the demonstration."""
_ROW_EVERY_S = 1.0
_BETWEEN_PARTS_S = 60.0
# What a good instrument leaves; common practice, no source.
_MODULUS_NOISE, _PHASE_NOISE_DEG = 0.002, 0.03
Columns = dict[str, NDArray[np.float64]]


def sweep_files(laboratory: str, remark: str) -> dict[str, bytes]:
    """Give the sweeps of one invented binder, by their names in the folder of the demonstration.

    Parameters
    ----------
    laboratory, remark : str
        Written at the head of every file.

    Returns
    -------
    dict of str to bytes
        The same each time.
    """
    text = (resources.files(__package__) / "sweeps.toml").read_text(encoding="utf-8")
    told = tomllib.loads(text)
    binder = model_binder(told["binder"])
    records = [
        ("oscillation", one, _frequency_sweep(binder, one, told["frequencies_rad_s"]))
        for one in told["sweep"]
    ]
    records.append(("amplitude", told["amplitude"], _amplitude_sweep(binder, told["amplitude"])))
    head = {"title": told["title"], "residue": told["residue"]}
    return {
        f"{FOLDER}/{one['file']}": TEXT_FORMS["comma"](
            {**one, **head, "kind": kind}, columns, laboratory, remark
        )
        for kind, one, columns in records
    }


def _frequency_sweep(binder: ModelBinder, told: Mapping[str, Any], frequencies: list[float]) -> Columns:
    temperature = np.repeat(np.asarray(told["temperatures_c"], dtype=float), len(frequencies))
    frequency = np.tile(frequencies, len(told["temperatures_c"]))
    modulus, _ = modulus_and_phase(binder, temperature, frequency)
    return simulate_oscillation(
        binder,
        temperature,
        strain=np.round(target_strain(modulus), 4),
        angular_frequency_rad_s=frequency,
        plate_diameter_mm=told["plate_diameter_mm"],
        gap_mm=told["gap_mm"],
        generator=np.random.default_rng(told["seed"]),
    )


def _amplitude_sweep(binder: ModelBinder, told: Mapping[str, Any]) -> Columns:
    """Compute both parts: frequencies at a small strain, then a strain that rises."""
    temperature = told["temperature_c"]
    frequency = 2.0 * np.pi * np.asarray(told["frequencies_hz"], dtype=float)
    modulus, phase = modulus_and_phase(binder, temperature, frequency)
    slope = fit_modulus_slope(frequency, storage_modulus(modulus, phase)).slope
    time = np.arange(0.0, told["sweep_s"] + 0.1, _ROW_EVERY_S)
    whole = simulate_integrity(
        time,
        exponent=1.0 / slope,
        loss_coefficient=told["loss_coefficient"],
        loss_exponent=told["loss_exponent"],
        first_strain_percent=told["first_strain"],
        last_strain_percent=told["last_strain"],
        sweep_s=told["sweep_s"],
    )
    time, whole = time[whole > 0.1], whole[whole > 0.1]
    strain = told["first_strain"] + (told["last_strain"] - told["first_strain"]) * time / told["sweep_s"]
    swept, its_phase = modulus_and_phase(binder, temperature, 2.0 * np.pi * told["swept_hz"])
    first = 10.0 * np.arange(len(frequency))
    generator = np.random.default_rng(told["seed"])
    columns = {
        "time_s": np.concatenate((first, first[-1] + _BETWEEN_PARTS_S + time)),
        "angular_frequency_rad_s": np.concatenate(
            (frequency, np.full_like(time, 2.0 * np.pi * told["swept_hz"]))
        ),
        "strain": np.concatenate((np.full_like(frequency, told["frequency_part_strain"]), strain)) / 100.0,
        "complex_modulus": np.concatenate((modulus, swept * whole)),
        "phase_angle": np.concatenate((phase, its_phase + told["phase_gain_deg"] * (1.0 - whole))),
    }
    rows = columns["time_s"].shape
    columns["complex_modulus"] *= 1.0 + generator.normal(0.0, _MODULUS_NOISE, rows)
    columns["phase_angle"] += generator.normal(0.0, _PHASE_NOISE_DEG, rows)
    return columns | {"temperature_c": temperature + generator.normal(0.0, 0.02, rows)}
