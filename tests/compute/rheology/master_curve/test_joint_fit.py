"""A fitted master curve gives back the binder its sweeps were made of, whatever the order or unit of time."""

import itertools
import math

import numpy as np
import pytest

from compute.rheology.master_curve.sweeps import FREQUENCIES, ISOTHERMS_C, planted_sweeps
from resile.compute.rheology.master_curve.fitting.fitted_curve import (
    curve_modulus_and_phase,
    outside_measured,
)
from resile.compute.rheology.master_curve.fitting.joint_fit import fit_master_curve
from resile.compute.rheology.master_curve.forms.shape_slopes import SHAPES, shape_slopes
from resile.compute.rheology.master_curve.forms.shifts import SHIFTS, shift_slopes
from resile.errors import InputError, MeasurementError
from resile.records.models.master_curve import CurveShape, CurveShift, MasterCurve

BINDER = {"rheological_index": 2.1, "log_crossover_frequency": 1.5, "c1": 13.0, "c2": 140.0}
NODES_C = np.array(ISOTHERMS_C)
SHAPE_TRUTHS = {
    CurveShape.CA: [6.0, 1.5, 2.1],
    CurveShape.CAM: [6.0, 0.5, 2.2, 1.1],
    CurveShape.TWO_S_TWO_P_ONE_D: [6.0, -4.0, 6.0, 0.28, 0.64, 2.4],
}
SHIFT_TRUTHS = {
    CurveShift.FREE: [2.8, 1.3, 0.0, -1.1, -2.1, -2.9],
    CurveShift.WLF: [13.0, 140.0],
    CurveShift.ARRHENIUS: [180.0],
    CurveShift.KAELBLE: [16.0, 108.0, 18.0],
}
REFERENCE_C = 20.0


def sweeps_of(shape: CurveShape, shift: CurveShift, scatter: float = 0.0):
    temperature, frequency = (a.ravel() for a in np.meshgrid(NODES_C, FREQUENCIES, indexing="ij"))
    log_shift, _ = shift_slopes(
        shift, temperature, SHIFT_TRUTHS[shift], reference_c=REFERENCE_C, nodes_c=NODES_C
    )
    seen = shape_slopes(shape, np.log10(frequency) + log_shift, SHAPE_TRUTHS[shape])
    draw = np.random.default_rng(6).normal(size=(2, len(frequency))) * scatter
    return (
        temperature,
        frequency,
        10.0 ** (seen.log_modulus + 0.005 * draw[0]),
        np.clip(seen.phase_deg + 0.3 * draw[1], 0.0, 90.0),
    )


@pytest.mark.parametrize(("shape", "shift"), list(itertools.product(CurveShape, CurveShift)))
def test_what_was_simulated_is_fitted_again(shape: CurveShape, shift: CurveShift) -> None:
    curve = fit_master_curve(*sweeps_of(shape, shift), shape=shape, shift=shift, reference_c=REFERENCE_C)
    assert curve.modulus_rms_decades < 1e-6
    assert [p.value for p in curve.parameters] == pytest.approx(SHAPE_TRUTHS[shape], rel=1e-4, abs=1e-4)
    assert [p.value for p in curve.shift_parameters] == pytest.approx(SHIFT_TRUTHS[shift], rel=1e-4, abs=1e-4)


@pytest.mark.parametrize("shape", CurveShape)
def test_the_truth_lies_within_intervals_under_scatter(shape: CurveShape) -> None:
    curve = fit_master_curve(
        *sweeps_of(shape, CurveShift.WLF, scatter=1.0), shape=shape, reference_c=REFERENCE_C
    )
    fitted = [*curve.parameters[1:], *curve.shift_parameters]
    truths = [*SHAPE_TRUTHS[shape][1:], *SHIFT_TRUTHS[CurveShift.WLF]]
    for parameter, truth in zip(fitted, truths, strict=True):
        assert parameter.lower is not None and parameter.upper is not None
        # One draw: three half widths, so that a sound interval fails in none of many draws.
        assert abs(parameter.value - truth) < 1.5 * (parameter.upper - parameter.lower), parameter.name


def with_drifting_noise(decades: float, degrees: float, correlation: float, seed: int) -> MasterCurve:
    """Fit a planted binder with noise that drifts along each isotherm: a first-order autoregression."""
    temperature, frequency, modulus, phase = planted_sweeps(**BINDER, reference_c=REFERENCE_C)
    steps = np.random.default_rng(seed).normal(size=(2, len(ISOTHERMS_C), len(FREQUENCIES)))
    noise = steps.copy()
    for row in range(1, len(FREQUENCIES)):
        noise[..., row] = correlation * noise[..., row - 1] + np.sqrt(1 - correlation**2) * steps[..., row]
    return fit_master_curve(
        temperature,
        frequency,
        modulus * 10 ** (decades * noise[0].ravel()),
        np.clip(phase + degrees * noise[1].ravel(), 0.0, 90.0),
        reference_c=REFERENCE_C,
    )


def held_by(curve: MasterCurve) -> list[bool]:
    """Tell of each number planted whether its interval holds it."""
    fitted = [one for one in (*curve.parameters, *curve.shift_parameters) if one.name in BINDER]
    assert len(fitted) == len(BINDER)
    return [
        one.lower is not None and one.upper is not None and one.lower <= BINDER[one.name] <= one.upper
        for one in fitted
    ]


def test_intervals_widen_where_neighbouring_residuals_hang_together() -> None:
    still, drifting = (with_drifting_noise(0.01, 0.5, correlation, 3) for correlation in (0.0, 0.8))
    assert still.residual_correlations == (0.0, 0.0)
    # A fit follows part of what drifts, so that less is seen of it than was planted.
    assert all(0.5 < one < 0.85 for one in drifting.residual_correlations)
    widths = [
        [one.upper - one.lower for one in (*curve.parameters[1:], *curve.shift_parameters)]
        for curve in (still, drifting)
    ]
    # A number to which all rows answer alike: the root of (1 + 0.8)/(1 - 0.8) is 3, less in short isotherms.
    assert all(1.3 < wide / narrow < 4.0 for narrow, wide in zip(*widths, strict=True))
    assert drifting.fit.degrees_of_freedom < still.fit.degrees_of_freedom / 4


def test_moduli_and_angles_each_have_their_own_scatter() -> None:
    c1 = [
        with_drifting_noise(decades, degrees, 0.0, 3).shift_parameters[0]
        for decades, degrees in ((0.02, 0.25), (0.005, 1.0))
    ]
    # Over their weights, 0.02 decades and 1°, the two misfits are as large together; moduli tell the shift.
    wide, narrow = (one.upper - one.lower for one in c1)
    assert 2.5 < wide / narrow < 4.5


@pytest.mark.nightly
@pytest.mark.parametrize(
    ("decades", "degrees", "correlation"),
    [
        (0.01, 0.5, 0.0),
        (0.02, 0.25, 0.0),
        (0.01, 0.5, 0.7),
        (0.02, 0.25, 0.7),
        (0.005, 1.0, 0.7),
        (0.01, 0.5, 0.9),
    ],
)
def test_intervals_hold_the_truth_about_as_often_as_they_say(
    decades: float, degrees: float, correlation: float
) -> None:
    held = np.mean(
        [held_by(with_drifting_noise(decades, degrees, correlation, seed)) for seed in range(300)], axis=0
    )
    # 95 %, give or take what 300 fits leave (1.3 points) and what a correlation from short isotherms costs.
    assert np.all((held >= 0.89) & (held <= 0.99)), held
    assert 0.91 <= held.mean() <= 0.98, held


@pytest.mark.parametrize("shape", CurveShape)
def test_exact_derivatives_of_a_shape_are_those_of_small_steps(shape: CurveShape) -> None:
    x, values = np.linspace(-6.0, 8.0, 29), np.array(SHAPE_TRUTHS[shape])
    seen = shape_slopes(shape, x, values)
    for place, _ in enumerate(SHAPES[shape].parameters):
        step = np.zeros_like(values)
        step[place] = 1e-5
        high, low = shape_slopes(shape, x, values + step), shape_slopes(shape, x, values - step)
        assert seen.log_modulus_by[:, place] == pytest.approx(
            (high.log_modulus - low.log_modulus) / 2e-5, abs=1e-7
        )
        assert seen.phase_by[:, place] == pytest.approx((high.phase_deg - low.phase_deg) / 2e-5, abs=1e-5)
    high, low = shape_slopes(shape, x + 1e-5, values), shape_slopes(shape, x - 1e-5, values)
    assert seen.log_modulus_along == pytest.approx((high.log_modulus - low.log_modulus) / 2e-5, abs=1e-7)
    assert seen.phase_along == pytest.approx((high.phase_deg - low.phase_deg) / 2e-5, abs=1e-5)


@pytest.mark.parametrize("shift", CurveShift)
def test_exact_derivatives_of_a_shift_are_those_of_small_steps(shift: CurveShift) -> None:
    temperature, values = np.linspace(-5.0, 60.0, 27), np.array(SHIFT_TRUTHS[shift])
    seen, by = shift_slopes(shift, temperature, values, reference_c=REFERENCE_C, nodes_c=NODES_C)
    assert seen[0] > seen[-1]
    for place in range(len(values)):
        step = np.zeros_like(values)
        step[place] = 1e-5
        high, low = (
            shift_slopes(shift, temperature, values + sign * step, reference_c=REFERENCE_C, nodes_c=NODES_C)[
                0
            ]
            for sign in (1.0, -1.0)
        )
        assert by[:, place] == pytest.approx((high - low) / 2e-5, abs=1e-7)


def test_2s2p1d_ends_in_the_glass_and_in_a_dashpot() -> None:
    # Olard and Di Benedetto 2003: G0 as w -> infinity; viscosity G0 beta tau, and 90°, as w -> 0.
    seen = shape_slopes(
        CurveShape.TWO_S_TWO_P_ONE_D, [-16.0, 60.0], SHAPE_TRUTHS[CurveShape.TWO_S_TWO_P_ONE_D]
    )
    assert seen.log_modulus == pytest.approx([6.0 - 4.0 + 2.4 - 16.0, 6.0], abs=1e-3)
    assert seen.phase_deg == pytest.approx([90.0, 0.0], abs=0.01)


def test_order_of_rows_and_repeats_change_nothing() -> None:
    rows = np.array(planted_sweeps(**BINDER))
    shuffled = np.random.default_rng(3).permutation(np.hstack((rows, rows[:, :9])), axis=1)
    first = fit_master_curve(*rows, reference_c=20.0)
    second = fit_master_curve(*shuffled, reference_c=20.0)
    assert second.repeated_rows == 9
    assert first.fit.values == second.fit.values


def test_another_unit_of_time_moves_the_crossover_and_nothing_else() -> None:
    temperature, frequency, modulus, phase = planted_sweeps(**BINDER)
    curve = fit_master_curve(temperature, frequency / (2.0 * math.pi), modulus, phase, reference_c=20.0)
    moved = {**BINDER, "log_crossover_frequency": 1.5 - math.log10(2.0 * math.pi)}
    for name, truth in moved.items():
        assert curve.value_of(name) == pytest.approx(truth, rel=1e-6)


def test_a_reference_between_isotherms_gives_the_same_curve() -> None:
    rows = planted_sweeps(**BINDER)
    free = [fit_master_curve(*rows, shift="free", reference_c=at) for at in (20.0, 26.0)]
    one, other = (curve_modulus_and_phase(curve, [3.0, 33.0], 10.0) for curve in free)
    assert one[0] == pytest.approx(other[0], rel=1e-6)
    assert free[1].value_of("log_crossover_frequency") > free[0].value_of("log_crossover_frequency")


def test_the_temperature_of_each_row_is_used_and_not_that_of_its_block() -> None:
    drifting = np.array([-1.5, 0.0, 1.5, 0.5, -0.5])
    temperature = (NODES_C[:, None] + drifting[None, :]).ravel()
    frequency = np.tile([0.1, 1.0, 10.0, 31.6, 100.0], len(NODES_C))
    log_shift, _ = shift_slopes("WLF", temperature, [13.0, 140.0], reference_c=20.0)
    seen = shape_slopes("CA", np.log10(frequency) + log_shift, SHAPE_TRUTHS[CurveShape.CA])
    curve = fit_master_curve(
        temperature, frequency, 10.0**seen.log_modulus, seen.phase_deg, reference_c=20.0, isotherm_gap_c=2.0
    )
    assert len(curve.isotherms) == len(NODES_C)
    assert curve.modulus_rms_decades < 1e-6
    assert {m.name: m.value for m in curve.measures}["isotherm_drift_c"] == pytest.approx(3.0)


def test_sweeps_of_two_plates_are_told_apart_in_the_residuals() -> None:
    cold = planted_sweeps(**BINDER, isotherms_c=[0.0, 10.0, 20.0])
    warm = planted_sweeps(**BINDER, isotherms_c=[20.0, 30.0, 50.0])
    temperature, frequency, modulus, phase = (np.concatenate(pair) for pair in zip(cold, warm, strict=True))
    series = np.repeat([0, 1], [len(cold[0]), len(warm[0])])
    modulus = np.where(series == 1, modulus * 1.1, modulus)
    curve = fit_master_curve(
        temperature,
        frequency,
        modulus,
        phase,
        reference_c=20.0,
        series=series,
        series_labels=("8 mm", "25 mm"),
    )
    told = [(i.label, round(i.temperature_c)) for i in curve.isotherms]
    assert told == [("8 mm", 0), ("8 mm", 10), ("8 mm", 20), ("25 mm", 20), ("25 mm", 30), ("25 mm", 50)]
    assert max(i.modulus_rms_decades for i in curve.isotherms) > 0.01


def test_outside_of_what_was_measured_is_told() -> None:
    curve = fit_master_curve(*planted_sweeps(**BINDER), reference_c=20.0)
    assert outside_measured(curve, [15.0, 15.0], [0.005, 1e-9]).tolist() == [False, True]


@pytest.mark.parametrize(
    ("isotherms", "shift", "words"),
    [
        ([20.0], "free", r"1 temperature found \(20\.0 °C\).*at another temperature"),
        ([20.0, 30.0], "WLF", "2 temperatures found .*shift WLF needs 3; choose another shift"),
        ([10.0, 20.0, 30.0], "Kaelble", "shift Kaelble needs 4"),
    ],
)
def test_too_few_temperatures_are_refused_with_what_would_do(isotherms, shift: str, words: str) -> None:
    with pytest.raises(MeasurementError, match=words):
        fit_master_curve(*planted_sweeps(**BINDER, isotherms_c=isotherms), shift=shift, reference_c=20.0)


def test_impossible_rows_and_settings_are_refused() -> None:
    rows = planted_sweeps(**BINDER)
    for place, value, words in (
        (1, 0.0, "angular frequency must be above zero"),
        (2, -1.0, "modulus must be above zero"),
        (3, 91.0, "between 0 and 90°"),
        (0, math.nan, "temperature must be a number"),
    ):
        spoilt = [column.copy() for column in rows]
        spoilt[place][4] = value
        with pytest.raises(MeasurementError, match=f"row 5 .*{words}"):
            fit_master_curve(*spoilt)
    with pytest.raises(InputError, match="weight of the modulus is 0"):
        fit_master_curve(*rows, modulus_weight_decades=0.0)
    with pytest.raises(MeasurementError, match="2 rows for 3 parameters; needed are at least 4 rows"):
        fit_master_curve([10.0, 20.0], [1.0, 1.0], [5.0, 1.0], [50.0, 60.0], shift="free", shape="CA")


def test_every_shape_and_shift_says_where_it_holds_and_whence_it_comes() -> None:
    for form in (*SHAPES.values(), *SHIFTS.values()):
        assert form.validity and form.source and len(form.parameters) == len(form.units)
