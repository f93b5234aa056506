"""Film in a pan, and the measures of a pressure-ageing record."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from resile.compute.ageing.long_term import film_thickness_mm, reduce_long_term_ageing
from resile.errors import MeasurementError
from resile.records.ageing import LongTermAgeingRecord, Pan


@given(st.floats(1.0, 100.0), st.floats(50.0, 200.0))
def test_twice_the_mass_is_twice_the_film_and_twice_the_diameter_a_quarter(
    mass: float, across: float
) -> None:
    film = float(film_thickness_mm(mass, across))
    assert float(film_thickness_mm(2.0 * mass, across)) == pytest.approx(2.0 * film)
    assert float(film_thickness_mm(mass, 2.0 * across)) == pytest.approx(film / 4.0)
    assert float(film_thickness_mm(mass, across, density_g_cm3=2.0)) == pytest.approx(film / 2.0)


def test_arrays_give_arrays() -> None:
    np.testing.assert_allclose(film_thickness_mm([50.0, 12.5], 140.0), [3.25, 0.81], atol=0.005)


@pytest.mark.parametrize(("mass", "across"), [(0.0, 140.0), (50.0, 0.0), (float("nan"), 140.0)])
def test_an_impossible_pan_is_refused(mass: float, across: float) -> None:
    with pytest.raises(MeasurementError, match="film in the pan"):
        film_thickness_mm(mass, across)


def measures(record: LongTermAgeingRecord, feed_aged_on: str = "") -> dict[str, float]:
    return {m.name: m.value for m in reduce_long_term_ageing(record, feed_aged_on=feed_aged_on).measures}


def test_pans_are_counted_where_their_number_is_not_stated() -> None:
    pans = (Pan("1", 50.0), Pan("2", None))
    assert measures(LongTermAgeingRecord("tank", "r28", pans=pans))["pan_count"] == 2.0
    assert measures(LongTermAgeingRecord("tank", "r28", pans=pans, pan_count=4.0))["pan_count"] == 4.0
    assert "pan_count" not in measures(LongTermAgeingRecord("tank", "r28"))


@pytest.mark.parametrize(
    ("feed", "aged", "days"),
    [("2026-03-02", "2026-03-03", 1.0), ("2026-03-05", "2026-03-03", -2.0), ("spring", "2026-03-03", None)],
)
def test_the_days_that_the_feed_stood_come_from_two_dates(feed: str, aged: str, days: float | None) -> None:
    found = measures(LongTermAgeingRecord("tank", "r28", aged_on=aged), feed)
    assert found.get("feed_age_days") == days
