"""The parts of the pages in a real browser: every width, light and dark, keyboard, no complaint."""

import re
from pathlib import Path
from typing import Any

import jinja2
import pytest
from playwright.sync_api import Page, expect

import resile.interfaces.web.app as web_app
from browser.accessibility import assert_accessible, assert_fits
from browser.conftest import Serve, Window
from browser.going import follow, wait_for_pictures
from resile.errors import InputError
from resile.interfaces.web.rendering import TEMPLATES, environment
from resile.interfaces.web.visit import get, post
from resile.report.figures.style import INK, STRAIN, chart, number_axis, rows

SPEC = chart(
    "Jnr rises from 0.4 at 58 °C to 2.1 at 70 °C.",
    {
        "data": rows(t=[58, 64, 70], j=[0.4, 0.9, 2.1]),
        "width": 600,
        "height": 220,
        "layer": [
            {"mark": {"type": "line", "color": STRAIN}},
            {"mark": {"type": "point", "color": INK, "filled": True}},
        ],
        "encoding": {
            "x": {
                "field": "t",
                "type": "quantitative",
                "scale": {"zero": False},
                "axis": number_axis("Temperature, °C"),
            },
            "y": {"field": "j", "type": "quantitative", "axis": number_axis("Jnr, 1/kPa")},
        },
    },
)


def parts(visit):
    return visit.show("components.html.j2", spec=SPEC)


def refuse(visit):
    error = InputError("the sample number '2026-101' is in use already; give another")
    return visit.again("components.html.j2", error, errors={"number": "in use already"}, spec=SPEC)


@pytest.fixture
def all_parts(serve: Serve, monkeypatch: pytest.MonkeyPatch) -> str:
    """A page with every part, which the product does not have."""
    gathered = web_app.gathered_routes()
    more = [get("/parts", parts), post("/parts", refuse)]
    monkeypatch.setattr(web_app, "gathered_routes", lambda: [*gathered, *more])
    loader = jinja2.FileSystemLoader([TEMPLATES, Path(__file__).parent / "templates"])
    monkeypatch.setattr(environment(), "loader", loader)
    return serve() + "/parts"


@pytest.mark.parametrize("look", ["light", "dark"])
@pytest.mark.parametrize("width", [360, 768, 1280])
def test_every_part_fits_and_is_accessible(all_parts: str, tab: Page, width: int, look: Any) -> None:
    tab.emulate_media(color_scheme=look)
    tab.set_viewport_size({"width": width, "height": 900})
    tab.goto(all_parts)
    tab.locator("figure.live svg").wait_for()
    assert_fits(tab)
    assert_accessible(tab)


def test_a_picture_is_drawn_without_eval_and_in_the_colours_of_a_dark_page(all_parts: str, tab: Page) -> None:
    tab.emulate_media(color_scheme="dark")
    tab.goto(all_parts)
    wait_for_pictures(tab)
    svg = tab.locator("figure.live svg").inner_html()
    assert "#8cc0e3" in svg and "#1d4f72" not in svg
    assert "Temperature, °C" in svg


def test_without_script_the_picture_stands_as_a_drawing_and_the_menu_opens(
    window: Window, all_parts: str
) -> None:
    page = window(java_script_enabled=False, viewport={"width": 360, "height": 800})
    page.goto(all_parts)
    assert page.locator("figure img").evaluate("image => image.naturalWidth") > 100
    page.get_by_role("button", name="Menu").click()
    expect(page.get_by_role("link", name="Today")).to_be_visible()


def test_a_table_sorts_by_its_numbers_and_says_so(all_parts: str, tab: Page) -> None:
    tab.goto(all_parts)
    tab.get_by_role("button", name="Value").click()
    expect(tab.locator("#verdicts th").nth(1)).to_have_attribute("aria-sort", "ascending")
    values = tab.locator("#verdicts tbody td:nth-child(2)")
    expect(values).to_have_text(["−31.2", "0.296", "0.874", "82.1", "288", ""])
    tab.get_by_role("button", name="Value").press("Enter")
    expect(values.first).to_have_text("288")


def test_a_table_shows_the_rows_asked_for_and_counts_them(all_parts: str, tab: Page) -> None:
    tab.goto(all_parts)
    tab.get_by_role("searchbox").fill("conditional")
    expect(tab.locator("#verdicts tbody tr:visible")).to_have_count(2)
    expect(tab.locator(".table-tools")).to_contain_text("2 of 6 rows")


def test_a_saved_table_holds_no_formula_and_keeps_its_numbers(all_parts: str, tab: Page) -> None:
    tab.goto(all_parts)
    with tab.expect_download() as waiting:
        tab.get_by_role("button", name="Save as CSV").click()
    text = Path(waiting.value.path()).read_text(encoding="utf-8-sig")
    assert '"\'=HYPERLINK(""http://x"")"' in text
    assert "-31.2" in text and "'-31.2" not in text


def test_a_refused_form_comes_back_filled_and_leads_to_the_field(all_parts: str, tab: Page) -> None:
    tab.goto(all_parts)
    tab.get_by_label("Sample number").fill('2026-101 "north"')
    tab.get_by_label("Note").fill("second can")
    tab.get_by_label("Residue").select_option("short")
    tab.get_by_label("Keep a retained half").check()
    follow(tab.get_by_role("button", name="Receive"))
    expect(tab.get_by_role("alert")).to_have_text(re.compile("^The sample number"))
    expect(tab.get_by_label("Sample number")).to_have_value('2026-101 "north"')
    expect(tab.get_by_label("Note")).to_have_value("second can")
    expect(tab.get_by_label("Residue")).to_have_value("short")
    expect(tab.get_by_label("Keep a retained half")).to_be_checked()
    expect(tab.locator("#number")).to_be_focused()
    assert_accessible(tab)


def test_the_reader_chooses_dark_and_keeps_it(serve: Serve, tab: Page) -> None:
    tab.goto(serve())
    follow(tab.get_by_role("button", name="dark"))
    tab.reload()
    expect(tab.locator("html")).to_have_attribute("data-look", "dark")
    expect(tab.locator("body")).to_have_css("background-color", "rgb(15, 19, 21)")


def test_the_first_stop_of_the_keyboard_leads_to_the_content(serve: Serve, tab: Page) -> None:
    tab.goto(serve())
    tab.keyboard.press("Tab")
    expect(tab.get_by_role("link", name="To the content")).to_be_focused()
    tab.keyboard.press("Enter")
    expect(tab.locator("#content")).to_be_focused()


def test_an_upload_too_large_is_told_before_it_travels(all_parts: str, tab: Page, tmp_path: Path) -> None:
    tab.goto(all_parts)
    big = tmp_path / "big.csv"
    with big.open("wb") as file:
        file.truncate(257_000_000)
    tab.locator("form").get_by_label("Sample number").fill("1")
    tab.locator("#record").set_input_files(big)
    tab.get_by_role("button", name="Receive").click()
    expect(tab.get_by_role("alert")).to_contain_text("257 MB")
