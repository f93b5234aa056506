"""The linear amplitude sweep: cited arithmetic, laws, and planted damage that must come back."""

import math
import tomllib
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from resile.compute.rheology.damage import amplitude_sweep as sweeps
from resile.compute.rheology.damage import damage_growth, fatigue_law, modulus_slope, row_scatter
from resile.compute.rheology.damage.amplitude_sweep import AmplitudeRows, analyse_amplitude_sweep
from resile.compute.rheology.damage.damage_quality import damage_measures
from resile.compute.rheology.damage.damage_simulation import simulate_integrity
from resile.errors import MeasurementError
from resile.records.models.amplitude_sweep import (
    AmplitudeSweep,
    DamageForm,
    ExponentConvention,
    FailureRule,
    FatigueLaw,
    ModulusSlope,
)

FILE = Path(__file__).resolve().parents[3] / "published" / "amplitude_sweep.toml"
CASES: list[dict[str, Any]] = tomllib.loads(FILE.read_text(encoding="utf-8"))["case"]
PLAIN = {
    name: function
    for module in (damage_growth, fatigue_law, modulus_slope, row_scatter, sweeps)
    for name, function in vars(module).items()
    if callable(function) and any(c["function"] == f"{module.__name__}.{name}" for c in CASES)
}
PLAIN["simulate_integrity"] = simulate_integrity


def name_of(case: dict[str, Any]) -> str:
    return str(case["function"].rpartition(".")[2])


def rows(
    exponent: float,
    c1: float,
    c2: float,
    *,
    count: int = 311,
    until_s: float = 310.0,
    scatter: float = 0.0,
    seed: int = 0,
) -> AmplitudeRows:
    """Make an amplitude part of a planted law, cut off where a thirtieth of the modulus is left."""
    time = np.linspace(0.0, until_s, count)
    whole = simulate_integrity(time, exponent=exponent, loss_coefficient=c1, loss_exponent=c2)
    time, whole = time[whole > 0.03], whole[whole > 0.03]
    strain = 0.001 + 0.299 * time / 310.0
    modulus = 2e4 * whole * (1.0 + scatter * np.random.default_rng(seed).standard_normal(len(time)))
    return AmplitudeRows(time, strain, modulus * strain, modulus, np.full(len(time), 50.0), 10.0, 25.0)


def chosen(
    sweep: AmplitudeSweep,
    failure: FailureRule,
    convention: ExponentConvention = ExponentConvention.INVERSE_SLOPE,
    form: DamageForm = DamageForm.MODULUS_RATIO,
) -> FatigueLaw:
    found = [
        one for one in sweep.laws if (one.convention, one.form, one.failure) == (convention, form, failure)
    ]
    return found[0]


@pytest.mark.parametrize(
    "case",
    [c for c in CASES if name_of(c) in PLAIN and "rows" not in c["inputs"]],
    ids=lambda case: case["name"],
)
def test_the_cited_arithmetic_comes_out(case: dict[str, Any]) -> None:
    inputs = dict(case["inputs"])
    if "convention" in inputs:
        inputs["convention"] = ExponentConvention(inputs["convention"])
    found = PLAIN[name_of(case)](**inputs)
    picked = {
        "fit_modulus_slope": lambda: found.slope,
        "fit_integrity": lambda: found.loss_exponent,
        "damage_growth": lambda: found[-1],
        "part_amplitude_sweep": lambda: found[1],
    }.get(name_of(case), lambda: found)()
    assert np.asarray(picked, dtype=float) == pytest.approx(case["expected"], abs=case["tolerance"])


@pytest.mark.parametrize("case", [c for c in CASES if "rows" in c["inputs"]], ids=lambda case: case["name"])
def test_a_planted_law_comes_back(case: dict[str, Any]) -> None:
    given_ = case["inputs"]
    part = rows(
        given_["exponent"],
        given_["loss_coefficient"],
        given_["loss_exponent"],
        count=given_["rows"],
        until_s=given_["until_s"],
    )
    slope = ModulusSlope(1.0 / given_["exponent"], 0.0, 0.001, 12, 0.999)
    sweep = analyse_amplitude_sweep(part, slope)
    found = chosen(sweep, FailureRule.LOSS_OF_35_PERCENT)
    if name_of(case) == "damage_measures":
        measures = {m.name: m.value for m in damage_measures(sweep, part)}
        assert measures["modulus_rise_percent"] == case["expected"]
    elif name_of(case) == "fatigue_law":
        assert found.lives[0].cycles == pytest.approx(case["expected"], rel=case["tolerance"])
    else:
        expected = case["expected"]
        assert found.fit.loss_coefficient == pytest.approx(
            expected["loss_coefficient"], rel=case["tolerance"]
        )
        assert found.fit.loss_exponent == pytest.approx(expected["loss_exponent"], rel=case["tolerance"])
        assert found.lives[0].cycles == pytest.approx(expected["cycles_2_5"], rel=case["tolerance"])


@given(st.floats(1.0, 4.0), st.floats(0.02, 0.2), st.floats(0.2, 0.8), st.floats(0.1, 0.8))
@settings(max_examples=25)
def test_twice_the_strain_costs_two_to_the_b(alpha: float, c1: float, c2: float, loss: float) -> None:
    at = fatigue_law.damage_at_loss(loss, loss_coefficient=c1, loss_exponent=c2)
    a = fatigue_law.fatigue_coefficient(alpha, loss_coefficient=c1, loss_exponent=c2, damage_at_failure=at)
    few, many = fatigue_law.fatigue_life([5.0, 2.5], coefficient_a=a, exponent_b=2 * alpha)
    assert many / few == pytest.approx(2.0 ** (2 * alpha), rel=1e-12)


@pytest.mark.parametrize(("alpha", "c1", "c2", "loss"), [(1.5, 0.05, 0.5, 0.35), (2.2, 0.10, 0.4, 0.45)])
def test_damage_added_up_at_one_amplitude_fails_after_the_cycles_of_the_law(
    alpha: float, c1: float, c2: float, loss: float
) -> None:
    at = float(fatigue_law.damage_at_loss(loss, loss_coefficient=c1, loss_exponent=c2))
    a = fatigue_law.fatigue_coefficient(alpha, loss_coefficient=c1, loss_exponent=c2, damage_at_failure=at)
    cycles = float(fatigue_law.fatigue_life(2.5, coefficient_a=a, exponent_b=2 * alpha))
    time = cycles / 10.0 * np.linspace(0.0, 1.0, 20_001) ** 2  # finer where damage grows fastest
    whole = simulate_integrity(
        time,
        exponent=alpha,
        loss_coefficient=c1,
        loss_exponent=c2,
        first_strain_percent=2.5,
        last_strain_percent=2.5,
    )
    damage = damage_growth.damage_growth(np.full(time.size, 2.5), whole, time, exponent=alpha)
    assert damage[-1] == pytest.approx(at, rel=1e-4)


@given(st.floats(0.05, 20.0))
@settings(max_examples=15)
def test_the_unit_of_the_modulus_does_not_touch_a_law_by_its_ratio(factor: float) -> None:
    part = rows(1.8, 0.08, 0.5, count=120)
    other = AmplitudeRows(
        part.time_s,
        part.strain,
        factor * part.stress_kpa,
        factor * part.complex_modulus,
        part.phase_angle_deg,
        10.0,
        25.0,
    )
    slope = ModulusSlope(1 / 1.8, 0.0, 0.002, 12, 0.99)
    one, two = (analyse_amplitude_sweep(p, slope).laws[0] for p in (part, other))
    assert one.coefficient_a == pytest.approx(two.coefficient_a, rel=1e-6)
    assert one.exponent_b == two.exponent_b


def test_the_older_form_with_a_constant_angle_is_the_law_by_the_ratio_with_another_unit_of_damage() -> None:
    part = rows(1.6, 0.06, 0.5, count=2000)
    sweep = analyse_amplitude_sweep(part, ModulusSlope(1 / 1.6, 0.0, 0.002, 12, 0.99))
    ratio, older = (
        chosen(sweep, FailureRule.LOSS_OF_35_PERCENT, form=form)
        for form in (DamageForm.MODULUS_RATIO, DamageForm.LOSS_MODULUS)
    )
    assert older.fit.loss_exponent == pytest.approx(ratio.fit.loss_exponent, rel=0.01)
    # One and the same failure: the damage law integrates to the same cycles, whatever damage is measured in.
    assert older.lives[0].cycles == pytest.approx(ratio.lives[0].cycles, rel=0.02)


def test_both_conventions_are_always_given_and_differ_by_two_in_b() -> None:
    sweep = analyse_amplitude_sweep(
        rows(1.8, 0.08, 0.5),
        ModulusSlope(1 / 1.8, 0.0, 0.002, 12, 0.99),
        convention=ExponentConvention.ONE_PLUS_INVERSE_SLOPE,
    )
    first, second = sweep.laws[:2]
    assert first.convention is ExponentConvention.ONE_PLUS_INVERSE_SLOPE
    assert second.convention is ExponentConvention.INVERSE_SLOPE
    assert first.exponent_b - second.exponent_b == pytest.approx(2.0)


def test_a_stress_that_still_rises_has_no_peak_and_failure_is_the_loss() -> None:
    part = rows(1.8, 0.02, 0.4, until_s=310.0)
    short = rows(1.8, 0.08, 0.5, until_s=120.0)
    slope = ModulusSlope(1 / 1.8, 0.0, 0.002, 12, 0.99)
    assert (
        analyse_amplitude_sweep(short, slope).peak is None
        or short.stress_kpa.argmax() < len(short.strain) - 1
    )
    found = analyse_amplitude_sweep(part, slope)
    assert found.peak is None
    assert {one.failure for one in found.laws} <= {FailureRule.LOSS_OF_35_PERCENT}


def test_a_slope_that_was_stated_gives_no_intervals() -> None:
    found = analyse_amplitude_sweep(rows(1.8, 0.08, 0.5), ModulusSlope(1 / 1.8)).laws[0]
    assert found.a_low is None
    assert found.lives[0].low is None


def test_a_rise_of_the_modulus_adds_no_damage_and_is_measured() -> None:
    part = rows(1.8, 0.08, 0.5)
    risen = part.complex_modulus.copy()
    risen[60:63] *= 1.2
    odd = AmplitudeRows(
        part.time_s, part.strain, part.strain * risen, risen, part.phase_angle_deg, 10.0, 25.0
    )
    sweep = analyse_amplitude_sweep(odd, ModulusSlope(1 / 1.8, 0.0, 0.002, 12, 0.99))
    measures = {m.name: m.value for m in damage_measures(sweep, odd)}
    assert measures["modulus_rise_percent"] > 10.0
    assert all(b.damage >= a.damage for a, b in zip(sweep.points, sweep.points[1:], strict=False))


@pytest.mark.parametrize(
    "wrong", ["too few rows", "time stands still", "modulus of zero", "strain of zero asked"]
)
def test_what_cannot_be_analysed_is_refused_with_what_is_needed(wrong: str) -> None:
    part = rows(1.8, 0.08, 0.5)
    slope = ModulusSlope(1 / 1.8, 0.0, 0.002, 12, 0.99)
    strains = (0.0,) if wrong == "strain of zero asked" else (2.5,)
    every = 75 if wrong == "too few rows" else 1
    time = np.zeros_like(part.time_s) if wrong == "time stands still" else part.time_s
    modulus = part.complex_modulus * (wrong != "modulus of zero")
    odd = AmplitudeRows(
        time[::every],
        part.strain[::every],
        part.stress_kpa[::every],
        modulus[::every],
        part.phase_angle_deg[::every],
        10.0,
        25.0,
    )
    with pytest.raises(MeasurementError):
        analyse_amplitude_sweep(odd, slope, at_strain_percent=strains)


@pytest.mark.nightly
@pytest.mark.parametrize("scatter", [0.0003, 0.001, 0.003])
def test_the_intervals_hold_the_planted_cycles_in_about_nineteen_of_twenty_sweeps(scatter: float) -> None:
    alpha, c1, c2 = 1.5, 0.05, 0.5
    fine = np.linspace(0.0, 310.0, 100_001)
    whole = simulate_integrity(fine, exponent=alpha, loss_coefficient=c1, loss_exponent=c2)
    peak = int((whole * (0.001 + 0.299 * fine / 310.0)).argmax())
    truth = []
    for loss in (1.0 - whole[peak], 0.35):
        at = fatigue_law.damage_at_loss(loss, loss_coefficient=c1, loss_exponent=c2)
        a = fatigue_law.fatigue_coefficient(
            alpha, loss_coefficient=c1, loss_exponent=c2, damage_at_failure=at
        )
        truth.append(float(fatigue_law.fatigue_life(2.5, coefficient_a=a, exponent_b=2 * alpha)))
    held = np.zeros(2)
    sweeps_made = 100
    omega = 2 * math.pi * np.array([0.2, 0.4, 0.6, 0.8, 1, 2, 4, 6, 8, 10, 20, 30])
    for seed in range(sweeps_made):
        noise = np.random.default_rng(1000 + seed)
        slope = modulus_slope.fit_modulus_slope(
            omega, 500 * omega ** (1 / alpha) * (1 + scatter * noise.standard_normal(12))
        )
        sweep = analyse_amplitude_sweep(rows(alpha, c1, c2, scatter=scatter, seed=seed), slope)
        for place, failure in enumerate((FailureRule.PEAK_STRESS, FailureRule.LOSS_OF_35_PERCENT)):
            life = chosen(sweep, failure).lives[0]
            assert life.low is not None and life.high is not None
            held[place] += life.low <= truth[place] <= life.high
    assert (held / sweeps_made >= 0.87).all()
