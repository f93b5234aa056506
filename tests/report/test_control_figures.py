"""Pictures of control charts: what is drawn, and what is said to those who do not see it."""

from production_series import FLOW, JNR, SOFTENING, days, lots
from resile.report.figures.control.chart import figure_control_chart
from resile.report.figures.control.chart_points import signal_mark
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
    (diamonds,) = marks(spec, "diamond")
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
