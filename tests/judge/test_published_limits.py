"""Published limits beside a result: compared after the same hours of ageing, and never otherwise."""

import pytest

from resile.judge.rules.published_limits import stand_to_limits
from resile.records.published_limit import PublishedLimit
from resile.specifications.load import load_published_limits

LIMIT = PublishedLimit("delta_tc", "°C", "minimum", -5.0, 20.0, "constructed", "own", hours_tolerance_h=0.5)


@pytest.mark.parametrize(("value", "met"), [(-4.9, True), (-5.0, True), (-5.1, False)])
def test_a_limit_is_compared_after_the_same_hours(value: float, met: bool) -> None:
    (standing,) = stand_to_limits(value, 20.0, [LIMIT])
    assert standing.met is met
    assert standing.reason == ""


@pytest.mark.parametrize(
    ("hours", "compared"),
    [(19.5, True), (20.5, True), (19.4, False), (20.6, False), (40.0, False), (None, False)],
)
def test_other_hours_or_unknown_ones_are_not_compared(hours: float | None, compared: bool) -> None:
    (standing,) = stand_to_limits(-9.0, hours, [LIMIT])
    assert (standing.met is not None) is compared
    assert bool(standing.reason) is not compared


def test_a_limit_whose_source_states_no_hours_is_not_compared() -> None:
    bare = PublishedLimit("delta_tc", "°C", "minimum", -2.5, None, "constructed", "own")
    (standing,) = stand_to_limits(-1.0, 20.0, [bare])
    assert standing.met is None
    assert "does not state" in standing.reason


def test_without_a_value_nothing_stands_beside_it() -> None:
    assert stand_to_limits(None, 20.0, [LIMIT]) == ()


def test_every_shipped_limit_names_its_source_and_how_far_it_is_to_be_trusted() -> None:
    limits = load_published_limits("delta_tc")
    # -5.0 °C after 20 h: NCAT newsletter, autumn 2018, read.
    assert (-5.0, 20.0, "NCAT newsletter, autumn 2018", "read") in {
        (one.limit, one.ageing_h, one.source, one.evidence) for one in limits
    }
    assert all(one.source and one.evidence in ("read", "second-hand", "recalled") for one in limits)
