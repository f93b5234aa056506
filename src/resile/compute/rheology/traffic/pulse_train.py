"""Trains of load pulses on a spring-and-dashpot model, exactly: millions of pulses in blocks.

Use `accumulate_strain` for the strain after each block of equal pulses at one temperature, `pulse_duration`
for how long a wheel presses, `viscosity_factor` for what temperature does.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from resile.compute.rheology.models.viscoelastic_models import BurgersModel
from resile.errors import InputError
from resile.records.models.pulse_train import TrainStrain

Floats = NDArray[np.float64]
_KMH_IN_M_S = 3.6


def pulse_duration(speed_kmh: ArrayLike, *, loaded_length_m: ArrayLike) -> Floats:
    """Give how long a passing wheel presses.

    Parameters
    ----------
    speed_kmh : array_like of float
        Speed, above zero [km/h].
    loaded_length_m : array_like of float, shape that broadcasts
        Length over which the wheel is felt: its contact, and what the layers above spread it to [m].

    Returns
    -------
    ndarray of float
        ``length/speed`` [s].

    Raises
    ------
    InputError
        Where a number is not above zero: a standing wheel has no pulse.

    Notes
    -----
    Definition. The true pulse rises and falls smoothly and lengthens with depth; here it is taken as constant
    over that time.

    Examples
    --------
    >>> float(pulse_duration(36.0, loaded_length_m=0.5))
    0.05
    """
    speed, length = np.asarray(speed_kmh, dtype=float), np.asarray(loaded_length_m, dtype=float)
    if (
        not (np.isfinite(speed).all() and np.isfinite(length).all())
        or np.any(speed <= 0)
        or np.any(length <= 0)
    ):
        raise InputError("load pulse: speed (km/h) and loaded length (m) must be above zero")
    return np.asarray(length * _KMH_IN_M_S / speed)


def viscosity_factor(temperature_c: ArrayLike, *, reference_c: float, slope_per_c: float) -> Floats:
    """Give by what every dashpot is multiplied at another temperature.

    Parameters
    ----------
    temperature_c : array_like of float
        Temperature [°C].
    reference_c : float
        Temperature the model belongs to [°C].
    slope_per_c : float
        Slope of ln Jnr against temperature, above zero [1/°C].

    Returns
    -------
    ndarray of float
        ``exp(-slope (T - reference))``; springs do not change.

    Raises
    ------
    InputError
        Where a number is not finite.

    Notes
    -----
    ln Jnr is a straight line against temperature between tests (see ``temperature_line``); the flow of a
    pulse is stress times time over viscosity, so viscosity follows the inverse. That retardation times shift
    by the same factor is thermo-rheological simplicity, which modified binder keeps less well.

    Examples
    --------
    >>> round(float(viscosity_factor(70.0, reference_c=64.0, slope_per_c=0.115525)), 4)
    0.5
    """
    temperature = np.asarray(temperature_c, dtype=float)
    if not (np.isfinite(temperature).all() and np.isfinite(reference_c) and np.isfinite(slope_per_c)):
        raise InputError("temperature shift: every temperature and the slope must be numbers")
    return np.asarray(np.exp(-slope_per_c * (temperature - reference_c)))


def accumulate_strain(
    model: BurgersModel,
    *,
    stress_kpa: float,
    pulse_s: float,
    rest_s: float,
    pulses: ArrayLike,
    factor: ArrayLike = 1.0,
    idle_s: ArrayLike = 0.0,
) -> TrainStrain:
    """Give the strain left after each block of equal pulses.

    Parameters
    ----------
    model : BurgersModel
        The binder at its own temperature.
    stress_kpa : float
        Stress of every pulse [kPa].
    pulse_s, rest_s : float
        Duration of a pulse, and of the rest after it [s].
    pulses : array_like of int, shape (b,)
        Pulses in each block, zero or more.
    factor : array_like of float, shape (b,) or ()
        Multiplies every dashpot in the block (`viscosity_factor`).
    idle_s : array_like of float, shape (b,) or ()
        Time without load at the end of the block, after the rest of its last pulse [s].

    Returns
    -------
    TrainStrain
        At the end of each block; the springs in the row have then come back wholly.

    Raises
    ------
    InputError
        Where a number is out of range.

    Notes
    -----
    Flow: ``n stress pulse/(factor viscosity)``. A Kelvin element of spring E and retardation time
    r = factor times its own: one pulse takes its strain e to ``e exp(-p/r) + (stress/E)(1 - exp(-p/r))``, a
    rest of q to ``e exp(-q/r)``. n pulses are the n-th power of that straight map,
    ``e Q^n + S (1 - Q^n)/(1 - Q)`` with ``Q = exp(-(p + q)/r)``; blocks are strung together by composing such
    maps, doubling the stretch each time, so that b blocks cost b log b and not a step a pulse. Exact for the
    model at one temperature a block; derived by hand from the definition of the elements.
    """
    n, a, idle = _blocks(pulses, factor, idle_s)
    for name, number, least in (("stress", stress_kpa, 0.0), ("pulse", pulse_s, 0.0), ("rest", rest_s, -1.0)):
        if not (np.isfinite(number) and number > least):
            raise InputError(f"load train: {name} of {number:g} found, a number above zero is needed")
    if rest_s < 0.0:
        raise InputError(f"load train: a rest of {rest_s:g} s found, 0 or more is needed")
    flow = np.cumsum(n * stress_kpa * pulse_s / (a * model.maxwell_dashpot_kpa_s))
    retarded = np.zeros_like(flow)
    for element in model.kelvin_elements:
        times = a * element.retardation_time_s
        one = (stress_kpa / element.spring_kpa) * -np.expm1(-pulse_s / times) * np.exp(-rest_s / times)
        cycle = (pulse_s + rest_s) / times
        keep = np.exp(-n * cycle - idle / times)
        added = one * np.expm1(-n * cycle) / np.expm1(-cycle) * np.exp(-idle / times)
        retarded += _strung_together(keep, added)
    return TrainStrain(flow, retarded)


def _blocks(pulses: ArrayLike, factor: ArrayLike, idle_s: ArrayLike) -> tuple[Floats, Floats, Floats]:
    n, a, idle = np.broadcast_arrays(
        *(np.atleast_1d(np.asarray(values, dtype=float)) for values in (pulses, factor, idle_s))
    )
    if n.ndim != 1 or not (np.isfinite(n).all() and np.isfinite(a).all() and np.isfinite(idle).all()):
        raise InputError("load train: blocks need counts of pulses, factors and idle times that are numbers")
    if np.any(n < 0) or np.any(n != np.floor(n)) or np.any(a <= 0) or np.any(idle < 0):
        raise InputError(
            "load train: counts of pulses are whole and not below zero, factors above zero, idle "
            "times 0 s or more"
        )
    return n, a, idle


def _strung_together(keep: Floats, added: Floats) -> Floats:
    """Give the state after each straight map e -> keep e + added, beginning with none."""
    keep, state = keep.copy(), added.copy()
    stretch = 1
    while stretch < len(state):
        state[stretch:] = state[stretch:] + keep[stretch:] * state[:-stretch]
        keep[stretch:] = keep[stretch:] * keep[:-stretch]
        stretch *= 2
    return state
