"""A whole linear amplitude sweep: its two parts told apart, and the fatigue laws that follow."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from itertools import product

import numpy as np
from numpy.typing import ArrayLike, NDArray

from resile.compute.rheology.damage.damage_growth import damage_growth
from resile.compute.rheology.damage.fatigue_interval import DamageInput, fatigue_law
from resile.compute.rheology.damage.row_scatter import gathered_rows, row_scatter
from resile.errors import MeasurementError
from resile.records.models.amplitude_sweep import (
    AmplitudeSweep,
    DamageForm,
    DamagePoint,
    ExponentConvention,
    FailureRule,
    FatigueLaw,
    ModulusSlope,
)

Floats = NDArray[np.float64]

STRAINS_PERCENT = (2.5, 5.0)
"""Strains at which cycles to failure are usually given: AASHTO T 391, from memory (high)."""
LOSS_AT_FAILURE = 0.35
"""Share of the initial modulus lost at failure in the older rule: TP 101-12, from memory (high)."""
SWEEP_S = 310.0
"""Length of the amplitude part, 3100 cycles at 10 Hz: TP 101-14, from memory (high)."""
SWEPT_STRAIN = 0.299
"""Rise of the strain over that length, from 0.1 to 30 % [ratio]: as above."""
_KPA_IN_MPA = 1000.0
_SAME_FREQUENCY = 1.02
_RISE_OF_A_SWEEP = 10.0
_PEAK_FALL = 0.98
_PEAK_SCATTER = 3.0
_NORMALISED = (DamageForm.MODULUS_RATIO, FailureRule.PEAK_STRESS)
_READINGS = (
    _NORMALISED,
    (DamageForm.MODULUS_RATIO, FailureRule.LOSS_OF_35_PERCENT),
    (DamageForm.LOSS_MODULUS, FailureRule.LOSS_OF_35_PERCENT),
)


@dataclass(frozen=True, slots=True)
class AmplitudeRows:
    """The amplitude part of a record.

    Attributes
    ----------
    time_s : ndarray of float, shape (n,)
        Rising [s].
    strain, stress_kpa : ndarray of float, shape (n,)
        Amplitudes [ratio] and [kPa].
    complex_modulus, phase_angle_deg : ndarray of float, shape (n,)
        |G*| [kPa] and phase angle [°].
    frequency_hz, temperature_c : float
        Of the part [Hz] and [°C].
    """

    time_s: Floats
    strain: Floats
    stress_kpa: Floats
    complex_modulus: Floats
    phase_angle_deg: Floats
    frequency_hz: float
    temperature_c: float


def part_amplitude_sweep(
    angular_frequency_rad_s: ArrayLike, strain: ArrayLike
) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Tell the rows of the frequency part and of the amplitude part of a record apart.

    Parameters
    ----------
    angular_frequency_rad_s, strain : array_like of float, shape (n,)
        Of the rows in the order of the test [rad/s] and [ratio].

    Returns
    -------
    frequency_rows : ndarray of int
        Rows outside the amplitude part; empty where there is only that.
    amplitude_rows : ndarray of int
        The longest stretch at one frequency (within 2 %) along which the strain grows tenfold or more; empty
        where there is none.

    Raises
    ------
    MeasurementError
        Where the columns differ in length.
    """
    frequency, amplitude = (np.asarray(a, dtype=float) for a in (angular_frequency_rad_s, strain))
    if frequency.ndim != 1 or frequency.shape != amplitude.shape:
        raise MeasurementError("amplitude sweep: frequency and strain must be columns of one length")
    rows = np.arange(frequency.size)
    with np.errstate(divide="ignore", invalid="ignore"):
        moved = np.abs(np.log(frequency[1:] / frequency[:-1])) > math.log(_SAME_FREQUENCY)
    found = rows[:0]
    for stretch in np.split(rows, np.flatnonzero(moved) + 1):
        if stretch.size < 2 or not np.all(amplitude[stretch] > 0.0):
            continue
        grows = amplitude[stretch[-1]] >= _RISE_OF_A_SWEEP * amplitude[stretch[0]]
        if grows and stretch.size > found.size:
            found = stretch
    return np.setdiff1d(rows, found), found


def nominal_sweep_time(strain: ArrayLike) -> Floats:
    """Give the time of each row of a sweep of the usual length, where the record has none.

    Parameters
    ----------
    strain : array_like of float, shape (n,)
        Strain amplitude [ratio], rising from row to row.

    Returns
    -------
    ndarray of float, shape (n,)
        Time since the first row [s].

    Raises
    ------
    MeasurementError
        Where the strain does not rise.

    Notes
    -----
    The strain rises in a straight line from 0.1 to 30 % over 310 s (TP 101-14, from memory, high); a sweep
    that ended early is given the same rate.

    Examples
    --------
    >>> [round(t, 3) for t in nominal_sweep_time([0.001, 0.1505, 0.3]).tolist()]
    [0.0, 155.0, 310.0]
    """
    amplitude = np.asarray(strain, dtype=float)
    if amplitude.ndim != 1 or amplitude.size < 2 or not np.all(np.diff(amplitude) > 0.0):
        raise MeasurementError(
            "amplitude sweep: the record has no time and its strain does not rise from row to row; "
            "a column with the time in s is needed"
        )
    return np.asarray(SWEEP_S * (amplitude - amplitude[0]) / SWEPT_STRAIN)


def analyse_amplitude_sweep(
    rows: AmplitudeRows,
    slope: ModulusSlope,
    *,
    convention: ExponentConvention = ExponentConvention.INVERSE_SLOPE,
    at_strain_percent: tuple[float, ...] = STRAINS_PERCENT,
) -> AmplitudeSweep:
    """Give the fatigue laws of an amplitude sweep, by both conventions of the exponent.

    Parameters
    ----------
    rows : AmplitudeRows
        The amplitude part.
    slope : ModulusSlope
        Of the frequency part.
    convention : ExponentConvention
        The one that leads; the other is given too.
    at_strain_percent : tuple of float
        Strains at which cycles to failure are asked for, above zero [%].

    Returns
    -------
    AmplitudeSweep
        First the law by the ratio of moduli and the stress peak; where the stress has no peak, that by the
        loss of 35 %. No law at all where neither was reached.

    Raises
    ------
    MeasurementError
        Where a strain or modulus is not above zero, or nothing can be fitted.

    Notes
    -----
    The equations stand in the module ``fatigue_law``, the intervals in ``fatigue_interval``. Rows whose fall
    does not stand clear of their scatter are gathered first (`gathered_rows`); C counts from the first of
    them. The peak is the row of the highest stress; it is none where the stress has not fallen by 2 % at the
    end (common practice, no source). A peak is only as sharp as the scatter of the stress: every row within
    three times that scatter of the highest may be it, and half their range of C, as a rectangle, counts as
    uncertainty.

    References
    ----------
    AASHTO T 391 and TP 101, from memory (high); the older form by |G*| sin(delta), from memory (medium).
    """
    if not rows.strain.size or np.any(rows.strain <= 0.0) or np.any(rows.complex_modulus <= 0.0):
        raise MeasurementError("amplitude sweep: every strain and every modulus must be above zero")
    if any(not (math.isfinite(s) and s > 0.0) for s in at_strain_percent):
        raise MeasurementError("amplitude sweep: a strain asked for must be above zero (%)")
    both = _gather(rows)
    peak = stress_peak(rows.stress_kpa)
    other = next(one for one in ExponentConvention if one is not convention)
    laws: list[FatigueLaw] = []
    for (form, failure), by in product(_READINGS, (convention, other)):
        given = _input(both, slope, form, failure, peak)
        if given is not None:
            laws.append(
                fatigue_law(
                    given, convention=by, form=form, failure=failure, at_strain_percent=at_strain_percent
                )
            )
    leading = laws[0].damage_exponent if laws else 1.0 / slope.slope
    return AmplitudeSweep(
        laws=tuple(laws),
        slope=slope,
        points=_points(both, leading),
        peak=peak,
        temperature_c=rows.temperature_c,
        frequency_hz=rows.frequency_hz,
    )


def stress_peak(stress_kpa: ArrayLike) -> int | None:
    """Give the row of the highest stress.

    Parameters
    ----------
    stress_kpa : array_like of float, shape (n,)
        Stress amplitude [kPa].

    Returns
    -------
    int or None
        None where the stress has not fallen to 98 % of the highest by the last row: it still rises.

    Raises
    ------
    MeasurementError
        Where there is no row.

    Examples
    --------
    >>> stress_peak([1.0, 3.0, 2.0]), stress_peak([1.0, 2.0, 3.0])
    (1, None)
    """
    stress = np.asarray(stress_kpa, dtype=float)
    if stress.ndim != 1 or not stress.size:
        raise MeasurementError("amplitude sweep: needed is a row of stresses, found none")
    highest = int(stress.argmax())
    return highest if stress[-1] <= _PEAK_FALL * stress[highest] else None


@dataclass(frozen=True, slots=True)
class _Gathered:
    """Rows gathered until a fall stands clear of the scatter; what was measured stays beside them."""

    measured: AmplitudeRows
    rows: AmplitudeRows
    first_rows: int


def _gather(rows: AmplitudeRows) -> _Gathered:
    starts = gathered_rows(rows.complex_modulus)
    counts = np.diff([*starts.tolist(), rows.strain.size])

    def mean(values: Floats) -> Floats:
        return np.asarray(np.add.reduceat(values, starts) / counts)

    gathered = replace(
        rows,
        time_s=mean(rows.time_s),
        strain=np.sqrt(mean(rows.strain**2)),
        stress_kpa=mean(rows.stress_kpa),
        complex_modulus=mean(rows.complex_modulus),
        phase_angle_deg=mean(rows.phase_angle_deg),
    )
    return _Gathered(rows, gathered, int(counts[0]))


def _points(both: _Gathered, exponent: float) -> tuple[DamagePoint, ...]:
    rows, initial = both.measured, both.rows.complex_modulus[0]
    grown = damage_growth(
        100.0 * both.rows.strain, both.rows.complex_modulus / initial, both.rows.time_s, exponent=exponent
    )
    damage = np.interp(rows.time_s, both.rows.time_s, grown)
    columns = (
        rows.time_s - rows.time_s[0],
        100.0 * rows.strain,
        rows.stress_kpa,
        rows.complex_modulus / initial,
        damage,
    )
    return tuple(DamagePoint(*row) for row in zip(*(c.tolist() for c in columns), strict=True))


def _integrity(rows: AmplitudeRows, form: DamageForm, initial: float) -> Floats:
    if form is DamageForm.MODULUS_RATIO:
        return rows.complex_modulus / initial
    return np.asarray(rows.complex_modulus * np.sin(np.radians(rows.phase_angle_deg)) / _KPA_IN_MPA)


def _input(
    both: _Gathered, slope: ModulusSlope, form: DamageForm, failure: FailureRule, peak: int | None
) -> DamageInput | None:
    """Make what a law rests on; None where the specimen did not fail by this rule."""
    initial = float(both.rows.complex_modulus[0])
    whole, single = (_integrity(rows, form, initial) for rows in (both.rows, both.measured))
    loss = LOSS_AT_FAILURE * float(whole[0])
    doubt = 0.0
    if failure is FailureRule.PEAK_STRESS and peak is not None:
        loss = float(whole[0] - single[peak])
        doubt = _peak_doubt(both.measured.stress_kpa, single, peak)
    elif failure is FailureRule.PEAK_STRESS or float(np.min(whole)) > float(whole[0]) - loss:
        return None
    if loss <= 0.0:
        return None
    return DamageInput(
        strain_percent=100.0 * both.rows.strain,
        integrity=whole,
        time_s=both.rows.time_s,
        slope=slope,
        frequency_hz=both.rows.frequency_hz,
        loss=loss,
        loss_standard=doubt,
        initial_standard=row_scatter(single) / math.sqrt(both.first_rows),
        initial_modulus=initial / _KPA_IN_MPA if form is DamageForm.LOSS_MODULUS else 1.0,
    )


def _peak_doubt(stress: Floats, whole: Floats, peak: int) -> float:
    """Give the standard uncertainty of C at the peak: half the range over the rows that may be the peak."""
    may_be = np.flatnonzero(stress >= stress[peak] - _PEAK_SCATTER * row_scatter(stress))
    around = np.unique(np.clip([*may_be.tolist(), peak - 1, peak + 1], 0, len(whole) - 1))
    return float(np.ptp(whole[around])) / 2.0 / math.sqrt(3.0)
