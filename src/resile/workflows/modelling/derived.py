"""What follows from one master curve: the numbers people read from it, its spectrum, relaxation and creep."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np

from resile.errors import MeasurementError
from resile.judge.findings import judge_measures
from resile.records.finding import Measure
from resile.records.models.curve_reading import (
    CurveDerivation,
    CurveReading,
    ReadingConditions,
    ReadingStanding,
    TimeResponse,
)
from resile.records.models.master_curve import MasterCurve
from resile.records.models.spectrum import RelaxationSpectrum
from resile.specifications.creep_recovery import load_finding_rules
from resile.specifications.readings import load_reading_conditions

_TIMES_PER_DECADE = 6
_LIMIT_WORDS = {
    "beam_stiffness_temperature": "the temperature of the limit of stiffness",
    "beam_m_value_temperature": "the temperature of the limit of the m-value",
}
_TITLES = {
    "beam_stiffness_temperature": "Test temperature at which S(60) is {stiffness:g} MPa, from shear",
    "beam_m_value_temperature": "Test temperature at which m(60) is {m:.3f}, from shear",
    "beam_temperature_difference": "Difference of these two temperatures, stiffness less m-value",
    "small_plate_modulus_temperature": "Test temperature at which G(60 s) is {modulus:g} MPa, 4 mm plates",
    "small_plate_slope_temperature": "Test temperature at which the slope of G(60 s) is {slope:g}, 4 mm "
    "plates",
}


def derive_from_curve(
    curve: MasterCurve, *, conditions: ReadingConditions | None = None, draws: int = 200, seed: int = 0
) -> CurveDerivation:
    """Read a master curve at the named conditions, and find its spectrum.

    Parameters
    ----------
    curve : MasterCurve
        The curve, with its points.
    conditions : ReadingConditions or None
        Conditions; None for those of the laboratory, or of the package.
    draws : int
        Repeats behind the interval of the spectrum; 0 for none.
    seed : int
        Of the draws.

    Returns
    -------
    CurveDerivation
        Readings, beams, spectrum, relaxation and creep.
    """
    from resile.compute.rheology.master_curve.readings.beam_from_shear import read_beam

    wanted = conditions or load_reading_conditions()
    beams, limits = read_beam(curve, beam=wanted.beam, small_plate=wanted.small_plate)
    spectrum, missing = _spectrum(curve, draws, seed)
    readings = (
        *_glover_rowe(curve, wanted),
        *_temperatures(curve, wanted),
        *(_told(reading, wanted) for reading in limits),
    )
    measures = tuple(_measures(readings, spectrum))
    return CurveDerivation(
        readings=readings,
        beams=beams,
        beam=wanted.beam,
        spectrum=spectrum,
        spectrum_missing=missing,
        responses=_responses(spectrum) if spectrum else (),
        conditions=wanted.name,
        conditions_sha256=wanted.sha256,
        measures=measures,
        findings=judge_measures(measures, load_finding_rules("curve_readings")),
    )


def _measures(readings: Sequence[CurveReading], spectrum: RelaxationSpectrum | None) -> Iterator[Measure]:
    parameters = [one for one in readings if one.name.startswith("glover_rowe")]
    furthest = max(parameters, key=lambda one: one.beyond_decades)
    yield Measure("glover_rowe_beyond_decades", furthest.beyond_decades, "decades", furthest.title)
    furthest = max(parameters, key=lambda one: one.beyond_c)
    yield Measure("glover_rowe_beyond_c", furthest.beyond_c, "°C", furthest.title)
    moved = [
        (abs(one.straight_shift_value - one.value), _LIMIT_WORDS[one.name])
        for one in readings
        if one.name in _LIMIT_WORDS and one.straight_shift_value is not None and one.value is not None
    ]
    if moved:
        worst, words = max(moved)
        yield Measure("beam_shift_difference_c", worst, "°C", words)
    lacking = [
        one
        for one in readings
        if one.value is not None and one.lower is None and one.standing is not ReadingStanding.MEASURED
    ]
    yield Measure("readings_without_interval", float(len(lacking)), "")
    if spectrum is not None:
        yield Measure("spectrum_modulus_residual_percent", spectrum.modulus_residual_percent, "%")


def _glover_rowe(curve: MasterCurve, wanted: ReadingConditions) -> Iterator[CurveReading]:
    from resile.compute.rheology.master_curve.readings.curve_readings import read_glover_rowe

    for one in wanted.glover_rowe:
        reading = read_glover_rowe(
            curve,
            name=one.name,
            temperature_c=one.temperature_c,
            angular_frequency_rad_s=one.angular_frequency_rad_s,
            measured_within_c=wanted.measured_within_c,
            measured_within_decades=wanted.measured_within_decades,
        )
        yield replace(
            reading,
            title=one.title,
            source=one.source,
            evidence=one.evidence,
            note=one.note,
            thresholds=one.thresholds,
        )


def _temperatures(curve: MasterCurve, wanted: ReadingConditions) -> Iterator[CurveReading]:
    from resile.compute.rheology.master_curve.readings.curve_readings import read_temperature_of_phase

    for one in wanted.phase:
        reading = read_temperature_of_phase(
            curve,
            name=one.name,
            phase_angle_deg=one.phase_angle_deg,
            angular_frequency_rad_s=one.angular_frequency_rad_s,
        )
        yield replace(
            reading, title=one.title, source=one.source, evidence=one.evidence, note=reading.note or one.note
        )


def _told(reading: CurveReading, wanted: ReadingConditions) -> CurveReading:
    beam, plate = wanted.beam, wanted.small_plate
    of_plate = reading.name.startswith("small_plate")
    title = _TITLES[reading.name].format(
        stiffness=beam.stiffness_limit_mpa,
        m=beam.m_value_limit,
        modulus=plate.relaxation_modulus_mpa,
        slope=plate.slope,
    )
    return replace(
        reading,
        title=title,
        source=plate.source if of_plate else beam.source,
        evidence=plate.evidence if of_plate else beam.evidence,
        note=reading.note or (plate.note if of_plate else ""),
    )


def _spectrum(curve: MasterCurve, draws: int, seed: int) -> tuple[RelaxationSpectrum | None, str]:
    from resile.compute.rheology.master_curve.spectra.spectrum import fit_relaxation_spectrum

    try:
        return (
            fit_relaxation_spectrum(
                [point.reduced_frequency_rad_s for point in curve.points],
                [point.complex_modulus for point in curve.points],
                [point.phase_angle for point in curve.points],
                reference_c=curve.reference_c,
                draws=draws,
                seed=seed,
            ),
            "",
        )
    except MeasurementError as error:
        return None, str(error)


def _responses(spectrum: RelaxationSpectrum) -> tuple[TimeResponse, ...]:
    from resile.compute.rheology.master_curve.spectra.interconversion import retardation_from_relaxation
    from resile.compute.rheology.master_curve.spectra.modes import (
        creep_compliance_of_modes,
        relaxation_modulus,
    )

    held = [math.log10(point.relaxation_time_s) for point in spectrum.spectrum if point.supported]
    if len(held) < 2:
        return ()
    times = 10.0 ** np.linspace(held[0], held[-1], round((held[-1] - held[0]) * _TIMES_PER_DECADE) + 1)
    relaxation = relaxation_modulus(spectrum.modes, times)
    creep = creep_compliance_of_modes(retardation_from_relaxation(spectrum.modes), times)
    return tuple(
        TimeResponse(*row) for row in zip(times.tolist(), relaxation.tolist(), creep.tolist(), strict=True)
    )
