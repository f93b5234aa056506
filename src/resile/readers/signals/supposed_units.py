"""Units that the numbers decide where none is printed: stress levels, length of a cycle, temperature."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from resile.units import Unit, find_unit

_LEVELS_KPA = (0.1, 3.2)
"""Nominal stresses of the test: AASHTO R 92:2018, section 4.2."""
_CYCLE_S = 10.0
_CLOSE = 0.10
_LOADED_SHARE = 0.01


def _unit(name: str) -> Unit:
    unit = find_unit(name)
    if unit is None:
        raise KeyError(name)
    return unit


def suppose_stress_unit(stress: ArrayLike) -> tuple[Unit | None, str]:
    """Decide the unit of stress from its levels.

    Parameters
    ----------
    stress : array_like of float, shape (n,)
        Stress as printed.

    Returns
    -------
    tuple of (Unit or None, str)
        kPa where both 0.1 and 3.2 occur, Pa where both 100 and 3200 do, MPa likewise; None otherwise. With
        the reason.
    """
    values = np.asarray(stress, dtype=float)
    values = values[np.isfinite(values)]
    if not len(values) or values.max() <= 0:
        return None, ""
    loaded = values[values > _LOADED_SHARE * values.max()]
    for name in ("kPa", "Pa", "MPa"):
        unit = _unit(name)
        low, high = (
            np.count_nonzero(np.abs(loaded * unit.factor / level - 1.0) < _CLOSE) for level in _LEVELS_KPA
        )
        if low >= 3 and high >= 3 and low + high > 0.5 * len(loaded):
            shown = [f"{level / unit.factor:g}" for level in _LEVELS_KPA]
            return unit, f"no unit is printed; levels of {shown[0]} and {shown[1]} make it {name}"
    return None, ""


def suppose_time_unit(time: ArrayLike, load: ArrayLike | None) -> tuple[Unit | None, str]:
    """Decide the unit of time from the length of the load cycles.

    Parameters
    ----------
    time : array_like of float, shape (n,)
        Time as printed.
    load : array_like of float, shape (n,), or None
        Stress or torque as printed.

    Returns
    -------
    tuple of (Unit or None, str)
        The unit in which a cycle lasts 10 s, with the reason; None where the numbers do not tell.
    """
    if load is None:
        return None, ""
    times, loads = np.asarray(time, dtype=float), np.asarray(load, dtype=float)
    good = np.isfinite(times) & np.isfinite(loads)
    times, loads = times[good], loads[good]
    if len(times) < 20 or loads.max() <= 0:
        return None, ""
    on = loads > _LOADED_SHARE * loads.max()
    begins = times[1:][on[1:] & ~on[:-1]]
    if len(begins) < 3:
        return None, ""
    cycle = float(np.median(np.diff(begins)))
    for name in ("s", "min", "ms", "h"):
        unit = _unit(name)
        if abs(cycle * unit.factor / _CYCLE_S - 1.0) < _CLOSE:
            return unit, f"no unit is printed; a cycle of {cycle:.4g} makes it {name}"
    return None, ""


def suppose_temperature_unit(temperature: ArrayLike) -> tuple[Unit | None, str]:
    """Decide the unit of temperature from its size.

    Parameters
    ----------
    temperature : array_like of float, shape (n,)
        Temperature as printed.

    Returns
    -------
    tuple of (Unit or None, str)
        °C for 20 to 100, K for 293 to 373; None otherwise. With the reason.
    """
    values = np.asarray(temperature, dtype=float)
    values = values[np.isfinite(values)]
    if not len(values):
        return _unit("°C"), ""
    lowest, highest = float(values.min()), float(values.max())
    if lowest >= 20.0 and highest <= 100.0:
        return _unit("°C"), "no unit is printed; taken as °C"
    if lowest >= 293.0 and highest <= 373.0:
        return _unit("K"), "no unit is printed; only K gives a test temperature"
    return None, ""
