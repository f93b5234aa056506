"""Roads in a real browser: a weather file to a demand to a match, and the sliders by keyboard."""

from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from browser.accessibility import assert_accessible, assert_fits
from browser.conftest import Serve
from browser.going import follow
from invented_roads import table_of_binders, weather


def type_road(tab: Page, folder: Path, content: bytes) -> None:
    file = folder / "ambelund.csv"
    file.write_bytes(content)
    typed = {
        "name": "Ambelund ring",
        "latitude_deg": "47.2",
        "longitude_deg": "-31.5",
        "million_axle_loads": "5",
        "speed_kmh": "80",
    }
    for name, value in typed.items():
        tab.fill(f"#{name}", value)
    tab.set_input_files("#weather", file)
    follow(tab.get_by_role("button", name="Say what it needs"))


def test_a_road_from_a_weather_file_is_matched_with_a_range(tab: Page, serve: Serve, tmp_path: Path) -> None:
    base = serve()
    tab.goto(f"{base}/sites/new")
    type_road(tab, tmp_path, weather()["ambelund"].content)
    expect(tab.get_by_role("heading", level=1)).to_have_text("Ambelund ring")
    expect(tab.get_by_text("Ambelund ring needs PG")).to_be_visible()
    assert_accessible(tab)
    table = table_of_binders()
    for file in (table, *table.beside):
        (tmp_path / file.name).write_bytes(file.content)
    tab.goto(f"{base}/range/new")
    tab.set_input_files("#table", tmp_path / table.name)
    tab.set_input_files("#results", tmp_path / table.beside[0].name)
    follow(tab.get_by_role("button", name="Keep the range"))
    assert_accessible(tab)
    follow(tab.get_by_role("link", name="Match with roads"))
    row = tab.locator("#served tbody tr")
    expect(row).to_have_count(1)
    expect(row).to_contain_text("Quarnsk")
    assert_accessible(tab)


def test_a_slider_moved_by_keyboard_says_whether_the_grade_stays(
    tab: Page, serve: Serve, tmp_path: Path
) -> None:
    base = serve()
    tab.goto(f"{base}/sites/new")
    type_road(tab, tmp_path, weather()["ambelund"].content)
    told = tab.locator("#supposed .verdict")
    expect(told).to_contain_text("As kept")
    slider = tab.get_by_role("slider", name="Air warmer by, summer and winter, slider")
    slider.focus()
    tab.keyboard.press("ArrowRight")
    expect(told).to_contain_text("The grade ")
    tab.keyboard.press("End")
    expect(told).to_contain_text("The grade changes from PG")
    expect(tab.locator("#warmer_c")).to_have_value("5")
    tab.reload()
    expect(told).to_contain_text("As kept")


@pytest.mark.parametrize("width", [360, 768, 1280])
def test_a_wrong_weather_file_is_told_and_nothing_typed_is_lost(
    tab: Page, serve: Serve, tmp_path: Path, width: int
) -> None:
    tab.set_viewport_size({"width": width, "height": 900})
    tab.goto(f"{serve()}/sites/new")
    assert_fits(tab)
    type_road(tab, tmp_path, b"time [s],strain [%]\n0,1\n1,2\n")
    expect(tab.get_by_role("alert")).to_contain_text("no row of headings of a daily weather record")
    expect(tab.locator("#name")).to_have_value("Ambelund ring")
    expect(tab.locator("#longitude_deg")).to_have_value("-31.5")
    assert_accessible(tab)
    assert_fits(tab)
