"""Record files for tests of the laboratory's record: simulated, written in a plain form."""

import csv
import io

import numpy as np

from binders import PROGRAMME
from resile.compute.rheology.models.simulation import Sampling, simulate_creep_recovery
from resile.compute.rheology.models.viscoelastic_models import BurgersModel, KelvinElement

BINDER = {
    0.1: BurgersModel(1.4, 25.0, (KelvinElement(1.5, 0.9),)),
    3.2: BurgersModel(1.0, 30.0, (KelvinElement(1.8, 1.1),)),
}
OSCILLATION = (
    b"temperature (C);complex modulus (kPa);phase angle (deg);frequency (rad/s)\n"
    b"58;6.11;81.2;10\n64;2.62;83.9;10\n70;1.21;85.8;10\n"
)
VISCOSITY = b"temperature (C);viscosity (Pa.s)\n120;0.911\n135;0.402\n150;0.201\n"
SHORT_TERM = b"""sample = "26-101"
method = "t240"
aged_on = 2026-03-02
temperature_c = 163.0
duration_min = 85
air_flow_ml_min = 4000
rotation_r_min = 15.0

[[bottle]]
name = "1"
empty_g = 166.214
before_g = 201.231
after_g = 201.122

[[bottle]]
name = "2"
empty_g = 165.902
before_g = 200.877
after_g = 200.771
"""


def creep_record(seed: int = 1, *, headings: tuple[str, ...] = (), rows_a_second: float = 10.0) -> bytes:
    """A creep-recovery record at 64 °C: the usual headings, or others that nobody knows."""
    record = simulate_creep_recovery(
        BINDER,
        PROGRAMME,
        sampling=Sampling(1 / rows_a_second, 1 / rows_a_second),
        generator=np.random.default_rng(seed),
    )
    text = io.StringIO()
    writer = csv.writer(text, delimiter=";")
    writer.writerow(headings or ("time (s)", "stress (kPa)", "strain (%)", "temperature (C)"))
    strain = record["strain"] * (1 + seed * 1e-9)
    for row in zip(record["time_s"], record["stress_kpa"], 100 * strain, strict=True):
        writer.writerow([f"{value:.9g}" for value in (*row, 64.0)])
    return text.getvalue().encode()
