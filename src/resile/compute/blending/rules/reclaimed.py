"""Reclaimed binder by the linear rule of critical temperatures: share, needed new binder, window, warm mix.

``T_blend = (1 - r) T_new + r T_reclaimed``, r the share of binder that comes from reclaimed asphalt. The
rule is not exact: published blends were off by up to 2.1 °C, so its error belongs beside every number it
gives.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike, NDArray

from resile.errors import MeasurementError
from resile.records.blending.reclaimed import ShareWindow

Floats = NDArray[np.float64]

SHARE_STEP = 0.01
"""Step to which shares are rounded (Asphalt Institute MS-2, 7th edition, section 11.4)."""
_ROUNDING = 1e-9  # a share that is a whole step but for its last bits stays where it is


def reclaimed_share(wanted_c: ArrayLike, new_c: ArrayLike, reclaimed_c: ArrayLike) -> Floats:
    """Give the share of reclaimed binder at which the blend reaches a temperature.

    Parameters
    ----------
    wanted_c : array_like of float
        Critical temperature wanted of the blend [°C].
    new_c : array_like of float
        Of the new binder [°C].
    reclaimed_c : array_like of float
        Of the reclaimed binder [°C].

    Returns
    -------
    ndarray of float
        ``(T_wanted - T_new)/(T_reclaimed - T_new)``; below 0 or above 1 where no blend reaches it.

    Raises
    ------
    MeasurementError
        Where both binders have the same temperature, or one is no number.

    References
    ----------
    Asphalt Institute MS-2, 7th edition, section 11.4.

    Examples
    --------
    >>> round(float(reclaimed_share(-22.0, -32.0, -14.0)), 3)
    0.556
    """
    wanted, new, reclaimed = _numbers(wanted_c, new_c, reclaimed_c)
    if np.any(reclaimed == new):
        raise MeasurementError("share of reclaimed binder: both binders have the same critical temperature")
    return np.asarray((wanted - new) / (reclaimed - new))


def needed_new_temperature(wanted_c: ArrayLike, reclaimed_c: ArrayLike, share: ArrayLike) -> Floats:
    """Give the critical temperature that the new binder needs.

    Parameters
    ----------
    wanted_c : array_like of float
        Critical temperature wanted of the blend [°C].
    reclaimed_c : array_like of float
        Of the reclaimed binder [°C].
    share : array_like of float
        Share of reclaimed binder, from 0 to below 1.

    Returns
    -------
    ndarray of float
        ``(T_wanted - r T_reclaimed)/(1 - r)`` [°C].

    Raises
    ------
    MeasurementError
        Where a share is not from 0 to below 1, or a temperature is no number.

    References
    ----------
    NCHRP Report 452, method A, from memory (high).

    Examples
    --------
    >>> round(float(needed_new_temperature(64.0, 86.6, 0.3)), 1)
    54.3
    """
    wanted, reclaimed, ratio = _numbers(wanted_c, reclaimed_c, share)
    if np.any((ratio < 0.0) | (ratio >= 1.0)):
        raise MeasurementError("share of reclaimed binder: needed is 0 or more and below 1")
    return np.asarray((wanted - ratio * reclaimed) / (1.0 - ratio))


def share_window(
    new_c: ArrayLike, reclaimed_c: ArrayLike, wanted_c: ArrayLike, at_least: ArrayLike
) -> ShareWindow:
    """Give the shares of reclaimed binder that keep every criterion.

    Parameters
    ----------
    new_c : array_like of float, shape (k,)
        Critical temperature of the new binder for each criterion [°C].
    reclaimed_c : array_like of float, shape (k,)
        Of the reclaimed binder [°C].
    wanted_c : array_like of float, shape (k,)
        Wanted of the blend [°C].
    at_least : array_like of bool, shape (k,)
        True where the blend must reach it or more (high temperatures), False where it or less.

    Returns
    -------
    ShareWindow
        Minimum rounded up and maximum rounded down to 0.01.

    Raises
    ------
    MeasurementError
        Where a temperature is no number.

    References
    ----------
    Asphalt Institute MS-2, 7th edition, section 11.4 (rounding).
    """
    new, reclaimed, wanted = (np.atleast_1d(part) for part in _numbers(new_c, reclaimed_c, wanted_c))
    sign = np.where(np.asarray(at_least, dtype=bool), 1.0, -1.0)
    rise, gap = sign * (reclaimed - new), sign * (wanted - new)
    with np.errstate(divide="ignore", invalid="ignore"):
        ends = gap / rise
    lowest = float(np.max(ends[rise > 0.0], initial=0.0))
    highest = float(np.min(ends[rise < 0.0], initial=1.0))
    hopeless = bool(np.any((rise == 0.0) & (gap > 0.0)))
    up = math.ceil(lowest / SHARE_STEP - _ROUNDING) * SHARE_STEP
    down = math.floor(highest / SHARE_STEP + _ROUNDING) * SHARE_STEP
    return ShareWindow(round(up, 2), round(down, 2), lowest, highest, not hopeless and up <= down + _ROUNDING)


def warm_mix_gain(gain_per_c: ArrayLike, hot_c: ArrayLike, warm_c: ArrayLike) -> Floats:
    """Give the improvement of the low grade by a cooler plant.

    Parameters
    ----------
    gain_per_c : array_like of float
        Improvement for one degree less [°C/°C].
    hot_c : array_like of float
        Usual temperature of the plant [°C].
    warm_c : array_like of float
        Temperature of the warm mix [°C].

    Returns
    -------
    ndarray of float
        Improvement, towards colder [°C].

    Raises
    ------
    MeasurementError
        Where the warm mix is hotter, or one is no number.

    References
    ----------
    NCHRP 09-43, table 3 (NCHRP 14615, p. 5).

    Examples
    --------
    >>> round(float(warm_mix_gain(0.035, 140.56, 121.11)), 1)
    0.7
    """
    gain, hot, warm = _numbers(gain_per_c, hot_c, warm_c)
    if np.any(warm > hot):
        raise MeasurementError("warm mix: its temperature is above the usual one; needed is at most that")
    return np.asarray(gain * (hot - warm))


def next_grade(needed_c: float, ladder_c: ArrayLike, *, end: str) -> float | None:
    """Give the grade on a ladder that serves a needed temperature.

    Parameters
    ----------
    needed_c : float
        Temperature needed: at least so high, or at least so cold [°C].
    ladder_c : array_like of float
        Temperatures of the grades [°C].
    end : str
        ``"high"`` or ``"low"``.

    Returns
    -------
    float or None
        Mildest grade that serves [°C]; None where the ladder ends before.

    Raises
    ------
    MeasurementError
        Where the end is not known.
    """
    ladder = np.asarray(ladder_c, dtype=float)
    if end not in ("high", "low"):
        raise MeasurementError(f"end of a grade '{end}' is not known; needed is high or low")
    serving = (
        ladder[ladder >= needed_c - _ROUNDING] if end == "high" else ladder[ladder <= needed_c + _ROUNDING]
    )
    if not len(serving):
        return None
    return float(serving.min() if end == "high" else serving.max())


def _numbers(*parts: ArrayLike) -> tuple[Floats, ...]:
    arrays = tuple(np.asarray(part, dtype=float) for part in parts)
    if not all(np.isfinite(array).all() for array in arrays):
        raise MeasurementError("reclaimed binder: every temperature and share must be a number")
    return arrays
