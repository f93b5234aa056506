"""Percent recovery against temperature as a straight line of its logit, and what it predicts elsewhere."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class RecoveryLine:
    """ln(R/(100 - R)) = level + slope (T - middle), with the covariance of level and slope.

    Attributes
    ----------
    middle_c : float
        Temperature the level belongs to [°C].
    level, slope_per_c : float
        Logit of the recovery there; slope [1/°C].
    covariance : tuple of float
        Variance of the level, covariance, variance of the slope.
    variation_percent : float
        Coefficient of variation of one determination [%].
    coldest_c, warmest_c : float
        Tested temperatures at the ends [°C].
    points : int
        Determinations the line was drawn through.
    """

    middle_c: float
    level: float
    slope_per_c: float
    covariance: tuple[float, float, float]
    variation_percent: float
    coldest_c: float
    warmest_c: float
    points: int


@dataclass(frozen=True, slots=True)
class PredictedRecovery:
    """What a line says of recovery at one temperature.

    Attributes
    ----------
    temperature_c : float
        Temperature [°C].
    percent_recovery : float
        Median of what a test would give there [%].
    standard_logit : float
        Standard deviation of its logit: line, scatter of a test and temperature together.
    low, high : float
        Ends of the two-sided 95 % prediction interval [%].
    extrapolated_c : float
        How far outside the tested temperatures [°C]; 0 inside.
    """

    temperature_c: float
    percent_recovery: float
    standard_logit: float
    low: float
    high: float
    extrapolated_c: float
