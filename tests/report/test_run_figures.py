"""The pictures of a run on a screen: what is drawn and said, not pixels."""

from typing import Any

import pytest
from example_records import ELASTIC, TABLE_8_2, example_run

from resile.records.creep_recovery import CreepRecoveryRun
from resile.report.figures.runs.cycle_strip import figure_cycle_strip
from resile.report.figures.runs.overlaid import figure_overlaid
from resile.report.figures.runs.whole_run import cycle_bands, figure_whole_run
from resile.report.render import render_svg


def every(spec: Any, key: str) -> list[Any]:
    found = []
    if isinstance(spec, dict):
        found += [spec[key]] if key in spec else []
        for value in spec.values():
            found += every(value, key)
    elif isinstance(spec, list):
        for value in spec:
            found += every(value, key)
    return found


def drawn(spec: Any, field: str) -> list[dict[str, Any]]:
    return [row for data in every(spec, "values") for row in data if isinstance(row, dict) and field in row]


def test_each_stress_can_be_moved_and_magnified_without_taking_the_wheel_from_the_page(
    burgers_run: CreepRecoveryRun,
) -> None:
    params = [param for params in every(figure_whole_run(burgers_run), "params") for param in params]
    assert [param["name"] for param in params] == ["zoom_0", "zoom_1"]
    assert all(param["bind"] == "scales" for param in params)
    assert all("ctrlKey" in param["select"]["zoom"] for param in params)


def test_the_stress_panel_follows_the_strain_panel_above_it(burgers_run: CreepRecoveryRun) -> None:
    domains = [d for d in every(figure_whole_run(burgers_run), "domain") if isinstance(d, dict)]
    assert {d["param"] for d in domains} == {"zoom_0", "zoom_1"}


def test_the_strip_holds_every_cycle_with_its_stress_number_and_use(burgers_run: CreepRecoveryRun) -> None:
    bands = cycle_bands(burgers_run)
    assert [(b["stress"], b["cycle"]) for b in bands] == [
        *((0.1, number) for number in range(1, 21)),
        *((3.2, number) for number in range(1, 11)),
    ]
    assert [b["use"] for b in bands] == ["conditioning"] * 10 + ["evaluated"] * 20
    assert [(b["start"], b["end"]) for b in bands] == [(10.0 * n, 10.0 * n + 10.0) for n in range(30)]
    assert drawn(figure_whole_run(burgers_run), "use") == bands


def test_a_part_of_the_run_is_drawn_with_all_its_points_and_framed_on_the_strip(
    burgers_run: CreepRecoveryRun,
) -> None:
    spec = figure_whole_run(burgers_run, window_s=(150.0, 240.0))
    times = [row["time"] for row in drawn(spec, "phase")]
    assert min(times) >= 150.0
    assert max(times) <= 240.0
    signal = burgers_run.signal
    assert signal is not None
    inside = (signal.columns["time_s"] >= 150.0) & (signal.columns["time_s"] < 240.0)
    assert len(times) == inside.sum()
    assert {"start": 150.0, "end": 240.0} in drawn(spec, "end")


def test_a_part_beyond_the_run_shows_the_whole_run(burgers_run: CreepRecoveryRun) -> None:
    spec = figure_whole_run(burgers_run, window_s=(5000.0, 6000.0))
    assert min(row["time"] for row in drawn(spec, "phase")) == 0.0


def test_no_curve_has_more_than_2000_points(burgers_run: CreepRecoveryRun) -> None:
    specs = [
        figure_whole_run(burgers_run),
        figure_cycle_strip(burgers_run, {}),
        figure_overlaid([burgers_run] * 6, [f"run {n}" for n in range(6)], stress_kpa=3.2),
    ]
    assert all(len(rows) <= 2000 for spec in specs for rows in every(spec, "values"))


def test_the_cycle_strip_shows_means_the_band_and_hollow_conditioning(burgers_run: CreepRecoveryRun) -> None:
    level = burgers_run.levels[1]
    assert level.jnr is not None
    spec = figure_cycle_strip(burgers_run, {"jnr_3.2": 0.1, "jnr_0.1": None})
    rows = drawn(spec, "use")
    assert len(rows) == 2 * 30
    assert len([row for row in rows if row["use"] == "conditioning"]) == 2 * 10
    (band,) = drawn(spec, "top")
    assert (band["value"], band["top"]) == (level.jnr - 0.1, level.jnr + 0.1)
    assert any(str(text).startswith("mean 2.") for text in every(spec, "text"))
    assert "conditioning" in every(spec, "text")
    marks = [mark for mark in every(spec, "mark") if mark.get("type") == "point"]
    assert {(mark["shape"], mark["filled"]) for mark in marks} == {("diamond", False), ("circle", True)}


def test_overlaid_runs_differ_by_line_mark_and_word(burgers_run: CreepRecoveryRun) -> None:
    spec = figure_overlaid(
        [burgers_run, example_run(ELASTIC)], ["R-000001", "R-000002"], stress_kpa=3.2, place=5
    )
    dashes = {tuple(dash) for dash in every(spec, "strokeDash") if isinstance(dash, list)}
    assert len(dashes) == 2
    shapes = [scale["range"] for scale in every(spec, "scale") if "circle" in scale.get("range", [])]
    assert all(shape == ["circle", "square"] for shape in shapes)
    assert {row["series"] for row in drawn(spec, "jnr")} == {"R-000001", "R-000002"}
    assert {row["place"] for row in drawn(spec, "jnr")} == set(range(1, 11))


def test_overlaid_curves_start_at_nothing_and_end_at_jnr_times_stress() -> None:
    run = example_run(TABLE_8_2)
    spec = figure_overlaid([run, run], ["a", "b"], stress_kpa=3.2, place=1)
    curve = sorted((row["time"], row["strain"]) for row in drawn(spec, "strain") if row["series"] == "a")
    cycle = run.levels[1].cycles[0]
    assert curve[0] == (0.0, pytest.approx(0.0, abs=1e-6))
    assert curve[-1][1] == pytest.approx(100 * 3.2 * cycle.jnr, rel=1e-2)


def test_more_runs_than_can_be_told_apart_are_refused(burgers_run: CreepRecoveryRun) -> None:
    with pytest.raises(ValueError, match="at most 6"):
        figure_overlaid([burgers_run] * 7, ["x"] * 7, stress_kpa=3.2)


def test_every_picture_can_be_drawn_as_a_still(burgers_run: CreepRecoveryRun) -> None:
    for spec in (
        figure_whole_run(burgers_run),
        figure_cycle_strip(burgers_run, {"jnr_3.2": 0.1}),
        figure_overlaid([burgers_run] * 2, ["a", "b"], stress_kpa=0.1),
    ):
        assert render_svg(spec).startswith("<svg")
