"""How sure a critical temperature is: by the linear law, and by simulation where that law fails."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from resile.compute.statistics.critical.limit_crossing import (
    critical_temperature_standard,
    crossing_interval,
    interpolated_temperature,
    property_on_scale,
)
from resile.compute.statistics.uncertainty.coverage import coverage_factor
from resile.compute.statistics.uncertainty.propagation import (
    linear_method_holds,
    numerical_tolerance,
    simulate_propagation,
)
from resile.errors import MeasurementError
from resile.records.critical_temperature import CriticalTemperature
from resile.records.propagation import InputQuantity

Floats = NDArray[np.float64]

NORMAL_95 = 1.959964
"""Half width of the central 95 % of a normal distribution, in standard deviations."""


def with_uncertainty(
    found: CriticalTemperature,
    *,
    temperature_standard_c: float = 0.0,
    degrees_of_freedom: tuple[float | None, float | None] = (None, None),
    distribution: str = "log-normal",
    rng: np.random.Generator | None = None,
    draws: int = 100_000,
    only_where_needed: bool = False,
) -> CriticalTemperature:
    """Add its uncertainty to a critical temperature.

    Parameters
    ----------
    found : CriticalTemperature
        With a temperature, and two points with their standard uncertainties.
    temperature_standard_c : float
        Standard uncertainty of the temperature scale, shared by both points [°C].
    degrees_of_freedom : tuple of float or None
        Of the standard uncertainties of the two points, None for infinite.
    distribution : str
        Shape of the errors of the values for the simulation: ``"log-normal"`` or ``"normal"``.
    rng : numpy.random.Generator or None
        Draws for the simulation; None for the linear law alone.
    draws : int
        How many.
    only_where_needed : bool
        Draw only where the linear interval is not the closed one of `crossing_interval`.

    Returns
    -------
    CriticalTemperature
        The same temperature with standard uncertainty, degrees of freedom and, where drawn, interval.

    Raises
    ------
    MeasurementError
        Where draws reach below zero and the rule takes logarithms.

    Notes
    -----
    Degrees of freedom by Welch and Satterthwaite from the parts of the two values. The linear law holds where
    both ends of its 95 % interval agree within half a unit of the first significant digit of u (JCGM
    101:2008, 8.1). For normal errors on the scale of the rule the closed interval is the one a simulation
    approaches, so most temperatures need no draws. With few degrees of freedom the values are drawn k/2
    times as wide, so that a simulated interval is no narrower than Student's t asks for (own choice: JCGM
    101:2008, 6.4.9, draws Student's t, which has no variance up to 2 degrees of freedom).
    """
    standard = _standard(found, temperature_standard_c)
    apart, shared = (_standard(replace(found, correlation=r), temperature_standard_c) for r in (0.0, 1.0))
    effective = _effective(found, standard, degrees_of_freedom)
    found = replace(
        found,
        standard=standard,
        standard_range=(apart, shared),
        degrees_of_freedom=effective,
        coverage_factor=2.0 if effective is None else float(coverage_factor(max(effective, 1.0))),
    )
    if rng is None or not standard:
        return found
    stretched = _stretched(found, temperature_standard_c)
    if only_where_needed and _straight_enough(stretched, temperature_standard_c, distribution):
        return replace(found, linear_holds=True)
    drawn = _simulated(stretched, temperature_standard_c, distribution, rng, draws)
    return replace(
        found, simulated=drawn.simulated, linear_holds=drawn.linear_holds, reversed_share=drawn.reversed_share
    )


def _standard(
    found: CriticalTemperature, offset: float, *, shares: tuple[float, float] = (1.0, 1.0)
) -> float:
    one, two = found.points
    return float(
        critical_temperature_standard(
            one.temperature_c,
            two.temperature_c,
            one.value,
            two.value,
            found.limit,
            shares[0] * (one.standard or 0.0),
            shares[1] * (two.standard or 0.0),
            rule=found.rule,
            correlation=found.correlation,
            temperature_standard_c=offset,
        )
    )


def _stretched(found: CriticalTemperature, offset: float) -> CriticalTemperature:
    widen = found.coverage_factor / 2.0
    points = tuple(replace(point, standard=widen * (point.standard or 0.0)) for point in found.points)
    wide = replace(found, points=points)
    return replace(wide, standard=_standard(wide, offset))


def _effective(
    found: CriticalTemperature, standard: float, freedom: tuple[float | None, float | None]
) -> float | None:
    parts = [_standard(found, 0.0, shares=shares) for shares in ((1.0, 0.0), (0.0, 1.0))]
    below = sum(part**4 / f for part, f in zip(parts, freedom, strict=True) if f is not None)
    return standard**4 / below if below > 0.0 else None


def _straight_enough(found: CriticalTemperature, offset: float, distribution: str) -> bool:
    """Tell whether the linear law gives the interval that normal errors on the scale give exactly."""
    at, standard = found.temperature_c, found.standard
    if at is None or standard is None or distribution != _SHAPES[found.rule]:
        return False
    one, two = found.points
    doubts = [point.standard or 0.0 for point in (one, two)]
    if found.rule == "log":
        doubts = [math.sqrt(math.log1p((u / p.value) ** 2)) for u, p in zip(doubts, (one, two), strict=True)]
    scaled = [property_on_scale(y, found.rule) for y in (one.value, two.value, found.limit)]
    lower, upper = crossing_interval(
        one.temperature_c,
        two.temperature_c,
        *scaled,
        *doubts,
        correlation=found.correlation,
        temperature_standard_c=offset,
        factor=NORMAL_95,
    )
    if not (math.isfinite(float(lower)) and math.isfinite(float(upper))):
        return False
    off = max(abs(at - NORMAL_95 * standard - float(lower)), abs(at + NORMAL_95 * standard - float(upper)))
    return off <= float(numerical_tolerance(standard))


_SHAPES = {"log": "log-normal", "linear": "normal"}
"""Distribution of the values whose errors are normal on the scale of the rule."""


def _simulated(
    found: CriticalTemperature, offset: float, distribution: str, rng: np.random.Generator, draws: int
) -> CriticalTemperature:
    one, two = found.points
    inputs = (
        InputQuantity("colder value", one.value, one.standard or 0.0, distribution),
        InputQuantity("warmer value", two.value, two.standard or 0.0, distribution),
        InputQuantity("temperature", 0.0, offset),
    )
    between = np.eye(3)
    between[0, 1] = between[1, 0] = found.correlation
    falling = one.value > two.value
    reversed_draws = 0

    def temperature(first: Floats, second: Floats, shift: Floats) -> Floats:
        nonlocal reversed_draws
        reversed_draws = int(np.count_nonzero((first > second) != falling))
        if found.rule == "log" and min(float(first.min()), float(second.min())) <= 0.0:
            raise MeasurementError(
                "critical temperature: the uncertainty reaches below zero; draw log-normal values"
            )
        return shift + interpolated_temperature(
            one.temperature_c, two.temperature_c, first, second, found.limit, rule=found.rule
        )

    (result,) = simulate_propagation(temperature, inputs, rng=rng, draws=draws, correlation=between)
    assert found.temperature_c is not None
    assert found.standard is not None
    holds = linear_method_holds(found.temperature_c, found.standard, result)
    return replace(found, simulated=result, linear_holds=holds, reversed_share=reversed_draws / draws)
