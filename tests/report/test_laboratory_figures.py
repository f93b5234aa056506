"""Pictures of laboratories beside one another: what is drawn, against numbers from outside."""

from dataclasses import replace
from itertools import pairwise
from typing import Any

import pytest
from example_laboratories import (
    GLUCOSE,
    example_checks,
    example_components,
    example_dispute,
    example_scores,
    example_study,
)

from resile.report.figures.laboratories.checks import figure_check_chart
from resile.report.figures.laboratories.components import figure_components
from resile.report.figures.laboratories.consistency import figure_consistency
from resile.report.figures.laboratories.dispute import figure_dispute
from resile.report.figures.laboratories.scores import figure_scores
from resile.workflows.laboratories.study import study_of


def layers(spec: dict[str, Any], mark: str) -> list[dict[str, Any]]:
    """Give the layers of a mark (or of a shape), down all panels."""
    found = []
    for inner in ("vconcat", "hconcat"):
        for panel in spec.get(inner, ()):
            found += layers(panel, mark)
    for layer in spec.get("layer", ()):
        drawn = layer["mark"]
        if mark in (drawn, *(drawn.get(key) for key in ("type", "shape") if isinstance(drawn, dict))):
            found.append({"data": spec.get("data"), **layer})
    return found


def rows(layer: dict[str, Any]) -> list[dict[str, Any]]:
    return layer["data"]["values"]


@pytest.mark.parametrize(
    ("what", "critical", "beyond"),
    # ASTM E691, glucose [read]: critical h 2.15 and k 2.06; laboratory 4 on C has k 2.41 and h 2.14.
    [("h", 2.15, []), ("k", 2.06, [("4", 2.41), ("2", 2.33)])],
)
def test_consistency_marks_what_the_study_of_the_standard_marks(
    what: str, critical: float, beyond: list[tuple[str, float]]
) -> None:
    spec = figure_consistency(example_study(), what=what)
    drawn = [row for layer in layers(spec, "point") for row in rows(layer)]
    assert len(drawn) == 16
    assert {round(row["critical"], 2) for row in drawn} == {critical}
    assert [(r["laboratory"], round(r["value"], 2)) for r in drawn if r["state"] == "beyond"] == beyond
    by_shape = layers(spec, "point")[0]["encoding"]["shape"]["scale"]
    assert dict(zip(by_shape["domain"], by_shape["range"], strict=True))["beyond"] == "diamond"
    assert ("laboratory 4 on C" in spec["description"]) is bool(beyond)
    titles = [layer["encoding"]["x"]["axis"]["title"] for layer in layers(spec, "point")]
    assert titles == [f"{what}, C", f"{what}, E"]


def test_a_laboratory_without_a_result_keeps_its_row_in_every_panel() -> None:
    results = (GLUCOSE.results[0], ((), *GLUCOSE.results[1][1:]))
    study = study_of(replace(GLUCOSE, results=results))
    panels = layers(figure_consistency(study, what="k"), "point")
    assert [len(rows(panel)) for panel in panels] == [8, 7]
    for panel in panels:  # names stand beside the first panel alone: rows must not move up
        assert panel["encoding"]["y"]["scale"]["domain"] == list(GLUCOSE.laboratories)


def test_scores_stand_in_their_order_with_shape_and_word_and_the_bounds_of_the_standard() -> None:
    spec = figure_scores(example_scores())
    (points,) = layers(spec, "point")
    drawn = [(row["score"], row["judged"]) for row in rows(points)]
    good = [(score, "satisfactory") for score in (1.2, 1.1, 1.3, -0.4)]
    assert drawn == [*good, (2.4, "questionable"), (3.2, "action")]
    (band,) = layers(spec, "rect")
    assert rows(band) == [{"low": -2.0, "high": 2.0}]  # |z| up to 2, action from 3
    ends = {layer["encoding"]["y"]["datum"] for layer in layers(spec, "rule")}
    assert ends == {-3.0, 0.0, 3.0}
    (weighted,) = layers(spec, "line")
    assert rows(weighted)[0]["weighted"] == pytest.approx(0.2 * 1.2)  # starts at zero, weight 0.2


def test_checks_stand_in_the_zone_that_the_certificate_prints() -> None:
    spec = figure_check_chart(example_checks())
    (band,) = layers(spec, "rect")
    assert rows(band) == [{"low": 33.87, "high": 34.09}]
    (points,) = layers(spec, "point")
    assert [(row["measured"], row["judged"]) for row in rows(points)][2:5] == [
        (34.09, "inside"),
        (34.15, "repeat"),
        (34.18, "outside"),
    ]
    assert points["encoding"]["y"]["axis"]["title"] == "measured (mm²/s)"
    assert "6 checks, 2 outside the zone of 33.87 to 34.09" in spec["description"]


def test_components_are_drawn_as_standard_deviations_of_the_hand_worked_variances() -> None:
    spec = figure_components(example_components())
    drawn = {row["source"]: row for row in rows(layers(spec, "bar")[0])}
    assert [round(row["deviation"] ** 2, 9) for row in drawn.values()] == [28.0, 7.0, 2.0]
    assert [row["share"] for row in drawn.values()] == ["76 %", "19 %", "5 %"]  # of 37
    assert [row["on"] for row in drawn.values()] == [True, True, False]  # arrow: the interval goes on
    axis = layers(spec, "bar")[0]["encoding"]["x"]["axis"]
    assert axis["title"] == "standard deviation (°C)"


def test_a_dispute_shows_every_determination_the_limit_and_the_zones_about_it() -> None:
    # 1.6449/2.7718 sqrt(0.20² - 0.05²/2 + 0.20²)/2 = 0.08326 either side of the limit of 0.5.
    spec = figure_dispute(example_dispute())
    bars, words, limit, *_ = spec["layer"]
    (dots,) = layers(spec, "point")
    (means,) = layers(spec, "tick")
    assert [(row["row"], row["value"]) for row in rows(dots)] == [("S", 0.42), ("S", 0.44), ("R", 0.68)]
    assert [round(row["value"], 9) for row in rows(means)] == [0.43, 0.68]
    assert rows(limit) == [{"limit": 0.5}]
    zones = [row for row in rows(bars) if row["row"] == "value settled"]
    assert [row["words"] for row in zones] == ["conformity shown", "neither shown", "failure shown"]
    assert [round(row["high"], 4) for row in zones[:2]] == [0.4167, 0.5833]
    referee = [row for row in rows(bars) if row["row"] == "result of referee"]
    assert [row["words"] for row in referee] == [str(place) for place in range(1, 8)]
    assert all(a["high"] == b["low"] for a, b in pairwise(referee))
    assert all(row["room"] for row in rows(words))  # no word is drawn where it does not fit
