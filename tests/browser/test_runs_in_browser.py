"""Runs in a real browser: the picture moves and magnifies, cycles are chosen by mouse and by keyboard."""

import re
from pathlib import Path

import pytest
from playwright.sync_api import Page, Position, expect

from browser.accessibility import assert_accessible, assert_fits
from browser.conftest import Serve
from browser.going import follow
from kept_runs import KeptRuns, creep_files, keep_runs
from resile.storage.laboratory_record import LaboratoryRecord

LABELS = "#run svg .role-axis-label text"


@pytest.fixture
def served(serve: Serve, tmp_path: Path) -> tuple[str, KeptRuns]:
    where = tmp_path / "runs.db"
    record = LaboratoryRecord.open(where)
    kept = keep_runs(record, creep_files(tmp_path / "files"))
    record.close()
    return serve(record=str(where)), kept


def labels(tab: Page) -> list[str]:
    """Words along the axes of the whole run, as drawn."""
    return tab.locator(LABELS).all_text_contents()


@pytest.mark.parametrize(("width", "scheme"), [(1280, "light"), (360, "dark")])
def test_every_page_of_runs_fits_and_is_accessible(
    tab: Page, served: tuple[str, KeptRuns], width: int, scheme: str
) -> None:
    base, kept = served
    tab.set_viewport_size({"width": width, "height": 900})
    tab.emulate_media(color_scheme=scheme)  # type: ignore[arg-type]
    run = f"/runs/{kept.creep[0]}"
    keys = ",".join(kept.creep[:2])
    for address, pictures in (
        ("/runs", 0),
        (run, 3),
        (f"{run}/rows?cycle=7", 0),
        (f"{run}/model?kind=burgers", 3),
        (f"/runs/compare?keys={keys}", 1),
        (f"/runs/{kept.beam}", 1),
    ):
        tab.goto(base + address)
        expect(tab.locator("figure.live svg")).to_have_count(pictures)
        assert_fits(tab)
        assert_accessible(tab)


def test_control_and_wheel_magnify_and_a_double_click_goes_back(
    tab: Page, served: tuple[str, KeptRuns]
) -> None:
    base, kept = served
    tab.goto(f"{base}/runs/{kept.creep[0]}")
    expect(tab.locator("#run.live svg")).to_be_visible()
    whole = labels(tab)
    picture = tab.locator("#run svg")
    box = picture.bounding_box()
    assert box is not None
    place: Position = {"x": 0.3 * box["width"], "y": 0.25 * box["height"]}
    picture.hover(position=place)
    tab.mouse.wheel(0, -200)
    expect(tab.locator(LABELS)).to_have_text(whole)  # a plain wheel scrolls the page
    picture.hover(position=place)
    tab.keyboard.down("Control")
    tab.mouse.wheel(0, -300)
    tab.keyboard.up("Control")
    expect(tab.locator(LABELS)).not_to_have_text(whole)
    picture.dblclick(position=place)
    for word in set(whole):
        expect(tab.locator(LABELS).filter(has_text=re.compile(f"^{re.escape(word)}$")).first).to_be_attached()
    assert sorted(labels(tab)) == sorted(whole)


def test_a_part_is_drawn_from_the_keyboard(tab: Page, served: tuple[str, KeptRuns]) -> None:
    base, kept = served
    tab.goto(f"{base}/runs/{kept.creep[0]}")
    tab.get_by_label("From").fill("150")
    tab.get_by_label("Until").fill("240")
    follow(tab.get_by_label("Until"), key="Enter")
    expect(tab).to_have_url(re.compile("from=150&until=240$"))
    expect(tab.locator("#run.live svg")).to_be_visible()
    expect(tab.locator("#run.live svg")).to_have_attribute("aria-label", re.compile("150 to 200 s"))


def test_a_cycle_is_chosen_by_a_click_on_its_mark_by_list_and_by_arrow(
    tab: Page, served: tuple[str, KeptRuns]
) -> None:
    base, kept = served
    tab.goto(f"{base}/runs/{kept.creep[0]}")
    expect(tab.locator("#cycles.live svg")).to_be_visible()
    marks = tab.locator("#cycles svg .mark-symbol path")
    follow(marks.nth(2))
    expect(tab).to_have_url(re.compile("cycle=3%400.1#cycle$"))
    expect(tab.locator("#cycle.live svg")).to_be_visible()
    expect(tab.locator("#cycle svg")).to_have_attribute("aria-label", re.compile("^Cycle 3 at 0.1 kPa"))
    follow(tab.locator("#cycle .drawn"), key="ArrowRight")
    expect(tab).to_have_url(re.compile("cycle=4@0.1#cycle$"))
    tab.locator("#cycle-choice").select_option("7@3.2")
    follow(tab.get_by_role("button", name="Magnify"), key="Enter")
    expect(tab.locator("#cycle.live svg")).to_be_visible()
    expect(tab.locator("#cycle svg")).to_have_attribute("aria-label", re.compile("^Cycle 7 at 3.2 kPa"))
