import csv
import itertools
from pathlib import Path

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from resile.compute.statistics.critical.critical_difference import critical_temperature_difference
from resile.compute.statistics.critical.critical_temperature import (
    critical_temperature,
    critical_temperatures,
)
from resile.errors import MeasurementError
from resile.records.critical_temperature import CriticalTemperature

SHARED = Path(__file__).resolve().parents[3] / ".." / "shared" / "data"
RULE = st.sampled_from(["log", "linear"])
FALLING = st.lists(st.floats(0.05, 1.0), min_size=2, max_size=6)


def rows_of(*parts: str) -> list[dict[str, str]]:
    path = SHARED.joinpath(*parts)
    if not path.exists():
        pytest.skip("the folder of shared data is absent")
    with path.open(encoding="utf-8", newline="") as lines:
        return list(csv.DictReader(lines))


def falling(drops: list[float]) -> tuple[np.ndarray, np.ndarray]:
    temperatures = 58.0 + 6.0 * np.arange(len(drops) + 1)
    return temperatures, np.exp(3.0 - np.concatenate(([0.0], np.cumsum(drops))))


def test_every_published_high_temperature_is_the_log_rule_and_none_the_linear_one() -> None:
    # FHWA Turner-Fairbank, Data.xlsx sheet HTPG: 35 specimens, printed to 0.1 °C.
    rows = rows_of("fhwa_ptf_rutting_mit", "htpg_dsr_points.csv")
    off = []
    names = ("lane", "binder", "lab_ageing", "sample_id", "replicate")
    for specimen, group in itertools.groupby(rows, lambda row: tuple(row[name] for name in names)):
        points = list(group)
        found = critical_temperature(
            [float(row["temperature_C"]) for row in points],
            [float(row["Gstar_over_sin_kPa"]) for row in points],
            1.0 if specimen[2] == "Unaged" else 2.2,
            both_rules=True,
        )
        assert found.temperature_c is not None
        assert found.other_rule_c is not None
        reported = float(points[0]["reported_high_grade_C"])
        off.append((abs(found.temperature_c - reported), abs(found.other_rule_c - reported)))
    assert len(off) == 35
    assert max(log for log, _ in off) < 0.05
    assert min(linear for _, linear in off) > 0.05


def test_every_published_low_temperature_and_difference_comes_out_to_a_millionth() -> None:
    # FHWA Turner-Fairbank, recycling study: six beams, printed to full precision.
    beams = rows_of("fhwa_pitC_recycling_mit", "bbr_60s.csv")
    for row in rows_of("fhwa_pitC_recycling_mit", "bbr_reported_critical_temperatures.csv"):
        pair = [b for b in beams if (b["binder"], b["replicate"]) == (row["binder"], row["replicate"])]
        at = [float(b["temperature_C"]) for b in pair]
        stiffness = critical_temperature(at, [float(b["S60_MPa"]) for b in pair], 300.0)
        slope = critical_temperature(at, [float(b["m60"]) for b in pair], 0.3, rule="linear")
        assert stiffness.temperature_c == pytest.approx(float(row["reported_Tc_S_C"]), abs=1e-6)
        assert slope.temperature_c == pytest.approx(float(row["reported_Tc_m_C"]), abs=1e-6)
        difference = critical_temperature_difference(stiffness, slope).difference_c
        assert difference == pytest.approx(float(row["reported_delta_Tc_C"]), abs=1e-6)


@given(FALLING, st.floats(0.05, 0.95), RULE)
def test_the_temperature_lies_between_the_two_points_used(
    drops: list[float], share: float, rule: str
) -> None:
    at, values = falling(drops)
    limit = float(values[-1] + share * (values[0] - values[-1]))
    found = critical_temperature(at, values, limit, rule=rule)
    assert found.bracketed
    assert found.temperature_c is not None
    assert found.points[0].temperature_c - 1e-9 <= found.temperature_c
    assert found.temperature_c <= found.points[1].temperature_c + 1e-9


@given(FALLING, st.floats(0.05, 0.95), RULE)
def test_points_outside_the_bracket_change_nothing(drops: list[float], share: float, rule: str) -> None:
    at, values = falling(drops)
    limit = float(values[-1] + share * (values[0] - values[-1]))
    whole = critical_temperature(at, values, limit, rule=rule)
    pair = [(p.temperature_c, p.value) for p in whole.points]
    alone = critical_temperature(*zip(*pair, strict=True), limit, rule=rule)
    assert alone.temperature_c == whole.temperature_c


@given(FALLING, st.floats(0.05, 0.95), RULE, st.randoms())
def test_the_order_of_the_points_does_not_matter(drops: list[float], share: float, rule: str, random) -> None:
    at, values = falling(drops)
    limit = float(values[-1] + share * (values[0] - values[-1]))
    order = list(range(len(at)))
    random.shuffle(order)
    mixed = critical_temperature(at[order], values[order], limit, rule=rule)
    assert mixed.temperature_c == critical_temperature(at, values, limit, rule=rule).temperature_c


@given(FALLING, st.floats(0.05, 0.95), st.floats(1.01, 1.5), RULE)
def test_a_stiffer_residue_never_lowers_the_high_temperature(
    drops: list[float], share: float, factor: float, rule: str
) -> None:
    at, values = falling(drops)
    limit = float(values[-1] + share * (values[0] - values[-1]))
    soft = critical_temperature(at, values, limit, rule=rule)
    stiff = critical_temperature(
        at, factor * values, limit, rule=rule, allow_extrapolation=True, reach_c=1000.0
    )
    assume(stiff.temperature_c is not None)
    assert stiff.temperature_c is not None
    assert soft.temperature_c is not None
    assert stiff.temperature_c >= soft.temperature_c - 1e-9


@given(FALLING, st.floats(0.05, 0.95), st.floats(0.01, 100.0), RULE)
def test_the_unit_of_the_property_does_not_matter(
    drops: list[float], share: float, factor: float, rule: str
) -> None:
    at, values = falling(drops)
    limit = float(values[-1] + share * (values[0] - values[-1]))
    one = critical_temperature(at, values, limit, rule=rule, standards=0.05 * values)
    other = critical_temperature(
        at, factor * values, factor * limit, rule=rule, standards=0.05 * factor * values
    )
    assert other.temperature_c == pytest.approx(one.temperature_c, abs=1e-8)
    assert other.standard == pytest.approx(one.standard, rel=1e-8)


@given(FALLING, st.floats(0.05, 0.95))
def test_the_linear_rule_never_lies_below_the_log_rule_between_two_points(
    drops: list[float], share: float
) -> None:
    # The chord of a convex curve lies above it, so it meets the limit later.
    at, values = falling(drops)
    limit = float(values[-1] + share * (values[0] - values[-1]))
    found = critical_temperature(at, values, limit, both_rules=True)
    assert found.other_rule_c is not None
    assert found.temperature_c is not None
    assert found.other_rule_c >= found.temperature_c - 1e-9


@given(st.lists(FALLING.filter(lambda d: len(d) == 3), min_size=1, max_size=5), st.floats(0.5, 15.0), RULE)
def test_many_samples_at_once_give_what_each_gives_alone(
    samples: list[list[float]], limit: float, rule: str
) -> None:
    at = falling(samples[0])[0]
    values = np.stack([falling(drops)[1] for drops in samples])
    together = critical_temperatures(at, values, limit, rule=rule)
    for found, row in zip(together, values, strict=True):
        alone = critical_temperature(at, row, limit, rule=rule).temperature_c
        assert (alone is None and np.isnan(found)) or found == alone


@given(st.floats(0.01, 0.1), st.floats(0.01, 0.1), st.floats(-1.0, 1.0), st.floats(0.0, 0.3))
def test_the_uncertainty_is_that_of_the_general_law(u1: float, u2: float, r: float, ut: float) -> None:
    from resile.compute.statistics.critical.limit_crossing import interpolated_temperature
    from resile.compute.statistics.uncertainty.propagation import propagate_linear
    from resile.records.propagation import InputQuantity

    found = critical_temperature(
        [64.0, 70.0],
        [2.791, 1.254],
        2.2,
        standards=[2.791 * u1, 1.254 * u2],
        correlation=r,
        temperature_standard_c=ut,
    )
    general = propagate_linear(
        lambda a, b, shift: shift + interpolated_temperature(64.0, 70.0, a, b, 2.2),
        [
            InputQuantity("a", 2.791, 2.791 * u1),
            InputQuantity("b", 1.254, 1.254 * u2),
            InputQuantity("t", 0, ut),
        ],
        correlation=[[1, r, 0], [r, 1, 0], [0, 0, 1]],
    )
    assert found.standard == pytest.approx(general.standards[0], rel=1e-5, abs=1e-9)


def test_a_value_on_the_limit_is_the_temperature() -> None:
    found = critical_temperature([-12.0, -18.0], [0.326, 0.300], 0.300, rule="linear")
    assert found.temperature_c == -18.0
    assert found.bracketed


def test_without_a_bracket_there_is_no_temperature_but_a_reason() -> None:
    found = critical_temperature([64.0, 70.0], [5.0, 3.0], 2.2)
    assert found.temperature_c is None
    assert found.reason == "the values from 64 to 70 °C do not bracket the limit"


def test_an_extrapolation_is_given_only_on_request_and_marked() -> None:
    found = critical_temperature([64.0, 70.0], [4.4 * 2, 4.4], 2.2, allow_extrapolation=True)
    assert found.temperature_c == pytest.approx(76.0)  # it halves every 6 °C
    assert found.extrapolated
    assert found.extrapolated_c == pytest.approx(6.0)


def test_an_extrapolation_beyond_its_reach_is_refused_with_the_distance() -> None:
    found = critical_temperature([64.0, 70.0], [8.8, 4.4], 1.1, allow_extrapolation=True)
    assert found.temperature_c is None
    assert found.reason == "the limit lies 12.0 °C beyond 64 to 70 °C: more than 6 °C"


def test_published_table_beyond_its_last_temperature_is_not_extrapolated_in_silence() -> None:
    # Advances in Materials Science and Engineering 2022, 8644521, Table 11, binder G unaged [read].
    values = [12.031, 7.508, 4.761, 3.051, 1.967, 1.276]
    assert critical_temperature([58, 64, 70, 76, 82, 88], values, 1.0).temperature_c is None


def test_a_property_that_runs_both_ways_has_no_temperature() -> None:
    found = critical_temperature([58.0, 64.0, 70.0, 76.0], [4.0, 2.0, 3.0, 1.0], 2.2)
    assert found.temperature_c is None
    assert "3 places" in found.reason
    assert np.isnan(critical_temperatures([58.0, 64.0, 70.0, 76.0], [4.0, 2.0, 3.0, 1.0], 2.2))


def test_one_temperature_is_not_enough() -> None:
    assert critical_temperature([64.0], [3.0], 2.2).reason == "needed are results at two temperatures or more"


def test_replicates_at_one_temperature_are_refused() -> None:
    with pytest.raises(MeasurementError, match=r"64 °C stands twice"):
        critical_temperature([64.0, 64.0, 70.0], [3.0, 3.1, 1.5], 2.2)


def test_the_log_rule_refuses_a_value_of_zero() -> None:
    with pytest.raises(MeasurementError, match="no logarithm"):
        critical_temperature([64.0, 70.0], [3.0, 0.0], 2.2)


@settings(deadline=None, max_examples=5)
@given(st.integers(0, 1000))
def test_simulation_and_linear_law_agree_where_the_slope_is_sure(seed: int) -> None:
    found = critical_temperature(
        [64.0, 70.0],
        [2.791, 1.254],
        2.2,
        standards=[0.06, 0.03],
        rng=np.random.default_rng(seed),
        draws=20_000,
    )
    assert found.simulated is not None
    assert found.standard is not None
    assert found.linear_holds
    assert found.reversed_share == 0.0
    assert found.simulated.standard == pytest.approx(found.standard, rel=0.03)


def test_a_flat_property_shows_that_the_linear_law_fails() -> None:
    # Two m-values 0.004 apart, each known to 0.003: the slope itself is in doubt.
    found = critical_temperature(
        [-12.0, -18.0],
        [0.302, 0.298],
        0.300,
        rule="linear",
        standards=[0.003, 0.003],
        distribution="normal",
        rng=np.random.default_rng(7),
    )
    assert found.linear_holds is False
    assert found.reversed_share is not None
    assert 0.1 < found.reversed_share < 0.3  # Phi(-0.004/(0.003 sqrt 2)) = 0.173


@given(st.floats(0.0, 0.5), st.floats(0.0, 0.5), st.floats(0.0, 0.5))
def test_a_shared_error_of_the_bath_cancels_in_the_difference(
    own_s: float, own_m: float, bath: float
) -> None:
    def part(own: float) -> CriticalTemperature:
        return CriticalTemperature(-16.0, 300.0, "log", bracketed=True, standard=float(np.hypot(own, bath)))

    found = critical_temperature_difference(part(own_s), part(own_m), covariance=bath**2)
    assert found.standard == pytest.approx(float(np.hypot(own_s, own_m)), abs=1e-7)


def test_a_covariance_that_cannot_be_is_refused() -> None:
    part = CriticalTemperature(-16.0, 300.0, "log", standard=0.2)
    with pytest.raises(MeasurementError, match="more than the standard uncertainties"):
        critical_temperature_difference(part, part, covariance=0.1)


def test_a_difference_with_a_missing_part_says_which() -> None:
    known = critical_temperature([-12.0, -18.0], [144.0, 354.0], 300.0)
    missing = critical_temperature([-12.0, -18.0], [0.326, 0.310], 0.300, rule="linear")
    found = critical_temperature_difference(known, missing)
    assert found.difference_c is None
    assert found.reason.startswith("m-value: the values from -18 to -12 °C")
