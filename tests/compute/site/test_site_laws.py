"""What must hold of a site's demand whatever the numbers."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from resile.compute.site.climate import yearly_extremes
from resile.compute.site.ltpp import ltpp_high
from resile.compute.site.models import MODELS, pavement_distribution
from resile.compute.site.pavement_temperature import shrp_high
from resile.compute.site.reliability import enough_probability, reliability_quantile, step_needed
from resile.compute.site.traffic import design_axle_loads, growth_factor
from resile.errors import MeasurementError
from resile.records.climate import Climate, YearlyExtreme

HIGHS = [46.0, 52.0, 58.0, 64.0, 70.0, 76.0, 82.0]


def weather(first: str, days: int, seed: int) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    day = np.datetime64(first) + np.arange(days)
    noise = np.random.default_rng(seed).normal(0.0, 4.0, days)
    high = 18.0 - 15.0 * np.cos(2 * np.pi * (np.arange(days) - 15) / 365.25) + noise
    return day, high, high - 12.0


@given(
    st.floats(50.0, 99.8),
    st.floats(0.01, 0.15),
    st.floats(20.0, 45.0),
    st.floats(0.0, 4.0),
    st.floats(0.0, 60.0),
)
def test_more_reliability_never_asks_for_a_lower_high_grade(
    reliability: float, more: float, air: float, sd: float, latitude: float
) -> None:
    z = reliability_quantile([reliability, reliability + more])
    design = ltpp_high(air, latitude, air_sd_c=sd, z=z)
    asked = step_needed(design, [*HIGHS, 200.0], end="high")
    assert asked[1] >= asked[0]


def test_a_record_shifted_by_half_a_year_gives_the_same_extremes_in_the_other_half_of_the_world() -> None:
    day, high, low = weather("1990-01-01", 365 * 12 + 3, 4)
    north = yearly_extremes(day, high, low, first_month=1)
    south = yearly_extremes(day + 181, high, low, first_month=7)
    assert [y.high_c for y in north] == pytest.approx([y.high_c for y in south], abs=1e-12)
    assert [y.low_c for y in north if y.low_counts] == pytest.approx(
        [y.low_c for y in south if y.low_counts], abs=1e-12
    )
    assert shrp_high(36.0, 39.0) == shrp_high(36.0, -39.0)


def test_a_missing_day_is_never_bridged() -> None:
    day, high, low = weather("2001-01-01", 365, 1)
    whole = yearly_extremes(day, high, low)[0]
    hottest = int(np.flatnonzero(day == np.datetime64(whole.high_from))[0])
    high[hottest + 3] = np.nan
    gap = yearly_extremes(day, high, low)[0]
    assert gap.high_c is not None and whole.high_c is not None and gap.high_c < whole.high_c
    assert gap.days_with_maximum == 364
    absent = yearly_extremes(
        np.delete(day, hottest + 3), np.delete(high, hottest + 3), np.delete(low, hottest + 3)
    )[0]
    assert absent.high_c == gap.high_c


def test_seven_days_across_the_end_of_a_year_belong_to_neither() -> None:
    day = np.arange(np.datetime64("2001-12-28"), np.datetime64("2002-01-04"))
    years = yearly_extremes(day, np.full(7, 30.0), np.full(7, 10.0))
    assert [y.high_c for y in years] == [None, None]
    assert [y.low_c for y in years] == [10.0, 10.0]


def test_a_partial_year_is_shown_and_does_not_count() -> None:
    day, high, low = weather("2001-03-01", 306 + 365, 2)
    first, second = yearly_extremes(day, high, low)
    assert (first.label, first.high_counts, second.high_counts) == ("2001", False, True)
    assert first.high_c is not None


def test_a_day_that_stands_twice_is_refused() -> None:
    with pytest.raises(MeasurementError, match="more than once"):
        yearly_extremes(["2001-01-01", "2001-01-01"], [1.0, 2.0], [0.0, 0.0])


@given(st.floats(40.0, 80.0), st.floats(0.1, 4.0))
def test_few_years_make_a_step_less_sure_where_it_is_enough_on_average(mean: float, sd: float) -> None:
    step = mean + sd
    normal = enough_probability(step, mean, sd, end="high")
    few, many = (enough_probability(step, mean, sd, end="high", n_years=n) for n in (4, 40))
    assert few < many < normal


def test_both_ends_are_mirror_images() -> None:
    assert enough_probability(58.0, 55.0, 2.0, end="high") == enough_probability(-58.0, -55.0, 2.0, end="low")


def test_the_quantile_of_98_percent_and_the_textbook_part_ways_at_a_step() -> None:
    # Course exercise after Mamlouk and Zaniewski: -30 °C, deviation 2 °C.
    textbook, exact = -30.0 - 2.0 * 2.0, -30.0 - 2.0 * float(reliability_quantile(98.0))
    lows = [-28.0, -34.0, -40.0]
    assert [float(step_needed(t, lows, end="low")) for t in (textbook, exact)] == [-34.0, -40.0]


def test_a_demand_beyond_the_last_step_has_no_step() -> None:
    assert np.isnan(step_needed(83.0, HIGHS, end="high"))


def test_traffic_adds_up_over_kinds_of_vehicle_and_years() -> None:
    one = design_axle_loads(1000.0, 10.0, 1.0, growth_percent=4.0, years=20.0)
    two = design_axle_loads(1000.0, [4.0, 6.0], [1.0, 1.0], growth_percent=4.0, years=20.0)
    assert two == pytest.approx(one)
    assert growth_factor(1e-9, 20.0) == pytest.approx(20.0, rel=1e-7)
    with pytest.raises(MeasurementError, match="exceed 100"):
        design_axle_loads(1000.0, [60.0, 60.0], 1.0, growth_percent=0.0, years=1.0)


@pytest.mark.parametrize("model", MODELS)
def test_a_model_refuses_the_end_it_does_not_have(model: str) -> None:
    climate = Climate("a site", 45.0, YearlyExtreme(34.0, 2.0), YearlyExtreme(-20.0, 3.0))
    for end in {"high", "low"} - set(MODELS[model].ends):
        with pytest.raises(MeasurementError, match=f"no {end} temperature"):
            pavement_distribution(model, end, climate, depth_mm=0.0)
