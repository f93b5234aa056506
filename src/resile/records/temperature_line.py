"""A property against temperature as a straight line of its logarithm, and what it predicts elsewhere."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class SlopePrior:
    """What is known beforehand of how a property changes with temperature.

    Attributes
    ----------
    kind : str
        Kind of binder it holds for.
    slope_per_c : float
        Change of the natural logarithm by one degree [1/°C].
    standard_per_c : float
        Its standard uncertainty [1/°C].
    source : str
        Where it comes from, with its evidence mark.
    """

    kind: str
    slope_per_c: float
    standard_per_c: float
    source: str


@dataclass(frozen=True, slots=True)
class TemperatureLine:
    """ln(property) = level + slope (T - middle), with the covariance of level and slope.

    Attributes
    ----------
    middle_c : float
        Temperature the level belongs to [°C].
    level, slope_per_c : float
        Natural logarithm of the property there; slope [1/°C].
    covariance : tuple of float
        Variance of the level, covariance, variance of the slope.
    scatter : float
        Standard deviation of one determination about the line, as natural logarithm.
    degrees_of_freedom : float
        Of the scatter; infinity where it was stated, not estimated.
    coldest_c, warmest_c : float
        Tested temperatures at the ends [°C].
    points : int
        Determinations the line was drawn through.
    prior : SlopePrior or None
        What the slope rests on where one temperature was tested, or what was weighed in.
    """

    middle_c: float
    level: float
    slope_per_c: float
    covariance: tuple[float, float, float]
    scatter: float
    degrees_of_freedom: float
    coldest_c: float
    warmest_c: float
    points: int
    prior: SlopePrior | None = None


@dataclass(frozen=True, slots=True)
class PredictedValue:
    """What a line says of one temperature that was not tested, or was.

    Attributes
    ----------
    temperature_c : float
        Temperature [°C].
    value : float
        Median of what a test would give there, in the unit of the property.
    standard_log : float
        Standard deviation of its natural logarithm: line, scatter of a test and temperature together.
    degrees_of_freedom : float
        Of that deviation; infinity where it was stated.
    low, high : float
        Ends of the two-sided 95 % prediction interval.
    extrapolated_c : float
        How far outside the tested temperatures [°C]; 0 inside.
    """

    temperature_c: float
    value: float
    standard_log: float
    degrees_of_freedom: float
    low: float
    high: float
    extrapolated_c: float
