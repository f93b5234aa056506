"""Pictures of blends: what is drawn lies where the numbers say, with words and units."""

import math
from typing import Any

import pytest
from example_blends import (
    example_curve,
    example_design,
    example_recipe,
    example_surface,
    example_ternary,
)

from resile.records.blending.recipe import DoseWindow
from resile.report.figures.blending.dose import figure_dose, figure_dose_probability
from resile.report.figures.blending.left_out import figure_left_out
from resile.report.figures.blending.margins import figure_recipe_margins
from resile.report.figures.blending.pareto import figure_pareto
from resile.report.figures.blending.ternary import figure_ternary
from resile.report.figures.style import SURE_TINT
from resile.report.render import render_svg

ROOT3 = math.sqrt(3.0) / 2.0


def data_of(spec: dict[str, Any], **wanted: Any) -> list[list[dict[str, Any]]]:
    """Give the data of the layers whose mark has all these settings."""
    return [
        layer["data"]["values"]
        for layer in spec["layer"]
        if all(layer["mark"].get(key) == value for key, value in wanted.items())
    ]


def test_a_recipe_stands_in_the_triangle_where_its_shares_put_it() -> None:
    (recipe,) = data_of(figure_ternary(example_ternary()), type="point", shape="diamond")

    # 22 % of the top corner and 28 % of the right one, by plane geometry.
    assert recipe == [{"x": pytest.approx(0.28 + 0.11), "y": pytest.approx(0.22 * ROOT3), "label": "recipe"}]


def test_blends_of_the_same_shares_share_one_mark_with_both_names() -> None:
    (trials,) = data_of(figure_ternary(example_ternary()), type="point", shape="circle")

    assert [trial["label"] for trial in trials] == ["B1, B1 again"]


def test_the_surest_shade_begins_at_the_probability_asked_for_and_ends_where_blends_are_allowed() -> None:
    (sure,) = data_of(figure_ternary(example_ternary()), type="rect", color=SURE_TINT, stroke=None)

    assert min(run["y"] for run in sure) == pytest.approx(0.5 * ROOT3, abs=0.04)
    assert max(run["y2"] for run in sure) == pytest.approx(0.6 * ROOT3, abs=0.06)
    for run in sure:  # inside the triangle
        assert run["x"] >= run["y"] / ROOT3 / 2 - 0.05
        assert run["x2"] <= 1.0 - run["y"] / ROOT3 / 2 + 0.05


def test_a_limit_is_a_line_with_its_words_and_the_picture_tells_itself() -> None:
    spec = figure_ternary(example_ternary())
    words = [layer["mark"].get("text") for layer in spec["layer"]]

    assert "Jnr3.2 ≤ 2.0" in words
    assert "The recipe lies at Concentrate 22.0 %, Soft 50.0 %, Hard 28.0 %." in spec["description"]
    assert {"← Concentrate (%)", "← Soft (%)", "Hard (%) →"} <= set(words)


def test_a_dose_picture_has_limit_band_window_and_recipe() -> None:
    window = DoseWindow("Concentrate", 18.0, 40.0, sure_lowest_percent=21.5, sure_highest_percent=38.0)
    spec = figure_dose(
        example_curve(), 0, dose_percent=22.0, window=window, trials=(("B2", 30.0, 1.1), ("far", 90.0, 1.0))
    )

    (band,) = data_of(spec, type="area")
    (dots,) = data_of(spec, type="point")
    (shaded,) = data_of(spec, type="rect")
    whole, dashed = data_of(spec, type="line")
    assert band[0]["dose"] == 0.0
    assert [dot["name"] for dot in dots] == ["B2"]
    assert shaded == [{"dose": 21.5, "dose2": 38.0}]
    assert [row["dose"] for row in dashed if row["value"] is not None] == [36.0, 38.0, 40.0]
    assert all(row["value"] is None for row in whole if row["dose"] > 35)
    axes = [layer["encoding"]["y"]["axis"] for layer in spec["layer"] if layer["mark"]["type"] == "line"]
    assert axes[0]["title"] == ["Jnr3.2", "short-term aged", "64 °C (1/kPa)"]


def test_probability_against_dose_is_in_percent_with_the_asked_level() -> None:
    spec = figure_dose_probability(example_curve(), dose_percent=22.0, required=0.95)

    (line,) = data_of(spec, type="line")
    assert line[10] == {"dose": 20.0, "value": pytest.approx(200.0 / 3.0)}
    assert "asked for: 95 %" in [layer["mark"].get("text") for layer in spec["layer"]]


def test_cost_stands_against_how_rarely_a_batch_misses() -> None:
    spec = figure_pareto(example_design().pareto, required=0.95, currency="EUR", chosen=(0.957, 585.8))

    points = data_of(spec, type="point")
    assert points[0][1] == {"rare": pytest.approx(0.05), "cost": 585.8}
    assert points[1] == [{"rare": pytest.approx(0.043), "cost": 585.8}]
    assert spec["layer"][0]["encoding"]["y"]["axis"]["title"] == "cost of the components (EUR/t)"


def test_margins_begin_with_the_smallest_and_leave_out_what_no_trial_tells() -> None:
    spec = figure_recipe_margins(example_recipe())

    good, bad = data_of(spec, type="bar")
    assert [(bar["limit"], bar["margin"]) for bar in good] == [
        ("Jnr3.2 ≤ 2.0, 64 °C", 2.2),
        ("m ≥ 0.300, −18 °C", 6.0),
    ]
    assert bad == []
    (words,) = data_of(spec, type="text")
    assert [word["words"] for word in words] == ["95.7 %", "> 99.9 % ▸  outside the trials"]


def test_left_out_trials_stand_against_what_the_others_foresee() -> None:
    (panel,) = figure_left_out([example_surface()])["concat"]

    (dots,) = data_of(panel, type="point")
    assert dots[0] == {"x": pytest.approx(math.exp(1.65)), "y": pytest.approx(math.exp(1.7))}
    assert "Too few blends" in figure_left_out([])["description"]


@pytest.mark.parametrize(
    "spec",
    [
        figure_ternary(example_ternary()),
        figure_dose(example_curve(), 1, dose_percent=22.0),
        figure_pareto((), required=0.95),
        figure_left_out([example_surface()]),
    ],
    ids=["ternary", "dose", "empty", "left out"],
)
def test_every_picture_can_be_drawn(spec: dict[str, Any]) -> None:
    assert render_svg(spec).startswith("<svg")
