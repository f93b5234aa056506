"""The temperature at which a property meets a limit that is given, and the difference of two of them.

Use `critical_temperature` for one sample (a record with the points used, the reason where there is none, and
the uncertainty), `critical_temperatures` for many samples at the same temperatures. The
bare equations are in `limit_crossing`, delta-Tc in `critical_difference`.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from resile.compute.statistics.critical.critical_uncertainty import with_uncertainty
from resile.compute.statistics.critical.limit_crossing import (
    RULES,
    interpolated_temperature,
    property_on_scale,
)
from resile.errors import MeasurementError
from resile.records.critical_temperature import (
    CriticalTemperature,
    LimitPoint,
)

Floats = NDArray[np.float64]

REACH_C = 6.0
"""Furthest a temperature may be extrapolated, where that is allowed [°C]: one grade step. Own choice."""


class _Choice(NamedTuple):
    first: int
    second: int
    bracketed: bool
    reason: str


def critical_temperatures(
    temperatures_c: ArrayLike, values: ArrayLike, limit: ArrayLike, *, rule: str = "log"
) -> Floats:
    """Give critical temperatures of many samples tested at the same temperatures, by interpolation only.

    Parameters
    ----------
    temperatures_c : array_like of float, shape (n,), n at least 2
        Temperatures, all different [°C].
    values : array_like of float, shape (..., n)
        Property; one leading index a sample.
    limit : array_like of float, shape () or (...)
        Limit, one for all or one a sample.
    rule : str
        ``"log"`` or ``"linear"``.

    Returns
    -------
    ndarray of float, shape (...)
        Temperatures [°C]; not-a-number where the values do not bracket the limit, or cross it more than once.

    Raises
    ------
    MeasurementError
        Where temperatures or values cannot be used.

    Notes
    -----
    Only the two bracketing points count: points further out change nothing.
    """
    temperature, value = _columns(temperatures_c, values)
    end = np.broadcast_to(np.asarray(limit, dtype=float), value.shape[:-1])[..., None]
    if len(temperature) < 2:
        raise MeasurementError("critical temperature: needed are at least two temperatures")
    y, y_end = property_on_scale(value, rule), property_on_scale(end, rule)
    off = y - y_end
    crossing = off[..., :-1] * off[..., 1:] < 0.0
    meeting = off == 0.0
    first = np.argmax(crossing, axis=-1)[..., None]
    between = interpolated_temperature(
        temperature[first],
        temperature[first + 1],
        np.take_along_axis(value, first, -1),
        np.take_along_axis(value, first + 1, -1),
        end,
        rule=rule,
    )[..., 0]
    met = temperature[np.argmax(meeting, axis=-1)]
    found = np.where(meeting.any(axis=-1), met, between)
    return np.where(crossing.sum(axis=-1) + meeting.sum(axis=-1) == 1, found, np.nan)


def critical_temperature(
    temperatures_c: ArrayLike,
    values: ArrayLike,
    limit: float,
    *,
    rule: str = "log",
    both_rules: bool = False,
    allow_extrapolation: bool = False,
    reach_c: float = REACH_C,
    standards: ArrayLike | None = None,
    correlation: float = 0.0,
    temperature_standard_c: float = 0.0,
    distribution: str = "log-normal",
    rng: np.random.Generator | None = None,
    draws: int = 100_000,
    only_where_needed: bool = False,
    degrees_of_freedom: Sequence[float | None] | None = None,
) -> CriticalTemperature:
    """Give the temperature at which a property of one sample meets a limit, and how sure it is.

    Parameters
    ----------
    temperatures_c, values : array_like of float, shape (n,)
        Temperatures, all different [°C], and the property there.
    limit : float
        Limit, in the unit of the property.
    rule : str
        ``"log"`` or ``"linear"``.
    both_rules : bool
        Give the temperature by the other rule as well.
    allow_extrapolation : bool
        Extend the line through the two outermost points where the limit is not bracketed.
    reach_c : float
        Furthest it may be extended [°C].
    standards : array_like of float or None, shape (n,)
        Standard uncertainties of the values, zero or above.
    correlation : float
        Between the errors of the two values used: 0 for independent ones, 1 for a shared calibration.
    temperature_standard_c : float
        Standard uncertainty of the temperature scale, shared by all points [°C].
    distribution : str
        Shape of the errors of the values for the simulation: ``"log-normal"`` or ``"normal"``.
    rng : numpy.random.Generator or None
        Draws for the simulation; None for the linear law alone.
    draws : int
        How many.
    only_where_needed : bool
        Draw only where the linear law fails by the closed interval of `crossing_interval`.
    degrees_of_freedom : sequence of float or None
        Of the standard uncertainties, None for infinite; None for all infinite.

    Returns
    -------
    CriticalTemperature
        Its `temperature_c` is None, with the reason, where the data do not carry one.

    Raises
    ------
    MeasurementError
        Where the numbers cannot be used at all: not finite, a temperature twice, zero or below for ``"log"``.

    Notes
    -----
    Of many points the two that bracket the limit are used. ASTM D7643-16 allows interpolation only; an
    extrapolated temperature is marked and bounded. Uncertainty: `critical_temperature_standard`.
    """
    temperature, value = _columns(temperatures_c, values)
    order = np.argsort(np.asarray(temperatures_c, dtype=float))
    if value.ndim != 1:
        raise MeasurementError(
            "critical temperature: one sample at a time; use critical_temperatures for many"
        )
    if not math.isfinite(limit):
        raise MeasurementError("critical temperature: the limit must be a finite number")
    doubts = None if standards is None else _doubts(standards, order)
    scaled, end = property_on_scale(value, rule), float(property_on_scale(limit, rule))
    choice = _choose(temperature, scaled, end, reach_c if allow_extrapolation else None)
    if choice.reason:
        return CriticalTemperature(None, limit, rule, reason=choice.reason, correlation=correlation)
    one, two = (
        LimitPoint(float(temperature[i]), float(value[i]), None if doubts is None else float(doubts[i]))
        for i in (choice.first, choice.second)
    )
    at = _through(one, two, limit, rule)
    beyond = 0.0 if choice.bracketed else max(one.temperature_c - at, at - two.temperature_c)
    other = _other_rule(one, two, limit, rule) if both_rules else None
    found = CriticalTemperature(
        at, limit, rule, (one, two), choice.bracketed, beyond, other_rule_c=other, correlation=correlation
    )
    if doubts is None:
        return found
    freedom = [None] * len(value) if degrees_of_freedom is None else list(degrees_of_freedom)
    return with_uncertainty(
        found,
        temperature_standard_c=temperature_standard_c,
        degrees_of_freedom=(freedom[order[choice.first]], freedom[order[choice.second]]),
        distribution=distribution,
        rng=rng,
        draws=draws,
        only_where_needed=only_where_needed,
    )


def _through(one: LimitPoint, two: LimitPoint, limit: float, rule: str) -> float:
    return float(
        interpolated_temperature(one.temperature_c, two.temperature_c, one.value, two.value, limit, rule=rule)
    )


def _choose(temperature: Floats, y: Floats, end: float, reach: float | None) -> _Choice:
    if len(temperature) < 2:
        return _Choice(0, 0, False, "needed are results at two temperatures or more")
    off = y - end
    met = np.flatnonzero(off == 0.0)
    crossed = np.flatnonzero(off[:-1] * off[1:] < 0.0)
    if len(met) + len(crossed) > 1:
        places = len(met) + len(crossed)
        return _Choice(0, 0, False, f"the values meet the limit at {places} places: they do not run one way")
    if len(crossed):
        return _Choice(int(crossed[0]), int(crossed[0]) + 1, True, "")
    if len(met):
        first = min(int(met[0]), len(y) - 2)
        return _Choice(first, first + 1, True, "")
    span = f"{round(float(temperature[0]), 2):g} to {round(float(temperature[-1]), 2):g} °C"
    if reach is None:
        return _Choice(0, 0, False, f"the values from {span} do not bracket the limit")
    return _extend(temperature, y, end, reach, span)


def _extend(temperature: Floats, y: Floats, end: float, reach: float, span: str) -> _Choice:
    last = len(y) - 1
    ends = []
    for first, outer, side in ((0, 0, -1.0), (last - 1, last, 1.0)):
        rise = float(y[first + 1] - y[first])
        if rise == 0.0:
            continue
        at = temperature[first] + (temperature[first + 1] - temperature[first]) * (end - y[first]) / rise
        beyond = side * float(at - temperature[outer])
        if beyond > 0.0:
            ends.append((beyond, first))
    if len(ends) != 1:
        return _Choice(0, 0, False, f"the values from {span} do not lead to the limit one way")
    beyond, first = ends[0]
    if beyond > reach:
        return _Choice(0, 0, False, f"the limit lies {beyond:.1f} °C beyond {span}: more than {reach:g} °C")
    return _Choice(first, first + 1, False, "")


def _other_rule(one: LimitPoint, two: LimitPoint, limit: float, rule: str) -> float | None:
    other = RULES[1 - RULES.index(rule)]
    if other == "log" and min(one.value, two.value, limit) <= 0.0:
        return None
    return _through(one, two, limit, other)


def _columns(temperatures_c: ArrayLike, values: ArrayLike) -> tuple[Floats, Floats]:
    temperature, value = np.asarray(temperatures_c, dtype=float), np.asarray(values, dtype=float)
    if temperature.ndim != 1 or value.shape[-1:] != temperature.shape:
        raise MeasurementError("critical temperature: needed is one value a temperature")
    if not (np.isfinite(temperature).all() and np.isfinite(value).all()):
        raise MeasurementError("critical temperature: temperatures and values must be finite numbers")
    order = np.argsort(temperature)
    same = np.flatnonzero(np.diff(temperature[order]) == 0.0)
    if len(same):
        raise MeasurementError(
            f"critical temperature: {temperature[order][same[0]]:g} °C stands twice; needed is one value a "
            "temperature (take replicates together first)"
        )
    return temperature[order], value[..., order]


def _doubts(standards: ArrayLike, order: NDArray[np.int64] | Sequence[int]) -> Floats:
    doubts = np.asarray(standards, dtype=float)
    if doubts.shape != np.shape(order) or not np.isfinite(doubts).all() or np.any(doubts < 0.0):
        raise MeasurementError(
            "critical temperature: needed is one standard uncertainty of zero or above a value"
        )
    return np.asarray(doubts[order])
