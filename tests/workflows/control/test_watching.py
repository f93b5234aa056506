"""Results of a product on a control chart."""

import dataclasses

import pytest

from production_series import FLOW, JNR, SOFTENING, days, lots, replicated, scatter
from resile.errors import InputError, MeasurementError, RecordNotFoundError
from resile.records.control.chart import ControlChart
from resile.workflows.control.watching import CHART_KINDS, REMEMBERING, watch


def limits(chart: ControlChart) -> tuple[float, float]:
    return chart.points[-1].lower, chart.points[-1].upper


def test_single_values_get_the_limits_that_are_printed_for_them() -> None:
    # NIST/SEMATECH e-Handbook 6.3.2.2, printed with d2 = 1.128: 45.8159 and 55.8041
    assert limits(watch(lots(FLOW), SOFTENING)) == pytest.approx((45.8159, 55.8041), abs=0.002)


def test_moving_ranges_get_the_limit_that_is_printed_for_them() -> None:
    # jet data of a general statistics package: upper limit of the moving ranges 17.399
    jet = [78.4, 80.1, 84.4, 79.1, 80.4, 83.5, 73.8, 83.5, 75.0, 76.8]
    jet += [70.5, 80.3, 82.4, 79.4, 86.4, 90.5, 77.7, 82.5, 79.9, 83.2]
    chart = watch(lots(jet), SOFTENING)
    assert chart.beside is not None
    assert limits(chart.beside)[1] == pytest.approx(17.399, abs=0.0005)
    assert limits(chart) == pytest.approx((66.229, 94.551), abs=0.0005)


def test_lots_after_the_set_up_do_not_move_its_limits() -> None:
    chart = watch(lots([*FLOW, 70.0]), SOFTENING, baseline_until=days(10)[-1])
    assert limits(chart) == pytest.approx(limits(watch(lots(FLOW), SOFTENING)))
    assert [signal.index for signal in chart.signals] == [10]
    assert chart.points[10].phase == "watched"
    assert "lies above the upper control limit 55.8 °C" in chart.signals[0].text


def test_a_lot_left_out_stays_on_the_chart_with_its_reason_and_raises_no_signal() -> None:
    with_spill = [*FLOW[:5], 80.0, *FLOW[5:]]
    for chart in CHART_KINDS[:1] + CHART_KINDS[3:]:
        found = watch(lots(with_spill), SOFTENING, chart=chart, excluded={"L5": "solvent in the mould"})
        assert found.points[5].excluded == "solvent in the mould"
        assert all(signal.index != 5 for signal in found.signals)
        # 51.2 after the lot left out is no neighbour of 47.8 before it
        assert found.standard_deviation < 2.0


def test_nothing_is_left_out_for_being_far_away_alone() -> None:
    with_spill = [*FLOW[:5], 80.0, *FLOW[5:]]
    chart = watch(lots(with_spill), SOFTENING)
    assert all(not point.excluded for point in chart.points)
    with pytest.raises(InputError, match="without a reason"):
        watch(lots(with_spill), SOFTENING, excluded={"L5": " "})
    with pytest.raises(InputError, match="no lot and no result"):
        watch(lots(with_spill), SOFTENING, excluded={"L99": "typing error"})


def test_jnr_is_watched_as_a_logarithm() -> None:
    chart = watch(lots([0.5, 0.6, 0.55, 0.52]), JNR)
    assert chart.points[0].plotted == pytest.approx(-0.30103, abs=1e-5)
    assert chart.points[0].values == (0.5,)
    with pytest.raises(MeasurementError, match="lot L1: 0 1/kPa has no logarithm"):
        watch(lots([0.5, 0.0]), JNR)


@pytest.mark.parametrize("chart", CHART_KINDS)
def test_the_unit_and_the_order_of_replicates_do_not_matter(chart: str) -> None:
    values = 50.0 + scatter(60, seed=4).reshape(30, 2)
    values[22:] += 2.0
    rows = values.tolist()
    plain = watch(replicated(rows), SOFTENING, chart=chart, baseline_until=days(20)[-1])
    turned = watch(
        replicated([row[::-1] for row in rows])[::-1], SOFTENING, chart=chart, baseline_until=days(20)[-1]
    )
    assert [p.plotted for p in turned.points] == [p.plotted for p in plain.points]
    assert turned.signals == plain.signals
    fahrenheit = [[1.8 * value + 32.0 for value in row] for row in rows]
    other = watch(replicated(fahrenheit), SOFTENING, chart=chart, baseline_until=days(20)[-1])
    assert [(s.index, s.rule, s.since) for s in other.signals] == [
        (s.index, s.rule, s.since) for s in plain.signals
    ]
    assert plain.signals  # a shift of 2 or more standard deviations over eight lots is seen by every chart


def test_only_the_limits_are_on_until_rules_are_chosen() -> None:
    values = [50.0, 51.0, 50.0, 51.0, 50.0, 51.0, *[50.9] * 8]
    assert watch(lots(values), SOFTENING).signals == ()
    chosen = watch(lots(values), SOFTENING, run_rules=("western-electric-1956",))
    eight = [s for s in chosen.signals if s.rule == "western-electric-1956/eight-on-one-side"]
    assert [(s.index, s.since) for s in eight] == [(12, 5)]
    assert chosen.false_alarm_every == pytest.approx(91.75, abs=0.005)  # Champ and Woodall 1987
    assert watch(lots(values), SOFTENING).false_alarm_every == pytest.approx(370.4, abs=0.05)
    with pytest.raises(RecordNotFoundError, match="the set has"):
        watch(lots(values), SOFTENING, run_rules=("nelson-1984/nine",))
    with pytest.raises(InputError, match="rules about runs do not apply"):
        watch(lots(values), SOFTENING, chart="weighted-average", run_rules=("nelson-1984",))


def test_a_cumulative_sum_signals_where_the_handbook_says_and_dates_the_shift() -> None:
    # NIST/SEMATECH e-Handbook 6.3.2.3: target 325, k 0.3175, h 4.1959; signal at point 14, shift after 12
    values = [324.925, 324.675, 324.725, 324.350, 325.350, 325.225, 324.125, 324.525, 325.225, 324.600]
    values += [324.625, 325.150, 328.325, 327.250, 327.825, 328.500, 326.675, 327.775, 326.875, 328.350]
    watched = dataclasses.replace(SOFTENING, target=325.0)
    deviation = watch(lots(values), watched, chart="cumulative-sum").standard_deviation
    chart = watch(
        lots(values),
        watched,
        chart="cumulative-sum",
        parameters={"slack": 0.3175 / deviation, "interval": 4.1959 / deviation},
    )
    assert [(s.index, s.since) for s in chart.signals] == [(13, 12)]
    assert chart.points[12].plotted * deviation == pytest.approx(3.01, abs=0.006)


def test_a_chart_that_remembers_begins_anew_after_a_lot_that_was_looked_into() -> None:
    # NIST/SEMATECH e-Handbook 6.3.2.3 again, by hand behind its signal at point 14: 2.825 - 0.3175 = 2.5075
    # at point 15, and 2.5075 + 3.5 - 0.3175 = 5.69 at point 16, beyond 4.1959
    values = [324.925, 324.675, 324.725, 324.350, 325.350, 325.225, 324.125, 324.525, 325.225, 324.600]
    values += [324.625, 325.150, 328.325, 327.250, 327.825, 328.500, 326.675, 327.775, 326.875, 328.350]
    watched = dataclasses.replace(SOFTENING, target=325.0)
    deviation = watch(lots(values), watched, chart="cumulative-sum").standard_deviation
    settings = {"slack": 0.3175 / deviation, "interval": 4.1959 / deviation}
    chart = watch(lots(values), watched, chart="cumulative-sum", parameters=settings, anew_after=["L13"])
    assert [(s.index, s.since) for s in chart.signals] == [(13, 12), (15, 14)]
    assert [chart.points[place].plotted * deviation for place in (14, 15)] == pytest.approx([2.5075, 5.69])
    assert "begun anew after lot L13" in chart.basis


def test_a_signal_at_the_first_lot_after_a_chart_began_anew_is_a_new_one() -> None:
    values = [*FLOW, 70.0, 70.0, 70.0]
    last = days(len(FLOW))[-1]
    for chart in REMEMBERING:
        gone_on = watch(lots(values), SOFTENING, chart=chart, baseline_until=last)
        assert [signal.index for signal in gone_on.signals] == [10]
        anew = watch(lots(values), SOFTENING, chart=chart, baseline_until=last, anew_after=["L10", "L11"])
        assert [(signal.index, signal.since) for signal in anew.signals] == [(10, 10), (11, 11), (12, 12)]


def test_beginning_anew_is_refused_where_it_means_nothing() -> None:
    with pytest.raises(InputError, match="remembers nothing"):
        watch(lots(FLOW), SOFTENING, anew_after=["L3"])
    with pytest.raises(InputError, match="there is no such lot; there are L0 to L9"):
        watch(lots(FLOW), SOFTENING, chart="cumulative-sum", anew_after=["L99"])


def test_charts_that_remember_have_as_many_false_alarms_as_limits_at_three_standard_deviations() -> None:
    for chart in ("weighted-average", "cumulative-sum"):
        every = watch(lots(FLOW), SOFTENING, chart=chart).false_alarm_every
        assert every == pytest.approx(370.4, rel=0.02)


def test_few_lots_and_signals_in_the_set_up_are_said() -> None:
    found = {finding.code for finding in watch(lots([*FLOW, 80.0]), SOFTENING).findings}
    assert {"few-lots-in-set-up", "signals-in-set-up", "nothing-watched-yet"} <= found


def test_replicates_that_know_the_test_alone_are_told_from_the_scatter_of_lots() -> None:
    means = 50.0 + 3.0 * scatter(25, seed=5)
    rows = [[float(mean - 0.1), float(mean + 0.1)] for mean in means]
    chart = watch(replicated(rows), SOFTENING, chart="mean-and-range")
    assert "replicates-hold-test-scatter-only" in {finding.code for finding in chart.findings}
    with pytest.raises(InputError, match="one result only"):
        watch(lots(FLOW), SOFTENING, chart="mean-and-range")


def test_a_setting_that_the_chart_does_not_have_is_refused() -> None:
    with pytest.raises(InputError, match="it has weight, width"):
        watch(lots(FLOW), SOFTENING, chart="weighted-average", parameters={"slack": 0.5})
    with pytest.raises(InputError, match="there are individuals"):
        watch(lots(FLOW), SOFTENING, chart="pie")
