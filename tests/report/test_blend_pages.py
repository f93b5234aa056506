"""Pages of blends: the design, the batch sheet on one page, words that never promise."""

import json

from example_blends import (
    example_book,
    example_curve,
    example_design,
    example_portfolio,
    example_recipe,
    example_ternary,
    example_trials,
)

from resile.records.blending.design import ParetoPoint
from resile.records.blending.limit import BlendLimit, Response
from resile.records.determination import Condition
from resile.report.blend_words import limit_with_unit, short_limit
from resile.report.machine.blends import design_to_json, next_trials_to_json, portfolio_to_json
from resile.report.page import html_of_page, pdf_of_page
from resile.report.paper.assemble import BANNER
from resile.report.paper.blends.batch_sheet import BLANK, batch_sheet
from resile.report.paper.blends.blend_tables import pareto_table
from resile.report.paper.blends.blends import DesignPictures, design_page

PICTURES = DesignPictures(example_ternary(), example_curve(), (((("B2", 30.0, 1.1)),), ()), example_trials())


def test_the_page_tells_recipe_limits_doses_cost_and_trials_in_this_order() -> None:
    page = design_page(example_design(), PICTURES, date="2026-05-13")

    assert [section.key for section in page.sections] == [
        "recipe",
        "limits",
        "findings",
        "doses",
        "cost",
        "trials",
        "basis",
        "cautions",
    ]
    assert page.banner == BANNER
    assert "always test the first batch" in page.answer_more[0]
    (limits,) = page.sections[1].tables
    assert limits.rows[0][:3] == ("flash point", "≥ 230 °C", "not tested")
    html = html_of_page(page)
    assert "outside the trials" in html
    assert "<script" not in html


def test_a_design_without_a_recipe_says_so_and_shows_the_nearest_miss() -> None:
    page = design_page(example_design(found=False), PICTURES, date="2026-05-13")

    assert page.sections[0].title == "Recipe (cheapest as expected)"


def test_the_batch_sheet_is_one_page_with_masses_blanks_tests_and_cautions() -> None:
    page = batch_sheet(example_book(), example_recipe(), grade="PG 64H-28", date="2026-05-13")
    weigh, tests, care = page.sections

    assert [row[:5] for row in weigh.tables[0].rows] == [
        ("Soft", "", "50.00", "10\N{NARROW NO-BREAK SPACE}000", "10\N{NARROW NO-BREAK SPACE}000"),
        ("Hard", "", "28.00", "5600", "15\N{NARROW NO-BREAK SPACE}600"),
        ("Concentrate", "175 °C", "22.00", "4400", "20\N{NARROW NO-BREAK SPACE}000"),
    ]
    assert all(BLANK in row for row in (*weigh.tables[0].rows, *tests.tables[0].rows))
    assert tests.tables[0].rows[0][:3] == ("flash point", "≥ 230 °C", "no trial tells")
    assert "plant's own procedure" in weigh.closing[0]
    assert care.bullets == ("Concentrate must not be heated above 175 °C.",)
    assert b"/Type/Pages/Count 1/" in pdf_of_page(page)


def test_json_carries_every_limit_and_stays_json() -> None:
    told = json.loads(json.dumps(design_to_json(example_design())))

    assert told["chosen"]["lines"][2]["value"] is None
    assert told["chosen"]["lines"][0]["limit"]["limit"] == 2.0
    assert told["pareto"][1]["percent"] == {"Soft": 50.0, "Hard": 28.0, "Concentrate": 22.0}
    assert told["surfaces"][0]["terms"] == [["Soft"], ["Hard"], ["Concentrate"]]
    assert (
        json.loads(json.dumps(portfolio_to_json(example_portfolio())))["unserved"][0]["grade"] == "PG 70E-34"
    )
    assert next_trials_to_json(example_book(), example_trials())["next_trials"][0]["gain_unit"] == "EUR/t"


def test_a_limit_raised_for_hot_storage_shows_what_is_asked_and_what_that_makes() -> None:
    response = Response("percent_recovery_3.2", Condition.SHORT_TERM_AGED, 64.0)
    limit = BlendLimit(response, "minimum", 26.737121310639846, asked=20.0)
    assert limit_with_unit(limit) == "≥ 20 % asked, 26.7 with hot storage"
    assert short_limit(limit).endswith("≥ 26.7 (20 asked)")


def test_the_surest_recipe_is_named_at_the_end_of_the_ladder() -> None:
    points = [ParetoPoint(0.9991, 500.0, {"A": 100.0}), ParetoPoint(0.99999, 600.0, {"B": 100.0})]
    assert [row[0] for row in pareto_table(points, "").rows] == ["> 99.9 %", "> 99.9 %, the surest"]
