"""Sweeps whose answer is known, from the printed equations, and the open ones where they are at hand."""

import csv
import math
from collections.abc import Sequence
from pathlib import Path

import numpy as np
import pytest

SHARED = Path(__file__).resolve().parents[4] / ".." / "shared" / "data"
ISOTHERMS_C = (0.0, 10.0, 20.0, 30.0, 40.0, 50.0)
FREQUENCIES = tuple(10.0 ** (place / 4) for place in range(-4, 9))
Columns = tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray]


def planted_sweeps(
    *,
    rheological_index: float,
    log_crossover_frequency: float,
    c1: float,
    c2: float,
    reference_c: float = 20.0,
    isotherms_c: Sequence[float] = ISOTHERMS_C,
) -> Columns:
    """Temperature, frequency, modulus [kPa] and phase angle by CA (Eq. 5, 6) and WLF (Eq. 9), Gg 1 GPa."""
    temperature, frequency = (a.ravel() for a in np.meshgrid(isotherms_c, FREQUENCIES, indexing="ij"))
    apart = temperature - reference_c
    log_reduced = np.log10(frequency) - c1 * apart / (c2 + apart)
    power = math.log10(2.0) / rheological_index
    ratio = 10.0 ** (power * (log_crossover_frequency - log_reduced))
    return temperature, frequency, 1e6 * (1.0 + ratio) ** (-1.0 / power), 90.0 * ratio / (1.0 + ratio)


def recovered_sweep(lane: int, replicate: int = 1) -> Columns:
    """FHWA Turner-Fairbank, Data.xlsx, recovered binder: a lane and replicate, modulus in kPa."""
    return _columns(
        "fhwa_ptf_rutting_mit/frequency_sweep_recovered.csv",
        {"lane": str(lane), "replicate": str(replicate)},
    )


def aged_sweep(state: str) -> Columns:
    """Khadijeh and others 2025, TU Delft: fresh, short-term aged or long-term aged, modulus in kPa."""
    return _columns("tudelft_binder_mit/frequency_sweeps_three_ages.csv", {"state": state})


def _columns(file: str, wanted: dict[str, str]) -> Columns:
    path = SHARED / file
    if not path.exists():
        pytest.skip(f"the open data are not at hand: {path}")
    with path.open(encoding="utf-8") as text:
        rows = [row for row in csv.DictReader(text) if all(row[k] == v for k, v in wanted.items())]
    names = ("temperature_C", "omega_rad_s", "Gstar_Pa", "delta_deg")
    temperature, frequency, modulus, phase = (np.array([float(row[n]) for row in rows]) for n in names)
    return temperature, frequency, modulus / 1000.0, phase
