"""The page for people outside the laboratory in a real browser: dragged, by keyboard, without script."""

import io
import re
from pathlib import Path
from typing import Any

import pypdf
import pytest
from playwright.sync_api import Page, expect

from browser.accessibility import assert_accessible, assert_fits
from browser.conftest import Serve, Window
from browser.going import follow
from resile.workflows.demonstration import write_demonstration
from resile.workflows.explaining.page import make_leaflet
from resile.workflows.explaining.trying import Trial, try_binder
from resile.workflows.orders.ordering import report_order


@pytest.fixture
def address(serve: Serve) -> str:
    return serve() + "/explain"


def assert_told(tab: Page, trial: Trial) -> None:
    expect(tab.locator("[data-sentence]")).to_have_text(list(trial.sentences))


def test_dragging_changes_picture_words_numbers_and_address(address: str, tab: Page) -> None:
    tab.goto(address)
    tab.locator(".x-live").wait_for()
    before = tab.locator('[data-drawing] [data-line="curve"]').get_attribute("d")
    slider = tab.get_by_label("Heat of the road")
    box = slider.bounding_box()
    assert box is not None
    tab.mouse.move(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    tab.mouse.down()
    tab.mouse.move(box["x"] + box["width"] - 4, box["y"] + box["height"] / 2, steps=6)
    tab.mouse.up()
    reached = float(slider.input_value())
    assert reached > 70
    trial = try_binder(temperature=reached)
    assert_told(tab, trial)
    expect(tab.locator('[data-drawing] [data-line="curve"]')).not_to_have_attribute("d", before or "")
    expect(tab.locator('[data-number="jnr"]')).to_have_text(f"{trial.push.jnr:#.3g}")
    expect(tab.locator("[data-announce]")).to_have_text(" ".join(trial.sentences))
    tab.wait_for_url(re.compile(f"temperature={reached:g}"))


def test_the_keyboard_alone_pushes_heats_and_changes_the_binder(address: str, tab: Page) -> None:
    tab.goto(address)
    tab.locator(".x-live").wait_for()
    tab.get_by_label("Push:").focus()
    tab.keyboard.press("End")
    assert_told(tab, try_binder(stress=12.8))
    tab.get_by_role("radio", name="with polymer").focus()
    tab.keyboard.press("ArrowUp")
    assert_told(tab, try_binder(stress=12.8, binder="blended"))
    tab.get_by_role("button", name="Six degrees hotter").focus()
    tab.keyboard.press("Enter")
    assert_told(tab, try_binder(stress=12.8, binder="blended", temperature=70))


def test_without_script_the_form_gives_the_same_picture_and_words(
    window: Window, address: str, tab: Page
) -> None:
    plain = window(java_script_enabled=False)
    plain.goto(f"{address}?stress=3.2&temperature=70&binder=plain")
    assert_told(plain, try_binder(stress=3.2, temperature=70, binder="plain"))
    follow(plain.get_by_role("button", name="Six degrees hotter"))
    assert_told(plain, try_binder(stress=3.2, temperature=76, binder="plain"))
    drawn = plain.locator('[data-drawing] [data-line="leftover"]').get_attribute("d")
    tab.goto(f"{address}?stress=3.2&temperature=75&binder=plain")
    tab.locator(".x-live").wait_for()
    tab.get_by_label("Heat of the road").press("ArrowRight")
    live = tab.locator('[data-drawing] [data-line="leftover"]').get_attribute("d")
    assert drawn is not None
    assert live is not None
    numbers = [list(map(float, re.findall(r"[\d.]+", text))) for text in (drawn, live)]
    assert numbers[0] == pytest.approx(numbers[1], abs=0.0101)


@pytest.mark.parametrize("look", ["light", "dark"])
@pytest.mark.parametrize("width", [360, 768, 1280])
def test_the_page_fits_and_is_accessible(address: str, tab: Page, width: int, look: Any) -> None:
    tab.emulate_media(color_scheme=look)
    tab.set_viewport_size({"width": width, "height": 900})
    tab.goto(address)
    tab.locator(".x-live").wait_for()
    assert_fits(tab)
    assert_accessible(tab)


def test_the_result_of_a_report_is_one_sheet_of_paper(window: Window, tmp_path: Path) -> None:
    write_demonstration(tmp_path)
    order = tmp_path / "103-spring-tank-2" / "order.toml"
    report_order(order, date="2026-05-13").write(order.parent)
    [page] = make_leaflet(order.parent / "103.json").write([tmp_path / "leaflet.html"])
    tab = window()
    tab.goto(page.as_uri())
    sheet = io.BytesIO(tab.pdf(format="A4"))
    first, second = (one.extract_text() for one in pypdf.PdfReader(sheet).pages[:2])
    assert "The two numbers:" in first
    assert "One push, taken apart" not in first
    assert "One push, taken apart" in second
