"""What a bending beam would show, estimated from a master curve in shear.

A beam creeps: its stiffness is ``3/J(t)``, by exact conversion through the spectrum of the fitted curve;
the rules of thumb stand beside it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from resile.compute.rheology.master_curve.forms.model_binder import TENSION_TO_SHEAR
from resile.compute.rheology.master_curve.forms.moved_curve import MovedCurve, read_with_doubt
from resile.compute.rheology.master_curve.spectra.interconversion import retardation_from_relaxation
from resile.compute.rheology.master_curve.spectra.modes import (
    creep_compliance_of_modes,
    creep_compliance_slope,
    relaxation_modulus,
    relaxation_modulus_slope,
)
from resile.compute.rheology.master_curve.spectra.spectrum import spectrum_of_curve
from resile.errors import MeasurementError
from resile.records.models.curve_reading import BeamCondition, BeamEstimate, CurveReading, SmallPlateCondition
from resile.records.models.master_curve import MasterCurve

Floats = NDArray[np.float64]

_LOG2 = math.log10(2.0)
_GLASSY_DECADES, _LIQUID_DECADES = 9.0, 2.0
"""Decades of frequency above and below one over the time that the spectrum is taken from."""
_PER_DECADE = 6
_STIFFER_DECADES, _SOFTER_DECADES, _MOST_DECADES = 5.0, 9.0, 16.0
"""Decades of time in which a beam is sought: before one over the highest reduced frequency measured, and
after it at least and at most; between these, as far as was measured."""


def rheological_index_from_beam(
    creep_stiffness_mpa: ArrayLike, m_value: ArrayLike, *, glassy_stiffness_mpa: float = 3000.0
) -> Floats:
    """Give the rheological index from stiffness and m-value of a beam.

    Parameters
    ----------
    creep_stiffness_mpa : array_like of float, shape (n,) or scalar
        Stiffness, above zero and below the glassy one [MPa].
    m_value : array_like of float, shape that broadcasts
        m-value at the same time, between 0 and 1.
    glassy_stiffness_mpa : float
        Stiffness of the glass, three times 1 GPa [MPa].

    Returns
    -------
    ndarray of float
        Rheological index, R.

    Raises
    ------
    MeasurementError
        Where a stiffness or an m-value lies outside.

    Notes
    -----
    ``R = log10(2) log10(S/3000)/log10(1 - m)``: the one-point relation of Christensen and Anderson with
    ``S = 3 |G*|`` and ``m = delta/90``, and exact under these.

    References
    ----------
    NCHRP Report 982, from memory (high).

    Examples
    --------
    >>> round(float(rheological_index_from_beam(300.0, 0.3)), 4)
    1.9434
    """
    stiffness, m = np.asarray(creep_stiffness_mpa, dtype=float), np.asarray(m_value, dtype=float)
    if not np.all((stiffness > 0.0) & (stiffness < glassy_stiffness_mpa)):
        raise MeasurementError(
            f"rheological index: every stiffness must lie between 0 and {glassy_stiffness_mpa:g} MPa"
        )
    if not np.all((m > 0.0) & (m < 1.0)):
        raise MeasurementError("rheological index: every m-value must lie between 0 and 1")
    return np.asarray(_LOG2 * np.log10(stiffness / glassy_stiffness_mpa) / np.log10(1.0 - m))


def read_beam(
    curve: MasterCurve, *, beam: BeamCondition, small_plate: SmallPlateCondition
) -> tuple[tuple[BeamEstimate, ...], tuple[CurveReading, ...]]:
    """Estimate what a beam, and a 4 mm plate, would show.

    Parameters
    ----------
    curve : MasterCurve
        The curve, in shear.
    beam : BeamCondition
        Loading time, test temperatures, limits, and the range of the apparatus.
    small_plate : SmallPlateCondition
        What stands for the limits of the beam on 4 mm plates.

    Returns
    -------
    tuple of BeamEstimate
        The warmest first; temperatures at which the stiffness lies outside the range of the apparatus left
        out.
    tuple of CurveReading
        ``beam_stiffness_temperature``, ``beam_m_value_temperature`` and the first less the second
        (``beam_temperature_difference``); ``small_plate_modulus_temperature`` and
        ``small_plate_slope_temperature``. All are test temperatures [°C].

    Notes
    -----
    ``S(t) = 3/J(t)``, ``m = d ln J/d ln t``, J by exact conversion of the relaxation spectrum of the curve,
    at the reduced time ``t/aT``. Beside it ``3 G(t)``, and by rule of thumb ``3 |G*|(1/t)`` with ``m =
    delta/90``. The factor 3 holds for a material that keeps its volume. The misfit of the curve counts as a
    factor of the stiffness and, over 90°, as a part of the m-value.

    References
    ----------
    Beam and shear: SHRP-A-369, from memory (high). 4 mm plates: Sui and Farrar 2011-12, from memory (medium).
    """
    temperatures = np.sort(np.asarray(beam.temperatures_c, dtype=float))[::-1]
    count, log_time = len(temperatures), math.log10(beam.loading_time_s)
    sought = _sought_times(curve)

    def everything(moved: MovedCurve) -> Floats:
        at = _Answer.of(moved, log_time - moved.log_shift(temperatures), sought)
        limits = at.temperatures(moved, sought, beam, small_plate)
        return np.array([*np.log(at.stiffness_mpa[:count]), *at.m_value[:count], *limits])

    value, lower, upper = read_with_doubt(curve, everything)
    straight = everything(MovedCurve.as_fitted(curve, straight=True))
    limit_names = (
        ("beam_stiffness_temperature", beam.loading_time_s),
        ("beam_m_value_temperature", beam.loading_time_s),
        ("beam_temperature_difference", beam.loading_time_s),
        ("small_plate_modulus_temperature", small_plate.loading_time_s),
        ("small_plate_slope_temperature", small_plate.loading_time_s),
    )
    fitted = MovedCurve.as_fitted(curve)
    ends = zip(*(row[2 * count :].tolist() for row in (value, lower, upper, straight)), strict=True)
    readings = [
        fitted.temperature_reading(name, read, 1.0 / time)
        for (name, time), read in zip(limit_names, ends, strict=True)
    ]
    readings[2] = _of_both(*readings[:3])
    rows = np.stack([value, lower, upper, straight])
    estimates = _estimates(curve, beam, temperatures, np.exp(rows[:, :count]), rows[:, count : 2 * count])
    return estimates, tuple(readings)


@dataclass(frozen=True, slots=True)
class _Answer:
    """What the material of a curve does at reduced times, by exact conversion of its spectrum."""

    stiffness_mpa: Floats
    m_value: Floats
    relaxation_mpa: Floats
    relaxation_slope: Floats

    @classmethod
    def of(cls, moved: MovedCurve, log_times: Floats, sought: Floats) -> _Answer:
        """Take the spectrum from the bare curve: its misfit is a factor of the stiffness and a part of the
        slope.

        Times out of reach of those sought give not-a-number.
        """
        low, high = -float(sought.max()) - _LIQUID_DECADES, -float(sought.min()) + _GLASSY_DECADES
        places = np.linspace(low, high, round((high - low) * _PER_DECADE) + 1)
        relaxation = spectrum_of_curve(10.0**places, *moved.without_misfit().reduced(places))
        creep = retardation_from_relaxation(relaxation)
        wanted = np.concatenate([log_times, sought])
        wanted = np.where((wanted >= sought.min()) & (wanted <= sought.max()), wanted, np.nan)
        times = 10.0 ** np.where(np.isfinite(wanted), wanted, 0.0)
        lost = np.where(np.isfinite(wanted), 0.0, np.nan)
        factor, added = 10.0**moved.log_modulus_off + lost, moved.phase_off_deg / 90.0 + lost
        return cls(
            factor * TENSION_TO_SHEAR / creep_compliance_of_modes(creep, times) / 1000.0,
            added + creep_compliance_slope(creep, times),
            factor * TENSION_TO_SHEAR * relaxation_modulus(relaxation, times) / 1000.0,
            added + relaxation_modulus_slope(relaxation, times),
        )

    def temperatures(
        self, moved: MovedCurve, sought: Floats, beam: BeamCondition, small_plate: SmallPlateCondition
    ) -> tuple[float, ...]:
        """Give the temperatures at which the answers at the times sought come to their limits."""
        tail = slice(-len(sought), None)
        plate_mpa = TENSION_TO_SHEAR * small_plate.relaxation_modulus_mpa
        times = (beam.loading_time_s, beam.loading_time_s, *[small_plate.loading_time_s] * 2)
        places = (
            _crossing(sought, -self.stiffness_mpa[tail], -beam.stiffness_limit_mpa),
            _crossing(sought, self.m_value[tail], beam.m_value_limit),
            _crossing(sought, -self.relaxation_mpa[tail], -plate_mpa),
            _crossing(sought, self.relaxation_slope[tail], small_plate.slope),
        )
        stiffness, slope, modulus, relaxing = moved.temperatures_of_shift(np.log10(times) - places).tolist()
        return stiffness, slope, stiffness - slope, modulus, relaxing


def _sought_times(curve: MasterCurve) -> Floats:
    """Give ``log10`` of the reduced times in which the limits of a beam are sought: about the stiff end."""
    shortest = -math.log10(curve.highest_reduced_frequency_rad_s)
    longest = -math.log10(curve.lowest_reduced_frequency_rad_s)
    softer = min(max(_SOFTER_DECADES, longest - shortest), _MOST_DECADES)
    return np.asarray(np.arange(shortest - _STIFFER_DECADES, shortest + softer, 0.1))


def _crossing(log_times: Floats, rising: Floats, limit: float) -> float:
    """Give the first place at which a rising row comes to a limit; not-a-number where it does not."""
    passes = np.flatnonzero((rising[:-1] < limit) & (rising[1:] >= limit))
    if not len(passes):
        return math.nan
    at = int(passes[0])
    share = (limit - rising[at]) / (rising[at + 1] - rising[at])
    return float(log_times[at] + share * (log_times[at + 1] - log_times[at]))


def _estimates(
    curve: MasterCurve, beam: BeamCondition, temperatures: Floats, stiffness: Floats, m_value: Floats
) -> tuple[BeamEstimate, ...]:
    """Put the estimates together; stiffness and m-value are as in `_with_ends`, shape (4, n)."""
    fitted, sought = MovedCurve.as_fitted(curve), _sought_times(curve)
    log_times = math.log10(beam.loading_time_s) - fitted.log_shift(temperatures)
    answer = _Answer.of(fitted, log_times, sought)
    modulus, phase = fitted.reduced(-log_times)
    found = []
    for place in np.flatnonzero(
        (stiffness[0] >= beam.lowest_stiffness_mpa) & (stiffness[0] <= beam.highest_stiffness_mpa)
    ).tolist():
        temperature, m = float(temperatures[place]), float(m_value[0, place])
        index = float(rheological_index_from_beam(stiffness[0, place], m)) if 0.0 < m < 1.0 else None
        standing = fitted.standing(temperature, 1.0 / beam.loading_time_s)
        apart = standing[2] > 0.0
        found.append(
            BeamEstimate(
                temperature,
                beam.loading_time_s,
                *_with_ends(stiffness[:, place]),
                *_with_ends(m_value[:, place]),
                float(answer.relaxation_mpa[place]),
                float(TENSION_TO_SHEAR * modulus[place] / 1000.0),
                float(phase[place] / 90.0),
                index,
                *standing,
                *(float(rows[3, place]) if apart else None for rows in (stiffness, m_value)),
            )
        )
    return tuple(found)


def _with_ends(rows: Floats) -> tuple[float, float | None, float | None]:
    """Give value and interval out of value, lower and upper end, and value with a straight shift."""
    value, lower, upper, _ = rows.tolist()
    known = math.isfinite(upper - lower)
    return value, (lower if known else None), (upper if known else None)


def _of_both(first: CurveReading, second: CurveReading, difference: CurveReading) -> CurveReading:
    """Let a difference stand where the worse of the two stands: it is at no temperature of its own."""
    worse = max(first, second, key=lambda one: (one.beyond_c, one.beyond_decades))
    return replace(
        difference,
        standing=worse.standing,
        beyond_decades=worse.beyond_decades,
        beyond_c=worse.beyond_c,
        temperature_c=None,
    )
