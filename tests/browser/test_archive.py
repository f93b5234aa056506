"""The archive in a real browser: a trend drawn, the record judged anew, on a desk and on a phone."""

from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from browser.accessibility import assert_accessible, assert_fits
from browser.conftest import Serve
from browser.going import follow
from resile.storage.laboratory_record import LaboratoryRecord
from resile.workflows.laboratory.access.permissions import one_person
from resile.workflows.laboratory.files.ingesting import RecordTold, keep_record
from resile.workflows.laboratory.samples.receiving import Arrival, receive_sample

AT = "2026-03-02T08:00:00Z"


@pytest.fixture
def served(serve: Serve, tmp_path: Path) -> str:
    where = tmp_path / "archive.db"
    record = LaboratoryRecord.open(where)
    for month, jnr in ((1, 0.3), (2, 0.8), (3, 2.5)):
        number = f"26-{month}"
        sample = receive_sample(
            record, one_person(), AT, Arrival(number=number, product="Quarnsk Plain", lot="A")
        )
        table = (
            "sample,condition,temperature_c,quantity,value,unit\n"
            f"{number},short_term_aged,64,jnr_3.2,{jnr},1/kPa\n"
            f"{number},short_term_aged,64,jnr_difference_percent,120,%\n"
        )
        told = RecordTold(sample=sample.key, tested=f"2026-0{month}-03")
        keep_record(record, one_person(), AT, table.encode(), f"{number}.csv", told)
    record.close()
    return serve(record=str(where))


@pytest.mark.parametrize(("width", "scheme"), [(1280, "light"), (360, "dark")])
def test_a_trend_is_asked_and_the_record_judged_anew(tab: Page, served: str, width: int, scheme: str) -> None:
    tab.set_viewport_size({"width": width, "height": 900})
    tab.emulate_media(color_scheme=scheme)  # type: ignore[arg-type]
    tab.goto(f"{served}/archive")
    assert_fits(tab)
    assert_accessible(tab)
    questions = tab.get_by_role("navigation", name="Questions to the archive")
    follow(questions.get_by_role("link", name="Trend"))
    tab.get_by_label("Property").select_option("jnr_3.2")
    follow(tab.get_by_role("button", name="Ask"))
    expect(tab.locator("figure.live svg")).to_have_count(1)
    expect(tab.locator("#answer tbody tr")).to_have_count(3)
    assert_fits(tab)
    assert_accessible(tab)
    tab.goto(f"{served}/archive-judged")
    follow(tab.get_by_role("button", name="Judge anew"))
    expect(tab.get_by_text("m332-2020 waives it").first).to_be_visible()
    expect(tab.locator("figure.live svg")).to_have_count(1)
    assert_fits(tab)
    assert_accessible(tab)
