"""A blend book in a real browser: begun, designed with, tried by slider and mouse, tested, batched."""

import re

from playwright.sync_api import Page, expect

from browser.accessibility import assert_accessible, assert_fits
from browser.conftest import Serve
from browser.going import follow
from invented_blends import small_tables

COMPONENTS = (("Soft base", "base", "430", ""), ("Hard base", "base", "470", ""))
CONCENTRATE = ("Concentrate", "polymer_concentrate", "1100", "40")
LIMITS = (
    ("jnr_3.2", "short_term_aged", "64", "maximum", "2,0"),
    ("rotational_viscosity", "original", "135", "maximum", "1.0"),
)


def type_book(tab: Page) -> None:
    tab.fill("#title", "Coast blends (invented)")
    tab.fill("#currency", "EUR")
    for row, (name, kind, price, most) in enumerate((*COMPONENTS, CONCENTRATE), 1):
        tab.fill(f"#component-{row}-name", name)
        tab.select_option(f"#component-{row}-kind", kind)
        tab.fill(f"#component-{row}-price_per_tonne", price)
        tab.fill(f"#component-{row}-highest_percent", most)
    shares, results = small_tables("\t")
    tab.fill("#trials", shares)
    tab.uncheck("#trials_hold_results-yes")
    tab.fill("#results", results)
    for row, (quantity, condition, celsius, bound, value) in enumerate(LIMITS, 1):
        tab.select_option(f"#limit-{row}-quantity", quantity)
        tab.select_option(f"#limit-{row}-condition", condition)
        tab.fill(f"#limit-{row}-temperature_c", celsius)
        tab.select_option(f"#limit-{row}-bound", bound)
        tab.fill(f"#limit-{row}-value", value)


def test_from_an_empty_place_to_a_batch_sheet(tab: Page, serve: Serve) -> None:
    base = serve()
    tab.goto(f"{base}/")
    follow(tab.get_by_role("link", name="Blends"))
    assert_accessible(tab)
    follow(tab.locator("main").get_by_role("link", name="Begin a blend book").first)
    assert_accessible(tab)
    type_book(tab)
    follow(tab.get_by_role("button", name="Keep the book"))
    expect(tab.get_by_role("heading", level=1)).to_have_text("Coast blends (invented)")

    follow(tab.get_by_role("button", name="Work out a recipe"))
    expect(tab.locator(".answer")).to_contain_text("The cheapest recipe for the limits of the book")
    verdict = tab.locator("#tried > .verdict")
    expect(verdict).to_contain_text("95.0 %")
    assert_accessible(tab)

    slider = tab.get_by_role("slider", name="Concentrate, slider")
    slider.focus()
    before = float(tab.locator("#share-3").input_value())
    for _ in range(30):
        tab.keyboard.press("ArrowLeft")
    expect(verdict).not_to_contain_text("with 95.0 %")
    shares = [float(tab.locator(f"#share-{n}").input_value()) for n in (1, 2, 3)]
    assert abs(sum(shares) - 100.0) < 0.01
    assert abs(shares[2] - (before - 3.0)) < 0.11
    expect(tab).to_have_url(re.compile(f"share-3={shares[2]:g}(&|#|$)"))  # it can be sent

    mark = tab.locator("#ternary .mark-symbol path").last
    mark.scroll_into_view_if_needed()
    box = mark.bounding_box()
    assert box is not None
    tab.mouse.click(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    expect(verdict).to_contain_text("95")
    assert abs(float(tab.locator("#share-3").input_value()) - before) < 1.5, "the mark of the recipe"
    tab.locator("#share-1").fill("90")
    expect(tab.locator("[data-sum]")).to_contain_text("needed is 100 %")

    sheet = tab.get_by_role("link", name="Batch sheet (PDF)")
    answer = tab.request.get(f"{base}{sheet.get_attribute('href')}")
    assert answer.ok and answer.body().startswith(b"%PDF")

    follow(tab.get_by_role("link", name="Trial blends"))
    expect(tab.locator("#trial-blends tbody tr")).to_have_count(7)
    assert_accessible(tab)
    follow(tab.get_by_role("link", name="Next trial"))
    expect(tab.get_by_text("Test it for").first).to_be_visible()
    follow(tab.get_by_role("link", name="Add its results").first)
    tab.fill("#name", "T8")
    tab.fill("#value-1", "0.82")
    assert_accessible(tab)
    follow(tab.get_by_role("button", name="Keep the trial blend"))
    expect(tab.get_by_text("trial blend T8 added with 1 result").first).to_be_visible()
    expect(tab.get_by_role("button", name="Work out a recipe")).to_be_visible()


def test_a_wrong_table_is_told_and_nothing_typed_is_lost_on_a_phone(tab: Page, serve: Serve) -> None:
    tab.set_viewport_size({"width": 360, "height": 800})
    tab.emulate_media(color_scheme="dark")
    tab.goto(f"{serve()}/blends/new")
    assert_fits(tab)
    type_book(tab)
    tab.fill("#trials", "blend\tSoft base\tHard base\tConcentrate\nT1\t60\t20\t10\n")
    follow(tab.get_by_role("button", name="Keep the book"))
    expect(tab.get_by_role("alert")).to_contain_text("the shares add up to 90 %; needed is 100")
    expect(tab.locator("#component-3-name")).to_have_value("Concentrate")
    expect(tab.locator("#limit-1-value")).to_have_value("2,0")
    assert_accessible(tab)
    assert_fits(tab)
    tab.fill("#trials", small_tables("\t")[0])
    follow(tab.get_by_role("button", name="Keep the book"))
    expect(tab.get_by_role("heading", level=1)).to_have_text("Coast blends (invented)")
    assert_fits(tab)
    tab.get_by_role("button", name="Say what it keeps").click()
    expect(tab.locator("#tried > .verdict")).to_be_visible()
    assert_accessible(tab)
    assert_fits(tab)
