"""From a sample with runs to a statement that was replaced, by hand in a real browser."""

from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from browser.accessibility import assert_accessible, assert_fits
from browser.going import follow
from resile.storage.laboratory_record import LaboratoryRecord
from stored_samples import keep_order


def test_a_sample_is_graded_drafted_released_and_replaced(serve: Any, tab: Page, tmp_path: Path) -> None:
    where = str(tmp_path / "laboratory.db")
    record = LaboratoryRecord.open(where)
    sample = keep_order(record, "201-plain")
    record.close()
    home = serve(record=where)
    tab.goto(f"{home}/samples/{sample}")
    assert_accessible(tab)
    follow(tab.get_by_role("link", name="Grade sheet"))
    follow(tab.get_by_role("button", name="Grade the sample"))
    expect(tab.get_by_text("PG 64S-22").first).to_be_visible()
    assert_accessible(tab)
    follow(tab.get_by_role("button", name="Write the certificate"))
    expect(tab.get_by_text("Not issued; every sheet says so.")).to_be_visible()
    follow(tab.get_by_role("button", name="Release and issue"))
    expect(tab.get_by_text("This statement stands.")).to_be_visible()
    assert_accessible(tab)
    first = tab.url
    tab.goto(f"{home}/samples/{sample}/grade")
    tab.get_by_label("Why it is replaced").fill("a seal was misread")
    follow(tab.get_by_role("button", name="Write the certificate"))
    follow(tab.get_by_role("button", name="Release and issue"))
    expect(tab.get_by_text("a seal was misread").first).to_be_visible()
    tab.goto(first)
    expect(tab.get_by_text("Replaced, no longer valid.")).to_be_visible()


@pytest.mark.parametrize("width", [360, 760, 1280])
def test_the_pages_of_a_sample_fit_every_width(serve: Any, tab: Page, tmp_path: Path, width: int) -> None:
    where = str(tmp_path / "laboratory.db")
    record = LaboratoryRecord.open(where)
    sample = keep_order(record, "103-spring-tank-2")
    record.close()
    home = serve(record=where)
    tab.set_viewport_size({"width": width, "height": 900})
    for address in (f"/samples/{sample}", f"/samples/{sample}/grade", "/statements"):
        tab.goto(home + address)
        assert_fits(tab)
