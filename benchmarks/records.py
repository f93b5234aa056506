"""Generated records for the benchmarks: a Burgers binder with noise, one heading row, commas."""

from pathlib import Path

import numpy as np
from numpy.typing import NDArray

HEADING = "time [s],shear stress [kPa],shear strain [%],temperature [°C]\n"


def creep_compliance(age: NDArray[np.float64], fluidity: float) -> NDArray[np.float64]:
    """Burgers model, 1/kPa, at an age in s; zero before the push."""
    on = np.maximum(age, 0.0)
    return np.where(age > 0.0, 0.02 + fluidity * on + 0.3 * (1.0 - np.exp(-on / 2.0)), 0.0)


def record(rows: int, rng: np.random.Generator) -> str:
    """One record of 30 cycles (20 at 0.1 kPa, 10 at 3.2 kPa) with `rows` points, as text."""
    time = np.arange(1, rows + 1) * (300.0 / rows)
    fluidity = float(rng.uniform(0.2, 2.0))
    strain = np.zeros(rows)
    before = time - 1e-9  # a row at a switch shows the strain from before it
    for cycle in range(30):
        stress = 0.1 if cycle < 20 else 3.2
        start = 10.0 * cycle
        strain += stress * (
            creep_compliance(before - start, fluidity) - creep_compliance(before - start - 1.0, fluidity)
        )
    in_cycle = np.mod(before, 10.0)
    stress = np.where(in_cycle < 1.0, np.where(before < 200.0, 0.1, 3.2), 0.0)
    temperature = 64.0 + rng.normal(0.0, 0.02, rows)
    columns = zip(
        time.tolist(), stress.tolist(), (100.0 * strain).tolist(), temperature.tolist(), strict=True
    )
    return HEADING + "".join(f"{t:.3f},{s:.3f},{e:.5f},{c:.2f}\n" for t, s, e, c in columns)


def write_folder(folder: Path, files: int, rows: int) -> Path:
    """Write `files` records of `rows` points; the same ones each time."""
    folder.mkdir(parents=True, exist_ok=True)
    rng = np.random.default_rng(20261125)
    for number in range(files):
        (folder / f"record-{number:05d}.csv").write_text(record(rows, rng), encoding="utf-8")
    return folder
