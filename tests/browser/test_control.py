"""Production under control in a real browser: a chart begun, a result left out, a signal seen."""

from pathlib import Path

from playwright.sync_api import Page, expect

from browser.accessibility import assert_accessible, assert_fits
from browser.conftest import Serve
from browser.going import follow
from kept_production import keep_season
from resile.storage.laboratory_record import LaboratoryRecord


def test_a_chart_is_begun_a_result_left_out_and_a_signal_seen(
    tab: Page, serve: Serve, tmp_path: Path
) -> None:
    record = LaboratoryRecord.open(tmp_path / "laboratory.db")
    product = keep_season(record).product
    record.close()
    base = serve()
    tab.goto(f"{base}/control")
    follow(tab.get_by_role("link", name="Begin a chart").first)
    follow(tab.get_by_role("button", name="Propose"))
    assert_accessible(tab)
    follow(tab.get_by_role("link", name="Look at it").first)
    assert_accessible(tab)
    follow(tab.get_by_role("button", name="Begin the chart"))

    expect(tab.locator(".state.look")).to_contain_text("with a signal")
    expect(tab.locator("#signals + .signals")).to_contain_text("above the upper control limit")
    expect(tab.locator("#changes + .causes")).to_contain_text("1/kPa, about 2026-03")
    assert_accessible(tab)
    tab.get_by_text("Leave a result out").click()
    tab.fill("#reason", "wrong residue")
    follow(tab.get_by_role("button", name="Leave it out"))
    expect(tab.get_by_role("heading", name="Left out of it")).to_be_visible()
    tab.fill("#found", "pump of the polymer set too low; set right")
    follow(tab.get_by_role("button", name="Keep the answer"))
    expect(tab.locator(".state.calm")).to_contain_text("No open signal")

    pages = ("/control/month/2026-04", "/deliveries/reconciliation", "/control")
    of_product = f"/control/products/{product}"
    tab.set_viewport_size({"width": 360, "height": 800})
    for address in (tab.url.removeprefix(base), of_product, *pages):
        tab.goto(f"{base}{address}")
        assert_fits(tab)
        assert_accessible(tab)
