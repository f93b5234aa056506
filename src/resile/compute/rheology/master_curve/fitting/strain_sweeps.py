"""Strain sweeps among the rows of frequency sweeps: a master curve is of the linear range alone."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from resile.records.finding import Measure

_SAME_C, _SAME_DECADES = (
    1.0,
    0.02,
)  # steps to which temperature and frequency are rounded, to be one condition


def strain_ratio_at_one_condition(
    temperature_c: ArrayLike, angular_frequency_rad_s: ArrayLike, strain: ArrayLike
) -> Measure:
    """Measure how far strains differ at one temperature and frequency.

    Parameters
    ----------
    temperature_c, angular_frequency_rad_s, strain : array_like of float, shape (n,)
        Temperature [°C], angular frequency, above zero [rad/s], amplitude of the shear strain [ratio];
        not-a-number for a strain that is not stated.

    Returns
    -------
    Measure
        ``strain_ratio_at_one_condition``: highest over lowest strain where that is greatest; 1 where strains
        are not stated or none are compared.

    Notes
    -----
    Temperatures within about 1 °C and frequencies within about 5 % are one condition.
    """
    temperature, frequency, strains = (
        np.asarray(a, dtype=float) for a in (temperature_c, angular_frequency_rad_s, strain)
    )
    known = np.isfinite(strains) & (strains > 0.0)
    if not known.any():
        return Measure("strain_ratio_at_one_condition", 1.0)
    temperature, frequency, strains = temperature[known], frequency[known], np.log(strains[known])
    conditions = np.column_stack(
        (np.round(temperature / _SAME_C), np.round(np.log10(frequency) / _SAME_DECADES))
    )
    _, first, place = np.unique(conditions, axis=0, return_index=True, return_inverse=True)
    highest, lowest = np.full(len(first), -np.inf), np.full(len(first), np.inf)
    np.maximum.at(highest, place.ravel(), strains)
    np.minimum.at(lowest, place.ravel(), strains)
    worst = int(np.argmax(highest - lowest))
    where = f"{temperature[first[worst]]:.1f} °C, {frequency[first[worst]]:.3g} rad/s"
    return Measure(
        "strain_ratio_at_one_condition", float(np.exp(highest[worst] - lowest[worst])), where=where
    )
