"""A fitted master curve with its parameters moved, and what the doubt of the fit makes of any number read
from it.

Use `read_with_doubt` for a number that is a function of the curve.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from resile.compute.rheology.master_curve.forms.fitted_shift import free_shift_spread
from resile.compute.rheology.master_curve.forms.shape_slopes import shape_slopes
from resile.compute.rheology.master_curve.forms.shifts import shift_slopes
from resile.compute.statistics.uncertainty.coverage import coverage_factor
from resile.records.models.curve_reading import CurveReading, ReadingStanding
from resile.records.models.master_curve import CurveShift, MasterCurve

Floats = NDArray[np.float64]

PROBABILITY = 0.95
_ROUNDING = 1e-9
_SLOPE_C = 0.05
_COLDER_C, _WARMER_C, _GRID_C = 70.0, 40.0, 0.1
"""How far below and above the measured temperatures a temperature is sought, and the step [°C]."""
_STEPS = (0.25, 0.02, 0.001)
"""Steps of the central difference in standard errors: the first that leads nowhere out of range. It is far
above the rounding of a spectrum; the smaller ones serve a direction that is hardly known at all."""


@dataclass(frozen=True, slots=True)
class MovedCurve:
    """A master curve with parameters of its own choice.

    Attributes
    ----------
    curve : MasterCurve
        The curve as fitted.
    shape_parameters, shift_parameters : ndarray of float
        In the order of the shape and of the shift.
    log_modulus_off, phase_off_deg : float
        What is added to ``log10 |G*|`` and to the phase angle [°]: the misfit of the shape, moved.
    straight : bool
        True for a shift that goes on in a straight line beyond the coldest and the warmest test, whatever its
        form: what the form itself contributes to an extrapolation is seen by the difference.
    """

    curve: MasterCurve
    shape_parameters: Floats
    shift_parameters: Floats
    log_modulus_off: float = 0.0
    phase_off_deg: float = 0.0
    straight: bool = False

    @classmethod
    def as_fitted(cls, curve: MasterCurve, *, straight: bool = False) -> MovedCurve:
        """Give a curve with nothing moved."""
        return cls(
            curve,
            np.array([one.value for one in curve.parameters]),
            np.array([one.value for one in curve.shift_parameters]),
            straight=straight,
        )

    def log_shift(self, temperature_c: ArrayLike) -> Floats:
        """Give ``log10 aT`` at temperatures (n,) [°C]."""
        temperature = np.atleast_1d(np.asarray(temperature_c, dtype=float))
        if not self.straight:
            return self._form(temperature)
        held = np.clip(temperature, *self._measured_c())
        slope = (self._form(held + _SLOPE_C) - self._form(held - _SLOPE_C)) / (2.0 * _SLOPE_C)
        return np.asarray(self._form(held) + slope * (temperature - held))

    def _form(self, temperature: Floats) -> Floats:
        """Give the shift by its form; not-a-number where it has none, at the pole and below."""
        known = np.isfinite(temperature)
        if self.curve.shift is CurveShift.WLF:
            known &= temperature > self.curve.reference_c - self.shift_parameters[1]
        found = np.full(len(temperature), np.nan)
        if known.any():
            found[known], _ = shift_slopes(
                self.curve.shift,
                temperature[known],
                self.shift_parameters,
                reference_c=self.curve.reference_c,
                nodes_c=self.curve.nodes_c,
            )
        return found

    def reduced(self, log_frequency: ArrayLike) -> tuple[Floats, Floats]:
        """Give modulus [kPa] and phase angle [°] at ``log10`` reduced frequencies (n,), misfit and all."""
        seen = shape_slopes(
            self.curve.shape, np.atleast_1d(np.asarray(log_frequency, dtype=float)), self.shape_parameters
        )
        return 10.0 ** (seen.log_modulus + self.log_modulus_off), np.clip(
            seen.phase_deg + self.phase_off_deg, 1e-3, 90.0 - 1e-3
        )

    def without_misfit(self) -> MovedCurve:
        """Give the same curve with nothing added to it."""
        return replace(self, log_modulus_off=0.0, phase_off_deg=0.0)

    def at(self, temperature_c: float, angular_frequency_rad_s: float) -> tuple[float, float]:
        """Give modulus [kPa] and phase angle [°] at one temperature and frequency."""
        modulus, phase = self.reduced(np.log10(angular_frequency_rad_s) + self.log_shift(temperature_c))
        return float(modulus[0]), float(phase[0])

    def temperatures_of_shift(self, log_shifts: ArrayLike) -> Floats:
        """Give the temperature of each shift (n,) [°C]; not-a-number where it lies out of reach of tests."""
        coldest, warmest = self._measured_c()
        grid = np.arange(coldest - _COLDER_C, warmest + _WARMER_C, _GRID_C)
        with np.errstate(divide="ignore", invalid="ignore"):
            shifts = self.log_shift(grid)
        # Below a pole the form has no meaning: only the falling branch that reaches the warm end is kept.
        turns = np.flatnonzero(~(np.diff(shifts) < 0.0))
        first = int(turns[-1]) + 1 if len(turns) else 0
        wanted = np.asarray(log_shifts, dtype=float)
        found = np.interp(-wanted, -shifts[first:], grid[first:], left=np.nan, right=np.nan)
        return np.where(np.isfinite(wanted), found, np.nan)

    def standing(
        self, temperature_c: float, angular_frequency_rad_s: float
    ) -> tuple[ReadingStanding, float, float]:
        """Tell whether a condition lies within the tests, and how many decades and °C outside."""
        place = math.log10(angular_frequency_rad_s) + float(self.log_shift(temperature_c)[0])
        low = math.log10(self.curve.lowest_reduced_frequency_rad_s)
        high = math.log10(self.curve.highest_reduced_frequency_rad_s)
        coldest, warmest = self._measured_c()
        decades = max(0.0, low - place, place - high)
        apart = max(0.0, coldest - temperature_c, temperature_c - warmest)
        inside = decades < _ROUNDING and apart < _ROUNDING
        return (ReadingStanding.INTERPOLATED if inside else ReadingStanding.EXTRAPOLATED), decades, apart

    def temperature_reading(
        self, name: str, read: tuple[float, float, float, float], angular_frequency_rad_s: float
    ) -> CurveReading:
        """Put a temperature, its interval and that of a straight shift [°C] together with where it stands."""
        value, lower, upper, straight = read
        if not math.isfinite(value):
            return CurveReading(
                name,
                None,
                "°C",
                ReadingStanding.EXTRAPOLATED,
                angular_frequency_rad_s=angular_frequency_rad_s,
                note="the curve does not come there within reach of the tests",
            )
        standing, decades, apart = self.standing(value, angular_frequency_rad_s)
        known = math.isfinite(upper - lower)
        return CurveReading(
            name,
            value,
            "°C",
            standing,
            lower=lower if known else None,
            upper=upper if known else None,
            temperature_c=value,
            angular_frequency_rad_s=angular_frequency_rad_s,
            beyond_decades=decades,
            beyond_c=apart,
            straight_shift_value=straight if apart and math.isfinite(straight) else None,
        )

    def _measured_c(self) -> tuple[float, float]:
        isotherms = self.curve.isotherms
        return (
            min(isotherm.lowest_temperature_c for isotherm in isotherms),
            max(isotherm.highest_temperature_c for isotherm in isotherms),
        )


def read_with_doubt(
    curve: MasterCurve, quantity: Callable[[MovedCurve], Floats]
) -> tuple[Floats, Floats, Floats]:
    """Give numbers that are read from a fitted curve, and their interval.

    Parameters
    ----------
    curve : MasterCurve
        The curve.
    quantity : callable
        From a curve to numbers, shape (k,), on the scale on which their interval is symmetric.

    Returns
    -------
    tuple of ndarray of float, each of shape (k,)
        Value, lower and upper end of the 95 % interval.

    Notes
    -----
    ``u² = J C J' + (dq/da)² sm² + (dq/dd)² sd²``: C is the covariance of the fit, J the slopes of the
    number by its parameters, sm and sd are the root-mean-square misfits of modulus and phase angle, which
    stand for what the shape cannot follow. Slopes by central differences over a quarter of a standard
    error, along directions in which the parameters do not hang together. What an extrapolated shift or
    shape does wrong is in none.

    References
    ----------
    Law of propagation of uncertainty, JCGM 100:2008, 5.2. Taking the misfit of the fit as a doubt of each
    number read from it is our own choice.
    """
    values, covariance, skipped = _parameters(curve)
    count, spread = len(curve.parameters) - skipped, _shift_spread(curve)

    def moved(change: Floats) -> MovedCurve:
        at = values + change[:-2]
        shape = np.concatenate([[one.value for one in curve.parameters[:skipped]], at[:count]])
        return MovedCurve(curve, shape, spread @ at[count:], float(change[-2]), float(change[-1]))

    centre = np.asarray(quantity(moved(np.zeros(len(values) + 2))), dtype=float)
    variance = np.zeros_like(centre)
    with np.errstate(all="ignore"):  # a parameter that is hardly known leads out of every range: no interval
        for direction in _directions(covariance, curve.modulus_rms_decades, curve.phase_rms_deg):
            variance += _slope(lambda step: quantity(moved(step)), direction, centre) ** 2
    factor = float(coverage_factor(max(1, curve.fit.degrees_of_freedom), probability=PROBABILITY))
    half = factor * np.sqrt(variance)
    return centre, centre - half, centre + half


def _slope(quantity: Callable[[Floats], Floats], direction: Floats, centre: Floats) -> Floats:
    """Give the change of the numbers for one standard error along a direction."""
    slope = np.zeros_like(centre)
    if not direction.any():
        return slope
    for size in _STEPS:
        slope = (quantity(size * direction) - quantity(-size * direction)) / (2.0 * size)
        if np.isfinite(slope[np.isfinite(centre)]).all():
            break
    return slope


def _directions(covariance: Floats, modulus_rms: float, phase_rms: float) -> Floats:
    """Give steps of one standard error along directions that do not hang together, shape (p + 2, p + 2).

    Parameters that only their sum is known of must move together, or each would leave the range of the tests.
    """
    standards = np.sqrt(np.maximum(np.diag(covariance), 0.0))
    scale = np.where(standards > 0.0, standards, 1.0)
    shares, turned = np.linalg.eigh(covariance / np.outer(scale, scale))
    own = (turned * np.sqrt(np.maximum(shares, 0.0))).T * scale
    return np.block(
        [
            [own, np.zeros((len(own), 2))],
            [np.zeros((2, len(own))), np.diag([modulus_rms, phase_rms])],
        ]
    )


def _parameters(curve: MasterCurve) -> tuple[Floats, Floats, int]:
    """Give the numbers that the fit moved, their covariance, and how many of the shape were given."""
    skipped = 0 if curve.parameters[0].fitted else 1
    return (
        np.asarray(curve.fit.values),
        np.nan_to_num(np.asarray(curve.fit.covariance), nan=0.0, posinf=0.0, neginf=0.0),
        skipped,
    )


def _shift_spread(curve: MasterCurve) -> Floats:
    if curve.shift is CurveShift.FREE:
        return free_shift_spread(curve.nodes_c, reference_c=curve.reference_c)
    return np.eye(len(curve.shift_parameters))
