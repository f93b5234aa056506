"""Changes of level are dated, and told what may lie behind them."""

import math

import numpy as np
import pytest

from production_series import FLASH, JNR, RECOVERY, SOFTENING, days, lots, scatter
from resile.compute.statistics.control.changes import change_interval, level_changes
from resile.errors import InputError
from resile.records.control.chart import CHANGES_SOUGHT_IN, ChangePoint
from resile.report.control_words import chart_facts
from resile.workflows.control.watching import (
    changes,
    joint_watch,
    suggest_causes,
    suggest_for_lot,
    watch,
)

BASE = days(25)[-1]


def test_a_step_is_dated_and_its_levels_are_given_in_the_unit_of_the_glossary() -> None:
    logarithms = -0.3 + 0.02 * scatter(50, seed=1)
    logarithms[35:] += 0.1
    (change,) = changes(watch(lots(10.0**logarithms), JNR, baseline_until=BASE))
    assert change.kind == "step"
    assert change.earliest <= days(50)[35] <= change.latest
    assert change.before == pytest.approx(0.501, abs=0.02)
    assert change.after == pytest.approx(0.631, abs=0.03)


def test_a_slow_drift_is_told_from_a_step() -> None:
    values = 50.0 + scatter(60, seed=2)
    values[25:50] += np.linspace(0.0, 6.0, 25)
    values[50:] += 6.0
    (change,) = changes(watch(lots(values), SOFTENING, baseline_until=BASE))
    assert change.kind == "drift"
    assert change.after - change.before == pytest.approx(6.0, abs=1.2)
    assert change.earliest <= days(60)[30]


def test_one_level_has_no_change_and_one_odd_lot_is_none() -> None:
    values = 50.0 + scatter(40, seed=3)
    assert changes(watch(lots(values), SOFTENING)) == ()
    values[20] += 6.0
    assert changes(watch(lots(values), SOFTENING, excluded={"L20": "wrong beaker"})) == ()


@pytest.mark.nightly
def test_the_interval_of_a_step_holds_it_as_often_as_it_says_and_steps_are_rarely_invented() -> None:
    draws = np.random.default_rng(11)
    for step in (1.0, 1.5, 2.0, 3.0):
        held = 0
        for _ in range(1500):
            place = int(draws.integers(15, 45))
            values = draws.standard_normal(60)
            values[place:] += step
            early, _, late = change_interval(values, standard_deviation=1.0)
            held += early <= place <= late
        assert held / 1500 > 0.935
    for count, most in ((40, 0.025), (100, 0.012), (300, 0.006)):
        series = draws.standard_normal((2000, count))
        found = sum(
            bool(level_changes(row, standard_deviation=1.0, penalty=3.0 * math.log(count))) for row in series
        )
        assert found / 2000 < most


def step(quantity_before: float, quantity_after: float) -> ChangePoint:
    return ChangePoint(
        index=30,
        when="2026-07-01",
        earliest="2026-06-25",
        latest="2026-07-04",
        before=quantity_before,
        after=quantity_after,
        confidence=0.95,
    )


def kinds(found: dict[str, tuple[ChangePoint, ...]], quantity: str) -> list[str]:
    return [suggestion.kind for change in found[quantity] for suggestion in change.suggestions]


def test_the_patterns_of_the_notes_are_suggested_and_never_a_verdict() -> None:
    # Hitti: Jnr up and flash down is solvent or oil; Jnr down and recovery unchanged is oxidation
    soft = suggest_causes({"jnr_3.2": [step(0.5, 0.9)], "flash_point": [step(290.0, 240.0)]})
    assert kinds(soft, "jnr_3.2")[0] == "solvent or oil in the tank"
    assert kinds(soft, "flash_point")[0] == "solvent or oil in the tank"
    hard = suggest_causes({"jnr_3.2": [step(0.5, 0.3)], "percent_recovery_3.2": []})
    assert kinds(hard, "jnr_3.2") == ["over-heating or oxidation"]
    poor = suggest_causes({"jnr_3.2": [step(0.5, 0.9)], "percent_recovery_3.2": [step(60.0, 40.0)]})
    assert kinds(poor, "jnr_3.2") == ["too little polymer, or polymer degraded"]
    (suggestion,) = hard["jnr_3.2"][0].suggestions
    assert suggestion.test_to_confirm
    assert " may " in suggestion.sentence
    assert suggestion.seen == ("Jnr3.2 down, 0.5 to 0.3", "R3.2 unchanged")


def test_a_new_tank_is_suggested_only_where_tanks_are_known_to_change() -> None:
    found = {"softening_point": [step(50.0, 56.0)]}
    assert kinds(suggest_causes(found), "softening_point") == ["new base or crude"]
    tanks = lots([50.0] * 60, tanks=["T1"] * 31 + ["T2"] * 29)
    changed = suggest_causes(
        {
            "softening_point": [
                ChangePoint(
                    index=31,
                    when=tanks[31].taken,
                    earliest=tanks[30].taken,
                    latest=tanks[31].taken,
                    before=50.0,
                    after=56.0,
                    confidence=0.95,
                )
            ]
        },
        results=tanks,
    )
    assert "wrong tank, or another product" in kinds(changed, "softening_point")


def test_one_lot_that_signals_on_several_charts_gets_a_suggestion() -> None:
    logarithms, flash = -0.3 + 0.02 * scatter(30, seed=6), 290.0 + 2.0 * scatter(30, seed=7)
    logarithms[28] += 0.25
    flash[28] -= 40.0
    charts = [
        watch(lots(10.0**logarithms), JNR, baseline_until=BASE),
        watch(lots(flash, name="f"), FLASH, baseline_until=BASE),
    ]
    assert [one.kind for one in suggest_for_lot(charts, "L28")] == ["solvent or oil in the tank"]
    assert suggest_for_lot(charts, "L27") == ()


def test_a_lot_across_the_correlation_is_seen_together_and_on_no_chart_alone() -> None:
    common, own = scatter(60, seed=8), 0.2 * scatter(60, seed=9)
    recovery = 60.0 - 3.0 * common
    logarithms = -0.3 + 0.05 * (common + own)
    recovery[50], logarithms[50] = 60.0 - 4.5, -0.3 - 0.05 * 1.2
    both = [(JNR, lots(10.0**logarithms)), (RECOVERY, lots(recovery, name="p"))]
    chart = joint_watch(both, baseline_until=days(40)[-1])
    assert 50 in {signal.index for signal in chart.signals}
    assert "adds most" in next(signal.text for signal in chart.signals if signal.index == 50)
    for watched, results in both:
        alone = watch(results, watched, baseline_until=days(40)[-1])
        assert 50 not in {signal.index for signal in alone.signals}
    with pytest.raises(InputError, match="two or more properties"):
        joint_watch(both[:1])


def test_of_a_very_long_series_the_newest_lots_are_looked_at_and_it_is_said() -> None:
    values = 50.0 + scatter(CHANGES_SOUGHT_IN + 600, seed=13)
    values[:300] -= 6.0
    chart = watch(lots(values), SOFTENING)
    assert all(change.index > 600 for change in changes(chart))
    assert ("Changes of level", f"sought in the newest {CHANGES_SOUGHT_IN} lots") in chart_facts(chart)
