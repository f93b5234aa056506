import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from resile.compute.rheology.viscosity.penetration import (
    penetration_index,
    penetration_index_en12591,
    penetration_slope,
)
from resile.compute.rheology.viscosity.viscosity_temperature import (
    fit_viscosity_line,
    reduce_viscosity,
    temperature_at_viscosity,
    viscosity_at,
)
from resile.errors import MeasurementError

INTERCEPT, SLOPE = st.floats(8.5, 13.0), st.floats(-4.5, -2.8)


@given(st.floats(60.0, 190.0), st.floats(-3.9, -3.2))
def test_temperature_and_viscosity_are_each_others_inverse(temperature: float, slope: float) -> None:
    intercept = -slope * 2.87 + 0.4
    viscosity = viscosity_at(temperature, intercept=intercept, slope=slope)
    found = temperature_at_viscosity(viscosity, intercept=intercept, slope=slope)
    assert float(found) == pytest.approx(temperature, abs=1e-6)


@given(st.floats(0.2, 3.0), st.floats(0.05, 0.15), st.floats(150.0, 190.0))
def test_a_line_through_two_points_meets_both(high: float, low: float, hotter: float) -> None:
    line = fit_viscosity_line([135.0, hotter], [high, low])
    for temperature, viscosity in ((135.0, high), (hotter, low)):
        found = viscosity_at(temperature, intercept=line.intercept, slope=line.slope)
        assert float(found) == pytest.approx(viscosity, rel=1e-9)


@given(st.floats(0.25, 2.0), st.floats(1.01, 2.0))
def test_a_stiffer_binder_is_mixed_hotter(high: float, factor: float) -> None:
    one, other = (reduce_viscosity([135.0, 165.0], [k * high, k * high / 4]) for k in (1.0, factor))
    for soft, stiff in zip(one.working_temperatures, other.working_temperatures, strict=True):
        assert stiff.middle_c > soft.middle_c


def test_a_range_beyond_the_measured_temperatures_says_how_far() -> None:
    # Constructed: PG 76-22 default line (NCHRP 1-37A, from memory) puts 0.17 Pa.s at 188.7 °C.
    temperatures = [135.0, 165.0]
    run = reduce_viscosity(temperatures, viscosity_at(temperatures, intercept=9.715, slope=-3.208))
    mixing = run.working_temperatures[0]
    assert mixing.middle_c == pytest.approx(188.7, abs=0.05)
    assert mixing.extrapolated_c == pytest.approx(mixing.highest_c - 165.0)


def test_one_temperature_gives_no_line_and_no_temperatures() -> None:
    run = reduce_viscosity(135.0, 0.4, torque_share_percent=4.0)
    assert run.line is None
    assert run.working_temperatures == ()
    assert [m.value for m in run.measures if m.name == "torque_share_lowest_percent"] == [4.0]


def test_viscosity_that_rises_with_temperature_gives_no_working_temperatures() -> None:
    run = reduce_viscosity([135.0, 165.0], [0.1, 0.4])
    assert run.working_temperatures == ()
    assert next(m.value for m in run.measures if m.name == "viscosity_line_slope") > 0.0


def test_a_viscosity_too_small_for_the_chart_asks_for_its_unit() -> None:
    with pytest.raises(MeasurementError, match="is it in another unit"):
        reduce_viscosity([135.0, 165.0], [0.4, 0.0001])


@given(st.floats(10.0, 150.0), st.floats(-2.0, 2.0))
def test_the_two_forms_of_the_penetration_index_differ_by_little(pen: float, index: float) -> None:
    slope = (20.0 - index) / (50.0 * (index + 10.0))  # the forms part for tar-like and blown binders
    point = 25.0 + (math.log10(800.0) - math.log10(pen)) / slope
    assert float(penetration_index(penetration_slope(pen, point))) == pytest.approx(index, abs=1e-9)
    assert float(penetration_index_en12591(pen, point)) == pytest.approx(index, abs=0.025)


@given(st.floats(10.0, 300.0), st.floats(35.0, 80.0), st.floats(0.1, 5.0))
def test_a_higher_softening_point_at_one_penetration_is_a_higher_index(
    pen: float, point: float, rise: float
) -> None:
    assert float(penetration_index_en12591(pen, point + rise)) > float(penetration_index_en12591(pen, point))


def test_a_softening_point_below_room_temperature_is_refused() -> None:
    with pytest.raises(MeasurementError, match="above 25 °C"):
        penetration_index(penetration_slope(60.0, 20.0))
