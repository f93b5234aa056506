"""Trains of pulses: cited cases, closed forms, and the same train followed pulse by pulse."""

import math
import tomllib
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from resile.compute.rheology.models.viscoelastic_models import (
    BurgersModel,
    KelvinElement,
    StressPulse,
    creep_recovery_response,
    newtonian,
)
from resile.compute.rheology.traffic.creep_binder import (
    binder_of_model,
    burgers_at_stress,
    flow_at_stress,
    recovery_between_pulses,
)
from resile.compute.rheology.traffic.pulse_train import accumulate_strain, pulse_duration, viscosity_factor
from resile.compute.rheology.traffic.rutting_index import (
    TrafficBinder,
    binder_of_line,
    jnr_at_stress,
    relative_index,
    strain_of_binder,
)
from resile.compute.site.pavement_hours import hot_days, hourly_temperature
from resile.errors import InputError, MeasurementError
from resile.records.fit import LeastSquaresFit
from resile.records.models.creep_model import (
    CreepModel,
    CreepModelFit,
    CreepModelKind,
    LevelCompliance,
    ModelParameter,
)
from resile.records.models.pulse_train import LoadTrain
from resile.records.temperature_line import TemperatureLine

FILE = Path(__file__).resolve().parents[3] / "published" / "traffic_pulses.toml"
CASES = {case["name"]: case for case in tomllib.loads(FILE.read_text(encoding="utf-8"))["case"]}
MODEL = BurgersModel(1.4, 25.0, (KelvinElement(1.5, 0.9), KelvinElement(4.0, 60.0)))


def line(
    jnr: float, *, slope: float = 0.12, middle_c: float = 64.0, standard: float = 0.0
) -> TemperatureLine:
    covariance = (standard**2, 0.0, (standard / 5.0) ** 2)
    return TemperatureLine(middle_c, math.log(jnr), slope, covariance, standard, math.inf, 58.0, 70.0, 2)


def train(
    *, pulse_s: float = 0.02, rest_s: float = 1.0, pulses: int = 100, stress_kpa: float = 3.2
) -> LoadTrain:
    return LoadTrain(stress_kpa, 45.0, 0.25, pulse_s, rest_s, pulses)


RECORDED = {"burgers_at_stress", "flow_at_stress", "binder_of_model", "recovery_between_pulses"}


def fitted(viscosity_interval: float = 0.0) -> CreepModelFit:
    """A model of fluidity 1 at 0.1 kPa and 4 at 3.2 kPa, as a fit with an interval of its viscosity."""
    levels = (LevelCompliance(0.1, 0.0, 1.0, (0.5,)), LevelCompliance(3.2, 0.0, 4.0, (0.5,)))
    low = math.exp(-viscosity_interval * 1.959963984540054)
    parameters = tuple(
        ModelParameter("viscosity", at, None, value, value * low, value / low, "kPa·s")
        for at, value in ((0.1, 1.0), (3.2, 0.25))
    )
    nothing = LeastSquaresFit((), (), (), 0.0, 0.0, 1)
    model = CreepModel(CreepModelKind.BURGERS, levels, (2.0,), temperature_c=64.0)
    return CreepModelFit(model, nothing, parameters, 0.95, 0.0, (), ())


def found_of_record(name: str, given_: dict[str, Any]) -> Any:
    if name == "burgers_at_stress":
        return burgers_at_stress(fitted().model, given_["stress_kpa"]).maxwell_dashpot_kpa_s
    if name == "flow_at_stress":
        return flow_at_stress(fitted(0.1), given_["stress_kpa"])
    if name == "binder_of_model":
        level, slope = math.log(given_["fluidity"]), given_["slope_per_c"]
        ends = (0.01, math.inf, 54.0, 66.0, 2)
        of_fluidity = TemperatureLine(given_["middle_c"], level, slope, tuple(given_["covariance"]), *ends)
        made = binder_of_model(newtonian(9.0), given_["model_c"], of_fluidity)
        return (made.model.maxwell_dashpot_kpa_s, *made.covariance)
    one = TrafficBinder(BurgersModel(1.0, kelvin_elements=(KelvinElement(1.0, 2.0),)), 60.0, 0.1)
    told = recovery_between_pulses(one, train(**given_), 60.0, after_s=[given_["rest_s"]])
    assert told.delayed_per_flow[0] == pytest.approx(told.delayed_at_once * told.still_percent / 100.0)
    return told.delayed_at_once, told.still_percent, told.standing_pulses


def found(case: dict[str, Any]) -> Any:
    given_ = dict(case["inputs"])
    name = case["function"].rpartition(".")[2]
    if name == "accumulate_strain":
        return accumulate_strain(newtonian(given_.pop("viscosity_kpa_s")), **given_).left
    if name == "binder_of_line":
        return binder_of_line(line(given_["jnr"])).model.maxwell_dashpot_kpa_s
    if name == "strain_of_binder":
        one = train(
            pulse_s=given_["pulse_s"], rest_s=given_["rest_s"], pulses=1, stress_kpa=given_["stress_kpa"]
        )
        return strain_of_binder(binder_of_line(line(given_["jnr"])), one, [64.0]).left
    if name == "relative_index":
        pair = (given_["jnr"], given_["reference_jnr"])
        strains = [strain_of_binder(binder_of_line(line(jnr)), train(), [50.0, 60.0]) for jnr in pair]
        return relative_index(*strains).value
    if name == "hourly_temperature":
        return hourly_temperature(given_["high_c"], given_["low_c"])[0][given_["hours"]]
    if name in RECORDED:
        return found_of_record(name, given_)
    plain = {f.__name__: f for f in (pulse_duration, viscosity_factor, jnr_at_stress, hot_days)}
    return plain[name](**given_)


@pytest.mark.parametrize("name", list(CASES))
def test_the_cited_cases_come_out(name: str) -> None:
    case = CASES[name]
    assert np.asarray(found(case), dtype=float) == pytest.approx(case["expected"], abs=case["tolerance"])


def test_one_pulse_of_the_test_leaves_jnr_times_its_stress() -> None:
    left = accumulate_strain(MODEL, stress_kpa=3.2, pulse_s=1.0, rest_s=9.0, pulses=[1]).left
    one = creep_recovery_response(MODEL, [10.0], pulses=[StressPulse(0.0, 1.0, 3.2)])
    assert left == pytest.approx(float(one[0]), rel=1e-13)


@given(st.floats(0.005, 1.0), st.floats(0.0, 5.0), st.lists(st.integers(0, 40), min_size=1, max_size=6))
@settings(max_examples=25)
def test_blocks_give_what_every_pulse_alone_gives(pulse_s: float, rest_s: float, blocks: list[int]) -> None:
    strain = accumulate_strain(MODEL, stress_kpa=2.0, pulse_s=pulse_s, rest_s=rest_s, pulses=blocks)
    cycle = pulse_s + rest_s
    pulses = [StressPulse(k * cycle, k * cycle + pulse_s, 2.0) for k in range(sum(blocks))]
    ends = np.cumsum(blocks) * cycle
    single = creep_recovery_response(MODEL, ends, pulses=pulses) if pulses else np.zeros(len(ends))
    at_once = 2.0 / MODEL.maxwell_spring_kpa if rest_s < 1e-9 else 0.0  # the spring has not yet let go
    taken = strain.flow + strain.retarded
    assert taken == pytest.approx(np.maximum(single - at_once * (ends > 0), 0.0), rel=1e-9, abs=1e-9)


def test_a_history_of_temperature_gives_what_an_independent_integration_gives() -> None:
    from scipy.integrate import solve_ivp

    model = BurgersModel(1.4, kelvin_elements=(KelvinElement(1.5, 30.0),))
    factor, count, pulse_s, rest_s, idle_s = [1.0, 0.4, 2.5], [3, 5, 2], 0.5, 1.5, 4.0
    state, flow = 0.0, 0.0
    for a, n in zip(factor, count, strict=True):
        steps = [(pulse_s, 2.0), (rest_s, 0.0)] * n + [(idle_s, 0.0)]
        for length, stress in steps:
            rate = lambda _, e, stress=stress, a=a: (stress - 1.5 * e) / (30.0 * a)  # noqa: E731
            state = float(solve_ivp(rate, (0.0, length), [state], rtol=1e-10, atol=1e-13).y[0, -1])
            flow += stress * length / (1.4 * a)
    strain = accumulate_strain(
        model, stress_kpa=2.0, pulse_s=pulse_s, rest_s=rest_s, pulses=count, factor=factor, idle_s=idle_s
    )
    assert strain.retarded[-1] == pytest.approx(state, rel=1e-8)
    assert strain.flow[-1] == pytest.approx(flow, rel=1e-12)


@given(st.floats(0.1, 10.0), st.floats(0.05, 0.25))
@settings(max_examples=15)
def test_a_binder_against_itself_is_one_and_against_half_its_jnr_two(jnr: float, slope: float) -> None:
    hours = [30.0, 45.0, 60.0]
    own, half = (
        strain_of_binder(binder_of_line(line(j, slope=slope, standard=0.1)), train(), hours)
        for j in (jnr, jnr / 2)
    )
    itself = relative_index(own, own)
    assert (itself.value, itself.low, itself.high) == (1.0, 1.0, 1.0)
    assert relative_index(own, half).value == pytest.approx(2.0, rel=1e-12)


def test_half_the_compliance_at_one_shape_is_half_the_strain_of_a_model_with_recovery() -> None:
    stiff = BurgersModel(2.8, 50.0, (KelvinElement(3.0, 1.8), KelvinElement(8.0, 120.0)))
    one, two = (strain_of_binder(TrafficBinder(m, 64.0, 0.12), train(), [50.0, 64.0]) for m in (stiff, MODEL))
    assert one.left / two.left == pytest.approx(0.5, rel=1e-12)


def test_the_interval_of_an_index_is_that_of_both_lines_at_the_temperature_the_strain_comes_from() -> None:
    # One temperature, 6 °C above the middle: var ln J = s² + 36 (s/5)² for each binder; they add.
    strains = [strain_of_binder(binder_of_line(line(j, standard=0.1)), train(), [70.0]) for j in (1.0, 2.0)]
    index = relative_index(strains[0], strains[1])
    reach = 1.959963984540054 * math.sqrt(2 * (0.01 + 36.0 * 0.0004))
    assert math.log(index.high / index.value) == pytest.approx(reach, rel=1e-9)
    assert math.log(index.value / index.low) == pytest.approx(reach, rel=1e-9)


def test_speed_and_rest_do_not_touch_the_index_of_two_liquids() -> None:
    found_ = []
    for load in (train(), train(pulse_s=0.5, rest_s=30.0, pulses=20, stress_kpa=0.5)):
        one, two = (strain_of_binder(binder_of_line(line(j)), load, [50.0, 60.0]) for j in (0.7, 2.0))
        found_.append(relative_index(one, two).value)
    assert found_[0] == pytest.approx(found_[1], rel=1e-12)


@pytest.mark.parametrize(
    "wrong",
    [
        lambda: pulse_duration(0.0, loaded_length_m=0.25),
        lambda: viscosity_factor(float("nan"), reference_c=64.0, slope_per_c=0.1),
        lambda: accumulate_strain(MODEL, stress_kpa=3.2, pulse_s=0.02, rest_s=1.0, pulses=[1.5]),
        lambda: accumulate_strain(MODEL, stress_kpa=3.2, pulse_s=0.02, rest_s=-1.0, pulses=[1]),
        lambda: accumulate_strain(MODEL, stress_kpa=0.0, pulse_s=0.02, rest_s=1.0, pulses=[1]),
        lambda: jnr_at_stress(1.0, 2.0, 10.0),
        lambda: jnr_at_stress(0.0, 2.0, 1.0),
        lambda: strain_of_binder(binder_of_line(line(1.0)), train(pulses=10_000), [50.0]),
        lambda: strain_of_binder(binder_of_line(line(1.0)), train(), []),
        lambda: hourly_temperature([20.0], [30.0]),
        lambda: hot_days([30.0], [20.0, 10.0], hottest_week_c=35.0, within_c=5.0),
    ],
)
def test_numbers_out_of_range_are_refused(wrong: Any) -> None:
    with pytest.raises((InputError, MeasurementError)):
        wrong()


def test_the_standing_strain_is_what_a_long_row_of_pulses_holds() -> None:
    binder = TrafficBinder(MODEL, 60.0, 0.1)
    told = recovery_between_pulses(binder, train(), 54.0)
    factor = float(viscosity_factor(54.0, reference_c=60.0, slope_per_c=0.1))
    row = accumulate_strain(MODEL, stress_kpa=3.2, pulse_s=0.02, rest_s=1.0, pulses=[100_000], factor=factor)
    assert told.standing_pulses == pytest.approx(float(row.retarded[0] / (row.flow[0] / 100_000)), rel=1e-9)


def test_a_stress_outside_the_record_a_springpot_and_a_binder_without_flow_are_refused() -> None:
    model = fitted().model
    with pytest.raises(InputError, match=r"made at 0\.1 and 3\.2 kPa"):
        burgers_at_stress(model, 5.0)
    with pytest.raises(MeasurementError, match="no closed sum"):
        burgers_at_stress(replace(model, kind=CreepModelKind.FRACTIONAL, exponent=0.5), 3.2)
    still = (LevelCompliance(3.2, 0.1, 0.0, (0.5,)),)
    with pytest.raises(MeasurementError, match="no flow"):
        burgers_at_stress(replace(model, compliances=still), 3.2)
