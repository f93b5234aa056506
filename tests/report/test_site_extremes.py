"""The picture of yearly extremes against the grade steps: the drawn data and words."""

from typing import Any

from resile.records.site import Site, SiteDemand
from resile.report.figures.site_extremes import figure_extremes
from resile.report.render import render_svg
from resile.workflows.sites.site_climate import TypedExtreme, read_climate, typed_climate
from resile.workflows.sites.site_demand import site_demand
from weather_packages import CHAMPION


def champion() -> SiteDemand:
    climate = read_climate(CHAMPION, latitude_deg=40.4, name="Champion")
    return site_demand(Site("Champion", 40.4), climate=climate, specification="m320").demand


def drawn(panel: dict[str, Any], field: str) -> list[dict[str, Any]]:
    layers = [layer for layer in panel["layer"] if layer.get("data", {}).get("values")]
    return [row for layer in layers for row in layer["data"]["values"] if field in row]


def test_every_year_is_drawn_and_those_beyond_the_milder_step_are_filled_and_counted() -> None:
    demand = champion()
    hot, cold = figure_extremes(demand)["vconcat"]
    marks = {row["year"]: row for row in drawn(cold, "beyond")}
    assert len(marks) == 37
    # LTPP low by hand, mean of all years apart: -1.56 + 0.72 Tair - 0.004 40.4² + 6.26 log10 25, of -37.1 °C
    by_hand = -1.56 + 0.72 * -37.1 - 0.004 * 40.4**2 + 6.26 * 1.39794
    assert abs(marks["1989"]["at"] - by_hand) < 0.06
    assert {year for year, row in marks.items() if row["beyond"]} == {"1989", "1990"}
    assert cold["title"]["text"][1].startswith("2 of 37 years below −22 °C")
    assert hot["title"]["text"][1].startswith("0 of 37 years above 58 °C")


def test_the_needed_step_and_the_design_temperature_stand_beside_the_picture() -> None:
    svg = render_svg(figure_extremes(champion()))
    for words in ("64 needed", "−28 needed", "design 60.5", "design −25.8", "pavement (°C)"):
        assert words in svg


def test_without_years_the_picture_says_so() -> None:
    climate = typed_climate(
        name="x", latitude_deg=45.0, high=TypedExtreme(30.0, 2.0), low=TypedExtreme(-20.0, 3.0)
    )
    assert (
        "no years to draw"
        in figure_extremes(site_demand(Site("x", 45.0), climate=climate).demand)["description"]
    )
