"""Results of a product on a control chart."""

import pytest

from resile.errors import InputError, MeasurementError
from resile.records.control.chart import ControlChart
from resile.records.control.production import ProductionResult, WatchedProperty
from resile.records.determination import Condition
from resile.workflows.control.watching import watch

SOFTENING = WatchedProperty(
    product="plain", quantity="softening_point", unit="°C", condition=Condition.ORIGINAL
)
JNR = WatchedProperty(
    product="polymer",
    quantity="jnr_3.2",
    unit="1/kPa",
    condition=Condition.SHORT_TERM_AGED,
    temperature_c=64.0,
    scale="log",
)
FLOW = [49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1]


def lots(values: list[float], *, month: int = 4) -> list[ProductionResult]:
    return [
        ProductionResult(key=f"r{i}", lot=f"L{i}", taken=f"2026-{month:02d}-{i + 1:02d}", value=value)
        for i, value in enumerate(values)
    ]


def limits(chart: ControlChart) -> tuple[float, float]:
    return chart.points[-1].lower, chart.points[-1].upper


def test_single_values_get_the_limits_that_are_printed_for_them() -> None:
    # NIST/SEMATECH e-Handbook 6.3.2.2, printed with d2 = 1.128: 45.8159 and 55.8041
    assert limits(watch(lots(FLOW), SOFTENING)) == pytest.approx((45.8159, 55.8041), abs=0.002)


def test_lots_after_the_set_up_do_not_move_its_limits() -> None:
    chart = watch(lots([*FLOW, 70.0]), SOFTENING, baseline_until="2026-04-10")
    assert limits(chart) == pytest.approx(limits(watch(lots(FLOW), SOFTENING)))
    assert [signal.index for signal in chart.signals] == [10]
    assert chart.points[10].phase == "watched"


def test_a_lot_left_out_stays_on_the_chart_with_its_reason_and_raises_no_signal() -> None:
    with_spill = [*FLOW[:5], 80.0, *FLOW[5:]]
    chart = watch(lots(with_spill), SOFTENING, excluded={"L5": "solvent left in the mould"})
    assert chart.points[5].excluded == "solvent left in the mould"
    assert chart.signals == ()
    assert limits(chart)[1] < 60.0


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


def test_the_order_in_which_results_are_handed_in_does_not_matter() -> None:
    assert watch(lots(FLOW)[::-1], SOFTENING) == watch(lots(FLOW), SOFTENING)
