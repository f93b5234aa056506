"""What a fitted master curve says at any temperature and frequency, and where that is extrapolated."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from resile.compute.rheology.master_curve.forms.shape_slopes import shape_slopes
from resile.compute.rheology.master_curve.forms.shifts import shift_slopes
from resile.records.models.master_curve import MasterCurve

Floats = NDArray[np.float64]


def curve_log_shift(curve: MasterCurve, temperature_c: ArrayLike) -> Floats:
    """Give the shift of a fitted curve.

    Parameters
    ----------
    curve : MasterCurve
        The curve.
    temperature_c : array_like of float, shape (n,) or scalar
        Temperature [°C].

    Returns
    -------
    ndarray of float
        ``log10 aT``.
    """
    temperature = np.asarray(temperature_c, dtype=float)
    found, _ = shift_slopes(
        curve.shift,
        np.atleast_1d(temperature).ravel(),
        [parameter.value for parameter in curve.shift_parameters],
        reference_c=curve.reference_c,
        nodes_c=curve.nodes_c,
    )
    return found.reshape(temperature.shape)


def curve_modulus_and_phase(
    curve: MasterCurve, temperature_c: ArrayLike, angular_frequency_rad_s: ArrayLike
) -> tuple[Floats, Floats]:
    """Give modulus and phase angle of a fitted curve.

    Parameters
    ----------
    curve : MasterCurve
        The curve.
    temperature_c, angular_frequency_rad_s : array_like of float, shapes that broadcast
        Temperature [°C] and angular frequency [rad/s].

    Returns
    -------
    tuple of (ndarray of float, ndarray of float)
        ``|G*|`` [kPa] and phase angle [°]. Where they are extrapolated, `outside_measured` tells.
    """
    place = np.asarray(
        np.log10(np.asarray(angular_frequency_rad_s, dtype=float)) + curve_log_shift(curve, temperature_c)
    )
    seen = shape_slopes(curve.shape, place.ravel(), [parameter.value for parameter in curve.parameters])
    return 10.0 ** seen.log_modulus.reshape(place.shape), seen.phase_deg.reshape(place.shape)


def outside_measured(
    curve: MasterCurve, temperature_c: ArrayLike, angular_frequency_rad_s: ArrayLike
) -> NDArray[np.bool_]:
    """Tell where a fitted curve is extrapolated.

    Parameters
    ----------
    curve, temperature_c, angular_frequency_rad_s
        As in `curve_modulus_and_phase`.

    Returns
    -------
    ndarray of bool
        True where the reduced frequency, or the temperature, lies outside what was measured.
    """
    temperature = np.asarray(temperature_c, dtype=float)
    reduced = np.asarray(angular_frequency_rad_s, dtype=float) * 10.0 ** curve_log_shift(curve, temperature)
    coldest = min(isotherm.lowest_temperature_c for isotherm in curve.isotherms)
    warmest = max(isotherm.highest_temperature_c for isotherm in curve.isotherms)
    return np.asarray(
        (reduced < curve.lowest_reduced_frequency_rad_s)
        | (reduced > curve.highest_reduced_frequency_rad_s)
        | (temperature < coldest)
        | (temperature > warmest)
    )
