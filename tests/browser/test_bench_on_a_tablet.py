"""The bench on a tablet held upright: drafts survive, checks come while one types, targets are large."""

from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from browser.accessibility import assert_accessible, assert_fits
from browser.conftest import Serve
from browser.going import follow
from laboratory_bench import can_in
from resile.storage.laboratory_record import LaboratoryRecord

PAGES = (
    "/",
    "/bench?sample=26-101",
    "/bench/cans/C-000001",
    "/bench/ageing?sample=26-101",
    "/bench/labels?sample=26-101",
    "/bench/repeat",
    "/bench/next",
    "/instruments",
    "/retention",
)


@pytest.fixture
def address(serve: Serve, tmp_path: Path) -> str:
    record = LaboratoryRecord.open(str(tmp_path / "laboratory.db"))
    can_in(record)
    record.close()
    return serve()


@pytest.mark.parametrize(("width", "look"), [(768, "light"), (360, "dark")])
def test_the_pages_fit_and_are_accessible(address: str, tab: Page, width: int, look: str) -> None:
    tab.set_viewport_size({"width": width, "height": 1024})
    tab.emulate_media(color_scheme=look)  # type: ignore[arg-type]
    for page in PAGES:
        tab.goto(address + page)
        assert_fits(tab)
        assert_accessible(tab)


def test_what_was_typed_is_checked_and_is_back_after_a_reload(address: str, tab: Page) -> None:
    tab.set_viewport_size({"width": 768, "height": 1024})
    tab.goto(f"{address}/bench/ageing?sample=26-101")
    so_far = tab.locator("[data-so-far]")
    for name, value in (("empty", "166.214"), ("before", "201.231"), ("after", "201.122")):
        tab.fill(f"#bottle-1-{name}_g", value)
    tab.fill("#temperature_c", "170")
    expect(so_far).to_contain_text("−0.311")
    expect(so_far).to_contain_text("needed: at least 162 and at most 164")
    tab.reload()
    expect(tab.locator("#bottle-1-empty_g")).to_have_value("166.214")
    expect(tab.locator("[data-brought]")).to_be_visible()
    follow(tab.get_by_role("button", name="Keep the record"))
    expect(tab.locator("h1")).to_contain_text("is kept")
    tab.goto(f"{address}/bench/ageing?sample=26-101")
    expect(tab.locator("#bottle-1-empty_g")).to_have_value("")


def test_the_oven_is_two_taps_on_large_buttons(address: str, tab: Page) -> None:
    tab.set_viewport_size({"width": 768, "height": 1024})
    tab.goto(f"{address}/bench/cans/C-000001")
    tab.fill("#temperature_c", "150")
    button = tab.get_by_role("button", name="In the oven now")
    box = button.bounding_box()
    assert box and box["height"] >= 44, "a gloved finger needs 44 px (WCAG 2.2, 2.5.5)"
    follow(button)
    expect(tab.locator(".timer").first).to_contain_text("0 min")
    follow(tab.get_by_role("button", name="Take it out now"))
    expect(tab.locator("main")).to_contain_text("1 heating left")
