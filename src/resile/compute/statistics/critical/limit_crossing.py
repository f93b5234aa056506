"""Where the line through two points meets a limit, and how sure that is: equations for arrays."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from resile.errors import MeasurementError

Floats = NDArray[np.float64]

RULES = ("log", "linear")


def interpolated_temperature(
    colder_c: ArrayLike,
    warmer_c: ArrayLike,
    value_at_colder: ArrayLike,
    value_at_warmer: ArrayLike,
    limit: ArrayLike,
    *,
    rule: str = "log",
) -> Floats:
    """Give the temperature at which the line through two points meets a limit.

    Parameters
    ----------
    colder_c, warmer_c : array_like of float, shapes that broadcast
        Temperatures of the two points, different [°C].
    value_at_colder, value_at_warmer, limit : array_like of float, shapes that broadcast
        Values and limit in one unit; above zero for ``"log"``.
    rule : str
        ``"log"``: the logarithm of the property is linear in temperature; ``"linear"``: the property is.

    Returns
    -------
    ndarray of float
        Temperature [°C]; not-a-number where the two values are equal. Inside or outside the two points:
        it does not ask.

    Raises
    ------
    MeasurementError
        Where the rule is not known, the temperatures are equal, or a number cannot be used.

    Notes
    -----
    ``Tc = T1 + (T2 - T1)(y_lim - y1)/(y2 - y1)``, y the property or its logarithm.

    References
    ----------
    ASTM D7643, from memory (high): logarithm for |G*|/sin(delta), |G*| sin(delta) and S, linear for m and
    failure strain; confirmed by FHWA Turner-Fairbank data.

    Examples
    --------
    >>> round(float(interpolated_temperature(64.0, 70.0, 2.791, 1.254, 2.20)), 2)
    65.78
    """
    low, high = np.asarray(colder_c, dtype=float), np.asarray(warmer_c, dtype=float)
    if np.any(low == high):
        raise MeasurementError("critical temperature: the two temperatures are equal")
    y1, y2, end = (property_on_scale(a, rule) for a in (value_at_colder, value_at_warmer, limit))
    with np.errstate(divide="ignore", invalid="ignore"):
        share = np.where(y1 == y2, np.nan, (end - y1) / (y2 - y1))
    return np.asarray(low + (high - low) * share)


def critical_temperature_standard(
    colder_c: ArrayLike,
    warmer_c: ArrayLike,
    value_at_colder: ArrayLike,
    value_at_warmer: ArrayLike,
    limit: ArrayLike,
    standard_at_colder: ArrayLike,
    standard_at_warmer: ArrayLike,
    *,
    rule: str = "log",
    correlation: ArrayLike = 0.0,
    temperature_standard_c: ArrayLike = 0.0,
) -> Floats:
    """Give the standard uncertainty of an interpolated temperature by the linear law.

    Parameters
    ----------
    colder_c, warmer_c, value_at_colder, value_at_warmer, limit : array_like of float
        As in `interpolated_temperature`.
    standard_at_colder, standard_at_warmer : array_like of float
        Standard uncertainties of the two values, in their unit.
    rule : str
        ``"log"`` or ``"linear"``.
    correlation : array_like of float
        Between the errors of the two values, -1 to 1.
    temperature_standard_c : array_like of float
        Standard uncertainty of the temperature scale, shared by both points [°C].

    Returns
    -------
    ndarray of float
        Standard uncertainty [°C].

    Raises
    ------
    MeasurementError
        As in `interpolated_temperature`; also for a correlation outside -1 to 1.

    Notes
    -----
    With w the share of the way from the first point to the second, ``c1 = -(T2 - T1)(1 - w)/(y2 - y1)``,
    ``c2 = -(T2 - T1) w/(y2 - y1)`` and
    ``u^2 = c1^2 u1^2 + c2^2 u2^2 + 2 r c1 c2 u1 u2 + uT^2``; for ``"log"`` ``u(y) = u/value``. A wholly
    shared relative error u so moves the temperature by u over the slope, an independent one by less.

    References
    ----------
    JCGM 100:2008, 5.2.2, with the sensitivities of `interpolated_temperature`.
    """
    r = np.asarray(correlation, dtype=float)
    if not np.all(np.abs(r) <= 1.0):
        raise MeasurementError("critical temperature: a correlation must lie between -1 and 1")
    low, high = np.asarray(colder_c, dtype=float), np.asarray(warmer_c, dtype=float)
    y1, y2, end = (property_on_scale(a, rule) for a in (value_at_colder, value_at_warmer, limit))
    u1, u2 = np.asarray(standard_at_colder, dtype=float), np.asarray(standard_at_warmer, dtype=float)
    if rule == "log":
        u1, u2 = u1 / np.asarray(value_at_colder), u2 / np.asarray(value_at_warmer)
    with np.errstate(divide="ignore", invalid="ignore"):
        share = (end - y1) / (y2 - y1)
        per = (high - low) / (y2 - y1)
    first, second = per * (1.0 - share) * u1, per * share * u2
    shared = np.asarray(temperature_standard_c, dtype=float)
    return np.asarray(np.sqrt(np.maximum(first**2 + second**2 + 2.0 * r * first * second, 0.0) + shared**2))


def crossing_interval(
    colder_c: ArrayLike,
    warmer_c: ArrayLike,
    scaled_at_colder: ArrayLike,
    scaled_at_warmer: ArrayLike,
    scaled_limit: ArrayLike,
    standard_at_colder: ArrayLike,
    standard_at_warmer: ArrayLike,
    *,
    correlation: ArrayLike = 0.0,
    temperature_standard_c: ArrayLike = 0.0,
    factor: float = 1.959964,
) -> tuple[Floats, Floats]:
    """Give the interval of an interpolated temperature without taking the slope as known.

    Parameters
    ----------
    colder_c, warmer_c : array_like of float
        The two temperatures [°C].
    scaled_at_colder, scaled_at_warmer, scaled_limit : array_like of float
        Property and limit on the scale that is linear in temperature, see `property_on_scale`.
    standard_at_colder, standard_at_warmer : array_like of float
        Standard uncertainties on that scale, of normal errors.
    correlation : array_like of float
        Between the two errors.
    temperature_standard_c : array_like of float
        Standard uncertainty of the temperature scale, shared by both points [°C].
    factor : float
        Half width in standard deviations of a normal distribution.

    Returns
    -------
    tuple of ndarray of float
        Lower and upper end [°C]; not-a-number where the slope itself cannot be told from zero: the interval
        has then no end.

    Notes
    -----
    The temperatures t at which the line misses the limit by no more than `factor` times its own standard
    deviation there: with s the share of the way, ``(n - s d)^2 = k^2 [(1 - s)^2 u1^2 + s^2 u2^2
    + 2 r s (1 - s) u1 u2 + (d uT/dT)^2]``, a quadratic in s, with ``n = y_lim - y1`` and ``d = y2 - y1``.

    References
    ----------
    Fieller 1954, Journal of the Royal Statistical Society B 16, from memory (high).
    """
    low, high = np.asarray(colder_c, dtype=float), np.asarray(warmer_c, dtype=float)
    y1, y2, end, u1, u2, r, shift = (
        np.asarray(a, dtype=float)
        for a in (
            scaled_at_colder,
            scaled_at_warmer,
            scaled_limit,
            standard_at_colder,
            standard_at_warmer,
            correlation,
            temperature_standard_c,
        )
    )
    n, d, k2, span = end - y1, y2 - y1, factor**2, high - low
    square = d**2 - k2 * (u1**2 + u2**2 - 2.0 * r * u1 * u2)
    half = -n * d + k2 * (u1**2 - r * u1 * u2)
    rest = n**2 - k2 * (u1**2 + (d * shift / span) ** 2)
    with np.errstate(divide="ignore", invalid="ignore"):
        root = np.sqrt(half**2 - square * rest)
        one, two = (-half - root) / square, (-half + root) / square
    ends = np.where(square > 0.0, low + span * one, np.nan), np.where(square > 0.0, low + span * two, np.nan)
    return np.minimum(*ends), np.maximum(*ends)


def property_on_scale(values: ArrayLike, rule: str) -> Floats:
    """Give a property on the scale that is taken as linear in temperature.

    Parameters
    ----------
    values : array_like of float
        Property; above zero for ``"log"``.
    rule : str
        ``"log"`` or ``"linear"``.

    Returns
    -------
    ndarray of float
        Natural logarithm, or the values themselves.

    Raises
    ------
    MeasurementError
        Where the rule is not known or a value has no logarithm.
    """
    numbers = np.asarray(values, dtype=float)
    if rule not in RULES:
        raise MeasurementError(f"rule '{rule}' is not known; needed: {' or '.join(RULES)}")
    if rule == "linear":
        return numbers
    if np.any(numbers <= 0.0):
        raise MeasurementError(
            f"critical temperature: {np.min(numbers):g} has no logarithm; needed are values above zero"
        )
    return np.asarray(np.log(numbers))
