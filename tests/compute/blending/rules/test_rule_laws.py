"""Laws of the mixing rules, whatever the numbers."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from resile.compute.blending.rules.hot_storage import storage_loss
from resile.compute.blending.rules.mixing_rules import mix, rule_gradient, rule_values
from resile.compute.blending.rules.reclaimed import needed_new_temperature, reclaimed_share, share_window
from resile.compute.blending.rules.recycling_agent import recycling_dose
from resile.compute.blending.rules.rule_table import RULES
from resile.errors import MeasurementError
from resile.records.blending.polymer import StoragePoint

PLAIN = sorted(name for name, rule in RULES.items() if not rule.needs_interaction)
VALUES = st.lists(st.floats(2.0, 5000.0), min_size=3, max_size=3)
PARTS = st.lists(st.floats(0.01, 1.0), min_size=3, max_size=3)
POINTS = (
    StoragePoint(150.0, 504.0, "stable", "stable"),
    StoragePoint(180.0, 72.0, "lost", "badly eroded"),
    StoragePoint(210.0, 24.0, "lost", "gone"),
)


def shares_of(parts: list[float]) -> np.ndarray:
    return np.array(parts) / sum(parts)


@pytest.mark.parametrize("rule", PLAIN)
@settings(max_examples=15, deadline=None)
@given(value=st.floats(2.0, 5000.0), parts=PARTS)
def test_a_blend_of_a_binder_with_itself_is_itself(rule: str, value: float, parts: list[float]) -> None:
    assert mix(rule, shares_of(parts), [value] * 3).values[0] == pytest.approx(value, rel=1e-9)


@pytest.mark.parametrize("rule", PLAIN)
@settings(max_examples=15, deadline=None)
@given(values=VALUES, parts=PARTS)
def test_components_in_another_order_give_the_same_blend(
    rule: str, values: list[float], parts: list[float]
) -> None:
    shares, order = shares_of(parts), [2, 0, 1]
    one = mix(rule, shares, values).values[0]
    assert mix(rule, shares[order], np.array(values)[order]).values[0] == pytest.approx(one, rel=1e-12)


@pytest.mark.parametrize("rule", PLAIN)
@settings(max_examples=15, deadline=None)
@given(values=st.lists(st.floats(2.0, 5000.0), min_size=2, max_size=2), part=st.floats(0.0, 0.9))
def test_more_of_the_higher_one_never_lowers_the_blend(rule: str, values: list[float], part: float) -> None:
    low, high = sorted(values)
    less, more = mix(rule, [[part, 1.0 - part], [part + 0.1, 0.9 - part]], [high, low]).values
    assert more >= less * (1.0 - 1e-12)
    assert low * (1.0 - 1e-9) <= less <= high * (1.0 + 1e-9)


@pytest.mark.parametrize("rule", PLAIN)
def test_a_slope_of_a_rule_is_the_difference_of_two_blends(rule: str) -> None:
    own, at, step = np.array([40.0, 300.0, 7.0]), np.array([[0.2, 0.5, 0.3]]), 1e-6
    slopes = rule_gradient(rule, at, own)[0]
    for place in range(3):
        aside = step * np.eye(3)[place]
        change = rule_values(rule, at + aside, own) - rule_values(rule, at - aside, own)
        assert slopes[place] == pytest.approx(change[0] / (2 * step), rel=1e-6)


def test_viscosity_by_logarithms_scales_and_by_log_log_does_not() -> None:
    # The unit trap: multiply every viscosity by ten, and the log-log rule does not give ten times the blend.
    arrhenius = [mix("log-viscosity", [0.3, 0.7], [5000.0 * k, 100.0 * k]).values[0] for k in (1.0, 10.0)]
    assert arrhenius[1] == pytest.approx(10.0 * arrhenius[0])
    log_log = [mix("log-log-viscosity-p", [0.3, 0.7], [5000.0 * k, 100.0 * k]).values[0] for k in (1.0, 10.0)]
    assert log_log[1] > 10.2 * log_log[0]


def test_what_cannot_be_mixed_is_refused_in_words() -> None:
    with pytest.raises(MeasurementError, match="add up to 90 %"):
        mix("log-viscosity", [0.3, 0.6], [1.0, 2.0])
    with pytest.raises(MeasurementError, match="above 1 P"):
        mix("log-log-viscosity-p", [0.3, 0.7], [0.05, 100.0])
    with pytest.raises(MeasurementError, match="needs the interaction"):
        mix("grunberg-nissan", [0.3, 0.7], [1.0, 2.0])
    with pytest.raises(MeasurementError, match="has no interaction"):
        mix("log-viscosity", [0.3, 0.7], [1.0, 2.0], interaction=np.zeros((2, 2)))
    with pytest.raises(MeasurementError, match="needed is one of log-compliance"):
        mix("geometric", [0.3, 0.7], [1.0, 2.0])


@settings(max_examples=20, deadline=None)
@given(new=st.floats(-40.0, -20.0), reclaimed=st.floats(-15.0, 0.0), share=st.floats(0.05, 0.9))
def test_share_and_needed_binder_undo_one_another(new: float, reclaimed: float, share: float) -> None:
    blend = mix("linear-temperature", [share, 1.0 - share], [reclaimed, new]).values[0]
    assert float(reclaimed_share(blend, new, reclaimed)) == pytest.approx(share)
    assert float(needed_new_temperature(blend, reclaimed, share)) == pytest.approx(new)


def test_a_share_at_a_whole_step_is_not_moved_and_a_shut_window_is_told() -> None:
    window = share_window([60.0, -30.0], [70.0, -20.0], [61.0, -27.0], [True, False])
    assert (window.lowest, window.highest, window.open) == (0.1, 0.3, True)
    shut = share_window([60.0, -30.0], [70.0, -20.0], [64.0, -27.0], [True, False])
    assert (shut.lowest, shut.highest, shut.open) == (0.4, 0.3, False)
    assert not share_window([60.0], [60.0], [64.0], [True]).open


def test_an_agent_that_does_not_soften_is_refused() -> None:
    with pytest.raises(MeasurementError, match="needed is a fall"):
        recycling_dose((70.0, -22.0), (71.0, -24.0), tested_percent=5.0, wanted_high_c=68.0)
    with pytest.raises(MeasurementError, match="below the wanted 72"):
        recycling_dose((70.0, -22.0), (65.0, -24.0), tested_percent=5.0, wanted_high_c=72.0)


@settings(max_examples=25, deadline=None)
@given(
    hours=st.floats(0.0, 400.0),
    cool=st.floats(120.0, 209.0),
    hotter=st.floats(0.0, 30.0),
    longer=st.floats(0.0, 99.0),
)
def test_longer_and_hotter_storage_never_leaves_more(
    hours: float, cool: float, hotter: float, longer: float
) -> None:
    mild = storage_loss(POINTS, hours=hours, temperature_c=cool)
    harsh = storage_loss(POINTS, hours=hours + longer, temperature_c=cool + hotter)
    if mild.retained is not None and harsh.retained is not None:
        assert harsh.retained <= mild.retained + 1e-12


@pytest.mark.parametrize(("hours", "temperature_c"), [(600.0, 150.0), (600.0, 120.0), (5.0, 225.0)])
def test_what_nobody_published_is_said_to_be_unknown(hours: float, temperature_c: float) -> None:
    found = storage_loss(POINTS, hours=hours, temperature_c=temperature_c)
    assert found.retained is None
    assert "nothing is published" in found.words
