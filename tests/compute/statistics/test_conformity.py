import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from resile.compute.statistics.probability.conformity import (
    acceptance_limit,
    conformity_probability,
    interval_probability,
    standard_scores,
)
from resile.errors import MeasurementError

POSITIVE = st.floats(0.01, 100.0)


def test_scalars_and_arrays_broadcast() -> None:
    values = np.array([[0.4], [0.6]])
    found = conformity_probability(values, [0.5, 1.0, 2.0], 0.05, bound="maximum")
    assert found.shape == (2, 3)
    assert np.all(np.diff(found, axis=1) >= 0.0)


@settings(deadline=None)  # the first call imports scipy
@given(POSITIVE, POSITIVE, st.floats(0.01, 0.5), st.sampled_from(["normal", "log-normal"]))
def test_conformity_with_a_maximum_and_with_a_minimum_add_to_one(
    value: float, limit: float, ratio: float, distribution: str
) -> None:
    both = [
        conformity_probability(value, limit, ratio * value, bound=bound, distribution=distribution)
        for bound in ("maximum", "minimum")
    ]
    assert sum(float(p) for p in both) == pytest.approx(1.0, abs=1e-12)


@given(
    POSITIVE, POSITIVE, st.floats(0.01, 0.5), st.floats(0.1, 10.0), st.sampled_from(["normal", "log-normal"])
)
def test_the_unit_does_not_change_the_probability(
    value: float, limit: float, ratio: float, factor: float, distribution: str
) -> None:
    one = standard_scores(value, limit, ratio * value, bound="maximum", distribution=distribution)
    other = standard_scores(
        factor * value, factor * limit, factor * ratio * value, bound="maximum", distribution=distribution
    )
    assert float(other) == pytest.approx(float(one), rel=1e-9, abs=1e-9)


@given(
    POSITIVE,
    st.floats(0.01, 0.3),
    st.floats(0.0, 3.0),
    st.sampled_from(["maximum", "minimum"]),
    st.sampled_from(["normal", "log-normal"]),
)
def test_a_value_at_the_acceptance_limit_has_exactly_the_guard_factor_as_its_score(
    limit: float, ratio: float, factor: float, bound: str, distribution: str
) -> None:
    value = acceptance_limit(limit, ratio, factor, bound=bound, distribution=distribution)
    score = standard_scores(value, limit, ratio * value, bound=bound, distribution=distribution)
    assert float(score) == pytest.approx(factor, abs=1e-9)


def test_a_wide_interval_holds_nearly_everything_and_an_empty_one_nothing() -> None:
    assert float(interval_probability(0.0, -9.0, 9.0, 1.0)) == pytest.approx(1.0)
    assert float(interval_probability(0.0, 1.0, 1.0, 1.0)) == pytest.approx(0.0)


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"standard_uncertainty": 0.0}, "above zero"),
        ({"value": float("nan")}, "finite"),
        ({"bound": "under"}, "'under'"),
        ({"distribution": "flat"}, "'flat'"),
        ({"value": -1.0, "distribution": "log-normal"}, "above zero"),
    ],
)
def test_what_cannot_be_is_refused_in_words(change: dict[str, object], words: str) -> None:
    given_ = {"value": 1.0, "limit": 2.0, "standard_uncertainty": 0.1, "bound": "maximum", **change}
    with pytest.raises(MeasurementError, match=words):
        conformity_probability(**given_)  # type: ignore[arg-type]


def test_a_guard_band_that_swallows_everything_is_refused() -> None:
    with pytest.raises(MeasurementError, match="no value clears"):
        acceptance_limit(1.0, 0.6, 2.0, bound="minimum", distribution="normal")
    with pytest.raises(MeasurementError, match="not known"):
        acceptance_limit(1.0, 0.6, 2.0, bound="left", distribution="normal")
