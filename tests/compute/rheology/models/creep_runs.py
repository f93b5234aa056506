"""Creep-recovery runs with a known model behind them, for the tests of fits."""

from typing import Any

import numpy as np

from resile.compute.rheology.creep.creep_recovery import reduce_creep_recovery
from resile.compute.rheology.models.simulation import Imperfections, Sampling, simulate_creep_recovery
from resile.compute.rheology.models.viscoelastic_models import Binder, BurgersModel, KelvinElement
from resile.records.creep_recovery import CreepRecoveryRun
from resile.specifications.creep_recovery import load_programme

BURGERS = BurgersModel(0.5, 50.0, (KelvinElement(2.0, 4.0),))
"""The exact case: retardation time 2 s."""
TWO_LEVELS: dict[float, BurgersModel] = {
    0.1: BurgersModel(0.5, 50.0, (KelvinElement(5.0, 0.5), KelvinElement(2.0, 4.0))),
    3.2: BurgersModel(0.25, 40.0, (KelvinElement(4.0, 0.4), KelvinElement(3.0, 6.0))),
}
"""Retardation times 0.1 and 2 s at both stresses, compliances of each its own."""

Columns = tuple[np.ndarray, np.ndarray, np.ndarray]


def run_of(
    binder: Binder,
    *,
    noise: float = 0.0,
    seed: int = 1,
    rise_s: float = 0.0,
    interval_s: float = 0.1,
    **more: Any,
) -> tuple[CreepRecoveryRun, Columns]:
    """Simulate and reduce a record of 30 cycles."""
    record = simulate_creep_recovery(
        binder,
        load_programme(),
        sampling=Sampling(creep_interval_s=interval_s, recovery_interval_s=0.1),
        imperfections=Imperfections(strain_noise=noise, stress_rise_s=rise_s),
        generator=np.random.default_rng(seed) if noise else None,
        **more,
    )
    return reduced(record["time_s"], record["stress_kpa"], record["strain"])


def reduced(time: np.ndarray, stress: np.ndarray, strain: np.ndarray) -> tuple[CreepRecoveryRun, Columns]:
    runs = reduce_creep_recovery(time, stress, strain, programme=load_programme())
    return runs[0], (time, stress, strain)


def power_law_run(exponent: float, compliance: float, fluidity: float) -> tuple[CreepRecoveryRun, Columns]:
    """Make a record of a spring-pot and a dashpot from the integral that defines them, by quadrature.

    Riemann and Liouville: the strain is ``a J int_0^t (t - u)^(a - 1) s(u) du`` for a compliance ``J t^a``.
    """
    from scipy.integrate import quad

    starts = np.arange(30) * 10.0
    stresses = np.where(starts < 200.0, 0.1, 3.2)
    time = np.concatenate([start + np.array([0.2, 0.6, 1.0, 1.3, 2.0, 4.0, 7.0, 10.0]) for start in starts])

    def one_push(since: float) -> float:
        last = min(since, 1.0)
        if since <= 1.0:
            part = quad(lambda u: 1.0, 0.0, last, weight="alg", wvar=(0.0, exponent - 1.0))[0]
        else:
            part = quad(lambda u: (since - u) ** (exponent - 1.0), 0.0, last, epsabs=1e-13)[0]
        return float(exponent * compliance * part + fluidity * last)

    kept = {}
    strain = np.zeros_like(time)
    for row, moment in enumerate(time.tolist()):
        for start, stress in zip(starts.tolist(), stresses.tolist(), strict=True):
            since = round(moment - start, 9)
            if since > 0.0:
                if since not in kept:
                    kept[since] = one_push(since)
                strain[row] += stress * kept[since]
    within = time - 10.0 * np.ceil(time / 10.0 - 1e-9) + 10.0
    stress = np.where(within <= 1.0 + 1e-9, np.where(time <= 200.0 + 1e-9, 0.1, 3.2), 0.0)
    return reduced(time, stress, strain)
