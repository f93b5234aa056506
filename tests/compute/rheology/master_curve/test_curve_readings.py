"""Numbers read from a master curve: cited cases, planted numbers, and nothing passed off as measured."""

import math
import tomllib
from collections.abc import Callable, Mapping
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from resile.compute.rheology.master_curve.fitting.joint_fit import fit_master_curve
from resile.compute.rheology.master_curve.forms.fitted_shift import free_shift_spread
from resile.compute.rheology.master_curve.forms.moved_curve import read_with_doubt
from resile.compute.rheology.master_curve.readings.beam_from_shear import (
    read_beam,
    rheological_index_from_beam,
)
from resile.compute.rheology.master_curve.readings.curve_readings import (
    glover_rowe_line,
    read_glover_rowe,
    read_temperature_of_phase,
)
from resile.compute.statistics.uncertainty.coverage import coverage_factor
from resile.errors import InputError, MeasurementError
from resile.records.models.curve_reading import CurveReading, ReadingStanding
from resile.records.models.master_curve import MasterCurve
from resile.specifications.readings import load_reading_conditions

FILE = Path(__file__).resolve().parents[3] / "published" / "curve_readings.toml"
CASES = tomllib.loads(FILE.read_text(encoding="utf-8"))["case"]
Inputs = Mapping[str, Any]
CONDITIONS = load_reading_conditions()
NEAR = {
    "measured_within_c": CONDITIONS.measured_within_c,
    "measured_within_decades": CONDITIONS.measured_within_decades,
}
C1, C2, REFERENCE_C = 19.0, 92.0, 15.0
TEMPERATURES_C = (-5.0, 5.0, 15.0, 25.0, 40.0, 55.0)


def columns(temperatures_c: tuple[float, ...]) -> tuple[Any, Any, Any]:
    temperature, frequency = np.meshgrid(temperatures_c, 10.0 ** np.linspace(-1.0, 2.0, 13), indexing="ij")
    apart = temperature - REFERENCE_C
    return temperature.ravel(), frequency.ravel(), (frequency * 10 ** (-C1 * apart / (C2 + apart))).ravel()


def noisy_curve(seed: int | None, temperatures_c: tuple[float, ...] = TEMPERATURES_C) -> MasterCurve:
    temperature, frequency, reduced = columns(temperatures_c)
    power = math.log10(2.0) / 2.0
    ratio = (10.0 / reduced) ** power
    modulus, phase = 1e6 * (1.0 + ratio) ** (-1.0 / power), 90.0 * ratio / (1.0 + ratio)
    if seed is not None:
        noise = np.random.default_rng(seed)
        modulus = modulus * np.exp(0.02 * noise.standard_normal(len(modulus)))
        phase = phase + 0.5 * noise.standard_normal(len(phase))
    return fit_master_curve(temperature, frequency, modulus, phase, reference_c=REFERENCE_C)


@cache
def planted(seed: int | None = None) -> MasterCurve:
    return noisy_curve(seed)


# Two springs, two parabolic elements, a dashpot: creep in closed form.
GLASSY, TIME, WEIGHT, SLOW, FAST, RATIO = 1e6, 1e-3, 2.5, 0.25, 0.6, 300.0


@cache
def parabolic_curve() -> MasterCurve:
    temperature, frequency, reduced = columns((-15.0, *TEMPERATURES_C))
    turned = 1j * reduced * TIME
    modulus = GLASSY / (1.0 + WEIGHT * turned**-SLOW + turned**-FAST + 1.0 / (turned * RATIO))
    return fit_master_curve(
        temperature,
        frequency,
        np.abs(modulus),
        np.degrees(np.angle(modulus)),
        shape="2S2P1D",
        reference_c=REFERENCE_C,
    )


def parabolic_stiffness_mpa(temperature_c: float) -> float:
    apart = temperature_c - REFERENCE_C
    share = 60.0 / TIME / 10 ** (-C1 * apart / (C2 + apart))
    creep = 1.0 + WEIGHT * share**SLOW / math.gamma(1.0 + SLOW)
    return 3.0 * GLASSY / (creep + share**FAST / math.gamma(1.0 + FAST) + share / RATIO) / 1000.0


def stiffness_ratios(inputs: Inputs) -> list[float]:
    wanted = replace(CONDITIONS.beam, temperatures_c=tuple(inputs["temperatures_c"]))
    beams, _ = read_beam(parabolic_curve(), beam=wanted, small_plate=CONDITIONS.small_plate)
    return [beam.creep_stiffness / parabolic_stiffness_mpa(beam.temperature_c) for beam in beams]


def interval_ratios(inputs: Inputs) -> list[float]:
    curve = planted(inputs["seed"])
    value, _, upper = read_with_doubt(
        curve, lambda moved: np.array([moved.shape_parameters[2], moved.log_modulus_off])
    )
    factor = float(coverage_factor(curve.fit.degrees_of_freedom, probability=0.95))
    own = np.array([curve.fit.standards[1], curve.modulus_rms_decades])
    return list((upper - value) / (factor * own))


ADAPTERS: dict[str, Callable[[Inputs], Any]] = {
    "glover_rowe_line": lambda i: glover_rowe_line(i["phase_angle_deg"], limit=i["limit"]),
    "rheological_index_from_beam": lambda i: rheological_index_from_beam(
        i["creep_stiffness_mpa"], i["m_value"]
    ),
    "read_glover_rowe": lambda i: read_glover_rowe(planted(), name="any", **i, **NEAR).value,
    "read_temperature_of_phase": lambda i: read_temperature_of_phase(planted(), name="any", **i).value,
    "read_beam": stiffness_ratios,
    "read_with_doubt": interval_ratios,
    "free_shift_spread": lambda i: free_shift_spread(i["nodes_c"], reference_c=i["reference_c"]),
}


@pytest.mark.parametrize("case", CASES, ids=[case["name"] for case in CASES])
def test_a_cited_case_comes_out_as_printed(case: dict[str, Any]) -> None:
    found = ADAPTERS[case["function"].rpartition(".")[2]](case["inputs"])
    np.testing.assert_allclose(found, case["expected"], rtol=0.0, atol=case["tolerance"])


def glover_rowe(curve: MasterCurve, temperature_c: float, frequency: float) -> CurveReading:
    return read_glover_rowe(
        curve, name="any", temperature_c=temperature_c, angular_frequency_rad_s=frequency, **NEAR
    )


def test_the_two_conditions_in_use_are_two_numbers() -> None:
    first, second = (
        glover_rowe(planted(), one.temperature_c, one.angular_frequency_rad_s)
        for one in CONDITIONS.glover_rowe
    )
    assert first.value is not None and second.value is not None
    assert (first.temperature_c, second.temperature_c) == (15.0, 44.7)
    assert abs(math.log(first.value / second.value)) > 0.1
    thresholds = [one.thresholds for one in CONDITIONS.glover_rowe]
    assert [one.limit for one in thresholds[0]] == [180.0, 600.0]
    assert thresholds[1] == ()  # none is established: one of the other condition must not stand in


def test_a_point_that_was_measured_goes_before_the_curve() -> None:
    curve = planted(5)
    point = next(p for p in curve.points if p.temperature_c == 40.0 and p.angular_frequency_rad_s == 10.0)
    reading = glover_rowe(curve, 40.2, 10.05)
    angle = math.radians(point.phase_angle)
    expected = point.complex_modulus * math.cos(angle) ** 2 / math.sin(angle)
    assert reading.standing is ReadingStanding.MEASURED
    assert reading.value == pytest.approx(expected, rel=1e-12)
    assert reading.lower is None and reading.upper is None


def test_what_lies_between_the_tests_is_interpolated_and_what_lies_outside_says_how_far() -> None:
    inside = glover_rowe(planted(), 44.7, 10.0)
    assert inside.standing is ReadingStanding.INTERPOLATED
    assert inside.straight_shift_value is None
    outside = glover_rowe(planted(), 65.0, 1e-3)
    assert outside.standing is ReadingStanding.EXTRAPOLATED
    assert outside.beyond_c == pytest.approx(10.0)
    # 0.1 rad/s at 55 °C against 0.001 at 65 °C: two decades, and the shift of WLF between the two.
    shift = C1 * (50.0 / 142.0 - 40.0 / 132.0)
    assert outside.beyond_decades == pytest.approx(2.0 + shift, abs=1e-6)
    assert outside.straight_shift_value is not None and outside.value is not None
    assert outside.straight_shift_value < outside.value  # WLF bends: a straight shift falls further


def test_a_curve_of_cold_tests_alone_does_not_come_to_a_limit_out_of_reach() -> None:
    reading = read_temperature_of_phase(
        planted(), name="any", phase_angle_deg=1.0, angular_frequency_rad_s=1e-6
    )
    assert reading.value is None and "does not come there" in reading.note


def test_beam_and_rule_of_thumb_differ_as_creep_and_oscillation_do() -> None:
    beams, limits = read_beam(planted(), beam=CONDITIONS.beam, small_plate=CONDITIONS.small_plate)
    assert [beam.temperature_c for beam in beams] == sorted((b.temperature_c for b in beams), reverse=True)
    for beam in beams:
        # |G*|(1/t) = 1/(Gamma(1 + m) J(t)) for a power law, which the curve nearly is over a decade.
        rule = math.gamma(1.0 + beam.m_value) * beam.equal_frequency_stiffness
        assert beam.creep_stiffness == pytest.approx(rule, rel=0.03)
        assert beam.relaxation_stiffness < beam.creep_stiffness < beam.equal_frequency_stiffness
        assert beam.m_value == pytest.approx(beam.equal_frequency_m_value, abs=0.012)
        assert beam.beam_index == pytest.approx(2.0, abs=0.09)  # exact only under the rule of thumb
    stiffness, slope, difference = (limit.value for limit in limits[:3])
    assert stiffness is not None and slope is not None and difference is not None
    assert difference == pytest.approx(stiffness - slope, abs=1e-9)


def test_a_beam_meets_its_limit_at_the_temperature_that_was_read() -> None:
    _, limits = read_beam(planted(), beam=CONDITIONS.beam, small_plate=CONDITIONS.small_plate)
    at = limits[0].value
    assert at is not None
    again, _ = read_beam(
        planted(), beam=replace(CONDITIONS.beam, temperatures_c=(at,)), small_plate=CONDITIONS.small_plate
    )
    assert again[0].creep_stiffness == pytest.approx(300.0, rel=2e-3)


def test_stiffnesses_outside_the_range_of_the_apparatus_are_not_stated() -> None:
    wanted = replace(CONDITIONS.beam, temperatures_c=(20.0, -6.0, -60.0))
    beams, _ = read_beam(planted(), beam=wanted, small_plate=CONDITIONS.small_plate)
    assert [beam.temperature_c for beam in beams] == [-6.0]


def test_scatter_of_the_points_widens_every_interval() -> None:
    exact, scattered = (glover_rowe(planted(seed), 15.0, 0.005) for seed in (None, 5))
    assert exact.lower is not None and exact.upper is not None
    assert scattered.lower is not None and scattered.upper is not None and scattered.value is not None
    assert exact.upper - exact.lower < 1e-6
    assert scattered.lower < scattered.value < scattered.upper
    assert 1.05 < scattered.upper / scattered.lower < 1.6


@pytest.mark.nightly
def test_intervals_hold_the_planted_numbers() -> None:
    truth, held = glover_rowe(planted(), 15.0, 0.005).value, []
    assert truth is not None
    for seed in range(100):
        reading = glover_rowe(noisy_curve(seed), 15.0, 0.005)
        assert reading.lower is not None and reading.upper is not None
        held.append(reading.lower <= truth <= reading.upper)
    assert np.mean(held) >= 0.95  # the misfit counts too, so that it holds more than it promises


def test_shifts_that_are_free_give_intervals_as_those_of_a_form_do() -> None:
    temperature, frequency, reduced = columns(TEMPERATURES_C)
    power = math.log10(2.0) / 2.0
    ratio = (10.0 / reduced) ** power
    curve = fit_master_curve(
        temperature,
        frequency,
        1e6 * (1.0 + ratio) ** (-1.0 / power),
        90.0 * ratio / (1.0 + ratio) + 0.2 * np.sin(7.0 * frequency),
        shift="free",
        reference_c=REFERENCE_C,
    )
    reading = glover_rowe(curve, 15.0, 0.005)
    assert reading.value == pytest.approx(11.765, rel=0.03)
    assert reading.lower is not None and reading.upper is not None and reading.lower < reading.upper


def test_what_has_no_line_and_no_index_is_refused() -> None:
    with pytest.raises(InputError, match="below 90"):
        glover_rowe_line(90.0, limit=180.0)
    with pytest.raises(InputError, match="above 0"):
        glover_rowe_line(45.0, limit=-1.0)
    with pytest.raises(MeasurementError, match="3000 MPa"):
        rheological_index_from_beam(4000.0, 0.3)
    with pytest.raises(MeasurementError, match="m-value"):
        rheological_index_from_beam(300.0, 1.0)
