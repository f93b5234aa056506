"""Records in which a direction of rotation counts as negative: turned round, and said so."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
_CLEARLY = 10.0


def turn_upright(stress_kpa: Floats, strain: Floats) -> tuple[Floats, Floats, tuple[str, ...]]:
    """Give stress and strain with the loading counted as positive.

    Parameters
    ----------
    stress_kpa, strain : ndarray of float, shape (n,)
        In running time [kPa], [ratio].

    Returns
    -------
    tuple of (ndarray, ndarray, tuple of str)
        Stress and strain, and what was turned round, in words. A specimen is deformed in the direction of the
        stress: where the strain falls under a positive stress, its sign is a convention of the record.
    """
    remarks = []
    if -stress_kpa.min(initial=0.0) > _CLEARLY * stress_kpa.max(initial=0.0):
        stress_kpa = -stress_kpa
        remarks.append("the stress is recorded with a negative sign; it was turned round")
    # A strain that ends where it started, or above, has no other direction than the stress.
    if len(strain) > 1 and strain[-1] < strain[0] and _falls_under_load(stress_kpa, strain):
        strain = -strain
        remarks.append("the strain falls where the stress is on: its sign was turned round")
    return stress_kpa, strain, tuple(remarks)


def _falls_under_load(stress_kpa: Floats, strain: Floats) -> bool:
    loaded = stress_kpa[1:] > 0.5 * stress_kpa.max()
    steps = np.diff(strain)[loaded]
    falling, rising = -steps[steps < 0].sum(), steps[steps > 0].sum()
    return bool(falling > _CLEARLY * rising)
