"""Pictures of control charts: what is drawn, and what is said to those who do not see it."""

from dataclasses import replace
from itertools import pairwise

from production_series import FLOW, JNR, SOFTENING, days, lots
from resile.report.figures.control.chart import figure_control_chart
from resile.report.figures.control.chart_points import signal_mark
from resile.report.figures.style import INK, STRESS
from resile.workflows.control.watching import watch


def marks(spec, kind: str) -> list[dict]:
    panel = spec["vconcat"][0]
    return [layer for layer in panel["layer"] if layer["mark"].get("shape", layer["mark"]["type"]) == kind]


def test_signals_are_diamonds_with_numbers_and_lots_left_out_are_hollow() -> None:
    chart = watch(
        lots([*FLOW, 70.0, 90.0]),
        SOFTENING,
        baseline_until=days(10)[-1],
        excluded={"L11": "wrong bottle"},
    )
    spec = figure_control_chart(chart)
    diamonds = marks(spec, "diamond")[-1]
    assert [row["value"] for row in diamonds["data"]["values"]] == [70.0]
    hollow = [layer for layer in marks(spec, "point") if not layer["mark"]["filled"]]
    assert [row["value"] for row in hollow[0]["data"]["values"]] == [90.0]
    assert "12 lots" in spec["description"]
    assert "10 of them in the set-up, 1 left out. 1 signal." in spec["description"]


def test_jnr_stands_on_a_logarithmic_axis_in_its_own_unit() -> None:
    spec = figure_control_chart(watch(lots([0.5, 0.6, 0.55, 0.52]), JNR))
    points = next(layer for layer in marks(spec, "point") if layer["mark"]["filled"])
    assert points["encoding"]["y"]["scale"]["type"] == "log"
    assert points["encoding"]["y"]["axis"]["title"] == "Jnr3.2, 1/kPa"
    assert round(points["data"]["values"][1]["value"], 9) == 0.6


def test_signals_of_the_lower_panel_have_letters() -> None:
    beside = watch(lots([*FLOW, 80.0]), SOFTENING).beside
    assert beside is not None
    assert [signal_mark(beside, n) for n in (1, 26, 27)] == ["a", "z", "aa"]


def panel_of(spec):
    return spec["vconcat"][0] if "vconcat" in spec else spec


def drawn(spec, kind: str, **mark) -> list[dict]:
    """Rows of the layers of a kind of mark, of the upper panel."""
    return [
        row
        for layer in panel_of(spec)["layer"]
        if layer["mark"]["type"] == kind and mark.items() <= layer["mark"].items()
        for row in layer["data"]["values"]
    ]


def test_what_is_drawn_is_what_was_computed() -> None:
    chart = watch(lots([0.5, 0.6, 0.55, 0.52, 0.5, 0.58]), JNR, excluded={"L3": "wrong bottle"})
    spec = figure_control_chart(chart)
    dots = {row["place"]: row["value"] for row in drawn(spec, "point")}
    assert dots == {place: 10.0**one.plotted for place, one in enumerate(chart.points, 1)}
    levels = {row["value"] for row in drawn(spec, "rule", color=INK)}
    assert levels == {10.0**level for one in chart.points for level in (one.lower, one.centre, one.upper)}
    joined = [(row["place"], row["end"]) for row in drawn(spec, "rule", color=INK)]
    assert joined == [(0.5, 6.5)] * 3  # one stretch a line: dashes stay dashes
    stretches = {row["place"]: row["stretch"] for row in drawn(spec, "line")}
    assert stretches == {1: 0, 2: 0, 3: 0, 5: 1, 6: 1}  # no line over the lot that is left out


def test_the_limit_of_the_specification_is_drawn_with_its_unit_where_lots_come_near_it() -> None:
    limited = replace(JNR, limit=1.0, limit_is="at_most")
    near = figure_control_chart(watch(lots([0.5, 0.7, 0.55, 0.6]), limited))
    assert [row["value"] for row in drawn(near, "rule", color=STRESS)] == [1.0]
    assert "limit 1 1/kPa" in [row["text"] for row in drawn(near, "text", color=STRESS)]
    assert "The limit of the specification is at most 1 1/kPa." in near["description"]
    far = figure_control_chart(watch(lots([0.5, 0.51, 0.5, 0.52]), limited))
    assert drawn(far, "rule", color=STRESS) == []
    assert [row["text"] for row in drawn(far, "text", color=STRESS)] == ["limit 1 1/kPa above"]
    sums = figure_control_chart(watch(lots([0.5, 0.7, 0.55, 0.6]), limited, chart="cumulative-sum"))
    assert drawn(sums, "rule", color=STRESS) == []
    assert "specification" not in sums["description"]


def test_signals_that_were_looked_into_are_hollow() -> None:
    chart = watch(lots([*FLOW, 70.0, 50.0, 72.0]), SOFTENING, baseline_until=days(10)[-1])
    spec = figure_control_chart(chart, looked_into="L10")
    hollow, filled = marks(spec, "diamond")
    assert (hollow["mark"]["filled"], filled["mark"]["filled"]) == (False, True)
    assert [row["looked_into"] for row in filled["data"]["values"]] == [True, False]


def test_numbers_at_the_edge_do_not_lie_on_one_another() -> None:
    values = [*FLOW, *(52.0 + 3.0 * step for step in range(30))]
    spec = figure_control_chart(
        watch(lots(values), SOFTENING, chart="cumulative-sum", baseline_until=days(10)[-1])
    )
    panel = panel_of(spec)
    edge = [
        layer for layer in panel["layer"] if layer["mark"].get("align") == "left" and "dy" in layer["mark"]
    ]
    low, high = next(one["encoding"]["y"]["scale"]["domain"] for one in edge)
    at = sorted(
        panel["height"] * (high - one["data"]["values"][0]["value"]) / (high - low) + one["mark"]["dy"]
        for one in edge
    )
    assert len(at) == 3
    assert min(after - before for before, after in pairwise(at)) >= 12.9
