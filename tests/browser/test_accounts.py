"""The first account, signing out and in again, in a real browser."""

import pytest
from playwright.sync_api import Page, expect

from browser.accessibility import assert_accessible, assert_fits
from browser.conftest import Serve
from browser.going import follow


@pytest.mark.parametrize(("width", "look"), [(360, "light"), (1280, "dark")])
def test_a_first_account_is_made_and_signs_out_and_in(serve: Serve, tab: Page, width: int, look) -> None:
    tab.emulate_media(color_scheme=look)
    tab.set_viewport_size({"width": width, "height": 900})
    tab.goto(serve(signs_in=True))
    assert_accessible(tab)
    assert_fits(tab)
    tab.get_by_label("Your name").fill("Ada Berg")
    tab.get_by_label("Name of your account").fill("ada")
    tab.get_by_label("Password needed", exact=True).fill("four words in a row")
    tab.get_by_label("The same password again").fill("four words in a row")
    follow(tab.get_by_role("button", name="Make the account"))
    expect(tab.get_by_role("status").first).to_contain_text("first account is made")
    follow(tab.get_by_role("link", name="Ada Berg"))
    assert_accessible(tab)
    assert_fits(tab)
    follow(tab.get_by_role("button", name="Sign out"))
    expect(tab.get_by_role("heading", level=1)).to_have_text("Sign in")
    assert_accessible(tab)
    tab.get_by_label("Name of your account").fill("ada")
    tab.get_by_label("Password").fill("not this one, no")
    follow(tab.get_by_role("button", name="Sign in"))
    expect(tab.get_by_role("alert")).to_contain_text("do not belong together")
    expect(tab.get_by_label("Name of your account")).to_have_value("ada")
    tab.get_by_label("Password").fill("four words in a row")
    follow(tab.get_by_role("button", name="Sign in"))
    expect(tab.get_by_role("link", name="Ada Berg")).to_be_visible()
