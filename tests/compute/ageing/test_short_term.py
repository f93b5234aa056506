import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from resile.compute.ageing.short_term import mass_change_percent, reduce_short_term_ageing
from resile.errors import MeasurementError
from resile.records.ageing import AgeingRecord, Bottle


@given(st.floats(100.0, 200.0), st.floats(30.0, 40.0), st.floats(-2.0, 2.0))
def test_the_change_is_found_again_whatever_the_bottle_weighs(
    empty: float, binder: float, percent: float
) -> None:
    after = empty + binder * (1.0 + percent / 100.0)
    assert float(mass_change_percent(empty, empty + binder, after)) == pytest.approx(percent, abs=1e-8)


def test_arrays_give_arrays() -> None:
    found = mass_change_percent([165.0, 165.0], [200.0, 200.0], [199.65, 200.35])
    np.testing.assert_allclose(found, [-1.0, 1.0], atol=1e-9)


@pytest.mark.parametrize(
    ("masses", "words"),
    [
        ((200.0, 165.0, 164.0), "not heavier than the empty one"),
        ((165.0, 200.0, 150.0), "lighter than when it was empty"),
        ((165.0, float("nan"), 150.0), "not a number"),
    ],
)
def test_impossible_masses_are_refused_with_the_bottle_named(
    masses: tuple[float, float, float], words: str
) -> None:
    record = AgeingRecord("tank", "t240", bottles=(Bottle("B7", *masses),))
    with pytest.raises(MeasurementError, match=f"bottle B7: .*{words}"):
        reduce_short_term_ageing(record)


def test_a_bottle_that_was_not_weighed_afterwards_is_kept_and_left_out_of_the_mean() -> None:
    record = AgeingRecord(
        "tank",
        "t240",
        temperature_c=163.0,
        bottles=(Bottle("1", 165.0, 200.0, 199.93), Bottle("2", 165.0, 200.0, None)),
    )
    found = reduce_short_term_ageing(record)
    assert [b.mass_change_percent is None for b in found.bottles] == [False, True]
    assert found.mass_change_percent == pytest.approx(-0.2)
    measures = {m.name: m.value for m in found.measures}
    assert measures["bottles"] == 1.0
    assert measures["temperature_c"] == 163.0
    assert "bottle_difference_percent" not in measures


def test_a_mean_without_bottles_stands_as_given() -> None:
    found = reduce_short_term_ageing(AgeingRecord("tank", "t240", mass_change_percent=-0.31))
    assert found.mass_change_percent == -0.31
