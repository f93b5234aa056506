"""Whether a modulus was measured in the linear range: strain sweeps, and the strain of the test."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from numpy.typing import ArrayLike, NDArray

from resile.errors import MeasurementError
from resile.records.finding import Measure

Floats = NDArray[np.float64]

LINEAR_STRAIN = 0.02
"""Strain low enough to be linear [ratio]. AASHTO T 315, annex, from memory (medium)."""


def modulus_linearity_percent(modulus_at_test: ArrayLike, modulus_at_low_strain: ArrayLike) -> Floats:
    """Give the modulus at the test strain in % of the modulus at a strain low enough to be linear.

    Parameters
    ----------
    modulus_at_test, modulus_at_low_strain : array_like of float, shapes that broadcast
        In one unit; the second positive.

    Returns
    -------
    ndarray of float
        Per cent; 100 for a linear material.

    Raises
    ------
    MeasurementError
        Where a modulus is not a finite number above zero.

    Notes
    -----
    AASHTO T 315 asks for at least 90 % of the modulus at 2 % strain (annex, from memory, medium).
    """
    test, low = np.asarray(modulus_at_test, dtype=float), np.asarray(modulus_at_low_strain, dtype=float)
    if not (np.isfinite(test).all() and np.isfinite(low).all()) or np.any(test <= 0) or np.any(low <= 0):
        raise MeasurementError("linear range: both moduli must be finite numbers above zero")
    return np.asarray(100.0 * test / low)


def nearest_target_strain(
    temperature_c: ArrayLike,
    angular_frequency_rad_s: ArrayLike,
    complex_modulus: ArrayLike,
    strain: ArrayLike,
) -> NDArray[np.bool_]:
    """Tell which points of a strain sweep were measured nearest the strain of the test.

    Parameters
    ----------
    temperature_c, angular_frequency_rad_s : array_like of float, shape (n,)
        Temperature [°C] and angular frequency [rad/s]; not-a-number where it is not stated.
    complex_modulus : array_like of float, shape (n,)
        Modulus, positive [kPa].
    strain : array_like of float, shape (n,)
        Strain amplitude [ratio]; not-a-number where it is not stated.

    Returns
    -------
    ndarray of bool, shape (n,)
        Of the points at one temperature (to 0.1 °C) and frequency that differ in strain, the one nearest the
        target; every point where strains do not differ.

    Raises
    ------
    MeasurementError
        Where a modulus is not a finite number above zero.

    Notes
    -----
    Target: ``12.0/|G*|^0.29`` %, ``|G*|`` in kPa (AASHTO T 315, from memory, high); nearest by ratio.
    """
    t, w, g, gamma = (
        np.asarray(a, dtype=float) for a in (temperature_c, angular_frequency_rad_s, complex_modulus, strain)
    )
    if not np.isfinite(g).all() or np.any(g <= 0.0):
        raise MeasurementError("strain sweep: every modulus must be a finite number above zero (kPa)")
    kept = np.ones(len(g), dtype=bool)
    for same in _strain_sweeps(t, w, gamma):
        kept[same] = False
        kept[same[int(np.abs(np.log(gamma[same] * g[same] ** 0.29 / 0.12)).argmin())]] = True
    return kept


def _strain_sweeps(t: Floats, w: Floats, strain: Floats) -> Iterator[NDArray[np.int64]]:
    """Give the points of each temperature and frequency that were measured at several strains."""
    keys = np.round(t, 1) + 1e6 * np.nan_to_num(w, nan=0.0)
    for key in np.unique(keys):
        same = np.flatnonzero(keys == key)
        known = same[np.isfinite(strain[same]) & (strain[same] > 0.0)]
        # Strains that differ by less than a tenth are one setting of the instrument.
        if len(known) > 1 and strain[known].max() > 1.1 * strain[known].min():
            yield known


def linearity_measures(
    temperature_c: ArrayLike,
    angular_frequency_rad_s: ArrayLike,
    complex_modulus: ArrayLike,
    strain: ArrayLike,
) -> tuple[Measure, ...]:
    """Measure the modulus at the test strain against that at the strain nearest 2 %, where that is smaller.

    Parameters
    ----------
    temperature_c, angular_frequency_rad_s, complex_modulus, strain : array_like of float, shape (n,)
        As in `nearest_target_strain`.

    Returns
    -------
    tuple of Measure
        The worst temperature; empty where no strain was varied.

    Raises
    ------
    MeasurementError
        As in `nearest_target_strain`.

    Notes
    -----
    See `modulus_linearity_percent`.
    """
    t, w, g, gamma = (
        np.asarray(a, dtype=float) for a in (temperature_c, angular_frequency_rad_s, complex_modulus, strain)
    )
    tested = nearest_target_strain(t, w, g, gamma)
    found: list[tuple[float, str]] = []
    for same in _strain_sweeps(t, w, gamma):
        low = same[int(np.abs(np.log(gamma[same] / LINEAR_STRAIN)).argmin())]
        test = same[tested[same]][0]
        if gamma[test] <= gamma[low]:
            continue
        share = float(modulus_linearity_percent(g[test], g[low]))
        words = f"{t[test]:g} °C, {100 * gamma[test]:.3g} % strain against {100 * gamma[low]:.3g} %"
        found.append((share, words))
    if not found:
        return ()
    share, words = min(found)
    return (Measure("modulus_linearity_percent", share, "%", words),)
