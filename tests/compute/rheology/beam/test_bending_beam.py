import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from resile.compute.rheology.beam.beam_stiffness import (
    creep_stiffness_mpa,
    fit_stiffness,
    fitted_stiffness_mpa,
    m_value,
)
from resile.compute.rheology.beam.bending_beam import (
    REPORT_TIMES_S,
    reduce_beam,
    reduce_stiffness,
    summarise_beams,
)
from resile.errors import MeasurementError
from resile.records.bending_beam import BeamGeometry, BeamRun

NOMINAL = BeamGeometry(102.0, 12.70, 6.35)
CURVE = (2.80, -0.20, -0.03)
TIMES = np.array(REPORT_TIMES_S)


def deflection_of(loading_time_s: np.ndarray, load_n: float = 0.980) -> np.ndarray:
    stiffness = fitted_stiffness_mpa(CURVE, loading_time_s)
    per_mm = creep_stiffness_mpa(load_n, 1.0, span_mm=102.0, width_mm=12.70, thickness_mm=6.35)
    return np.asarray(per_mm / stiffness)


def record(step_s: float = 0.5, end_s: float = 240.0) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Contact load, 1 s of seating load, 20 s of rest, then the test load; zero deflection before it."""
    before = np.arange(-30.0, 0.0, step_s)
    after = np.arange(step_s, end_s + step_s / 2, step_s)
    seated = (before >= -22.0) & (before < -21.0)
    load = np.concatenate((np.where(seated, 980.0, 35.0), np.full(len(after), 980.0)))
    deflection = np.concatenate((np.zeros(len(before)), deflection_of(after)))
    return np.concatenate((before, after)) + 100.0, load, deflection


def value(run: BeamRun, name: str) -> float:
    return next(measure.value for measure in run.measures if measure.name == name)


@given(
    st.floats(1.5, 3.2), st.floats(-0.6, -0.05), st.floats(-0.1, 0.0), st.lists(st.floats(5, 500), max_size=4)
)
def test_an_exact_curve_is_found_again(a: float, b: float, c: float, more: list[float]) -> None:
    times = np.unique(np.concatenate((TIMES, np.round(more, 1))))
    fit = fit_stiffness(times, fitted_stiffness_mpa((a, b, c), times))
    np.testing.assert_allclose(fit.coefficients, (a, b, c), atol=1e-9)
    assert float(m_value(fit.coefficients)) == pytest.approx(abs(b + 2 * c * np.log10(60.0)), abs=1e-10)


def test_many_beams_are_fitted_at_once() -> None:
    curves = np.array([CURVE, (2.5, -0.3, -0.02)])
    stiffness = np.stack([fitted_stiffness_mpa(curve, TIMES) for curve in curves])
    fit = fit_stiffness(TIMES, stiffness)
    np.testing.assert_allclose(fit.coefficients, curves, atol=1e-12)
    assert m_value(fit.coefficients).shape == (2,)
    np.testing.assert_allclose(fit.r_squared, 1.0)


@given(st.floats(0.5, 2.0), st.floats(0.9, 1.1))
def test_stiffness_goes_with_load_and_with_the_cube_of_span_over_thickness(load: float, size: float) -> None:
    one = creep_stiffness_mpa(load, 0.3, span_mm=102.0, width_mm=12.7, thickness_mm=6.35)
    wide = creep_stiffness_mpa(load, 0.3, span_mm=102.0 * size, width_mm=12.7, thickness_mm=6.35 * size)
    assert float(wide) == pytest.approx(float(one), rel=1e-12)
    double = creep_stiffness_mpa(2 * load, 0.6, span_mm=102.0, width_mm=12.7, thickness_mm=6.35)
    assert float(double) == pytest.approx(float(one), rel=1e-12)


@given(st.floats(0.2, 5.0))
def test_a_stiffer_beam_of_one_shape_has_the_same_slope(factor: float) -> None:
    stiffness = fitted_stiffness_mpa(CURVE, TIMES)
    one, other = reduce_stiffness(TIMES, stiffness), reduce_stiffness(TIMES, factor * stiffness)
    assert other.m_value == pytest.approx(one.m_value, abs=1e-10)
    assert other.creep_stiffness == pytest.approx(factor * one.creep_stiffness, rel=1e-10)


def test_a_raw_record_with_seating_load_gives_the_curve_back() -> None:
    run = reduce_beam(*record(), geometry=NOMINAL, temperature_c=-12.0)
    # The load is found at the middle between its last low and first high point: at most a quarter second off.
    assert run.creep_stiffness == pytest.approx(223.622, rel=1e-3)
    assert run.m_value == pytest.approx(0.30669, abs=2e-3)
    assert value(run, "contact_load_mn") == 35.0
    assert value(run, "load_deviation_mn") == pytest.approx(0.0)
    assert len(run.points) == 6


def test_a_stated_start_of_the_load_gives_it_exactly() -> None:
    run = reduce_beam(*record(), geometry=NOMINAL, load_start_s=100.0)
    assert run.creep_stiffness == pytest.approx(223.6222917, rel=1e-9)
    assert run.m_value == pytest.approx(0.306689075, abs=1e-9)
    assert run.r_squared == pytest.approx(1.0)


def test_a_record_between_the_report_times_is_read_between_its_points() -> None:
    run = reduce_beam(*record(step_s=0.7, end_s=245.0), geometry=NOMINAL, load_start_s=100.0)
    assert run.creep_stiffness == pytest.approx(223.622, rel=1e-3)
    assert value(run, "report_time_gap_s") > 0.0


def test_a_record_that_ends_early_tells_what_is_missing() -> None:
    run = reduce_beam(*record(end_s=200.0), geometry=NOMINAL, load_start_s=100.0)
    assert value(run, "report_times_missing") == 1.0
    assert run.creep_stiffness == pytest.approx(223.622, abs=5e-4)


def test_a_record_without_sixty_seconds_is_refused() -> None:
    with pytest.raises(MeasurementError, match="ends 40 s after the test load"):
        reduce_beam(*record(end_s=40.0), geometry=NOMINAL, load_start_s=100.0)


def test_a_clock_that_stands_still_is_refused() -> None:
    time, load, deflection = record()
    time[5] = time[4]
    with pytest.raises(MeasurementError, match="does not rise after"):
        reduce_beam(time, load, deflection, geometry=NOMINAL)


def test_stiffness_without_sixty_seconds_inside_is_refused() -> None:
    with pytest.raises(MeasurementError, match="60 s lies outside"):
        reduce_stiffness([8.0, 15.0, 30.0], [400.0, 350.0, 300.0])


def test_a_misread_deflection_shows_in_the_residual() -> None:
    stiffness = fitted_stiffness_mpa(CURVE, TIMES)
    stiffness[2] *= 1.05
    run = reduce_stiffness(TIMES, stiffness)
    worst = max(run.measures, key=lambda measure: measure.name == "fit_residual_percent")
    assert worst.value > 2.0
    assert worst.where == "30 s"


def test_beams_at_two_temperatures_are_not_replicates() -> None:
    runs = [reduce_stiffness(TIMES, fitted_stiffness_mpa(CURVE, TIMES), temperature_c=t) for t in (-12, -18)]
    with pytest.raises(MeasurementError, match="not one temperature"):
        summarise_beams(runs)


def test_one_beam_has_no_scatter() -> None:
    found = summarise_beams([reduce_stiffness(TIMES, fitted_stiffness_mpa(CURVE, TIMES))])
    assert found.creep_stiffness == pytest.approx(223.622, abs=5e-4)
    assert found.creep_stiffness_sd is None
