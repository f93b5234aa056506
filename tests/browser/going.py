"""Going from page to page: press, then wait until the next page is there."""

from playwright.sync_api import Locator, Page, expect


def follow(what: Locator, *, key: str | None = None) -> None:
    """Press what leads to another page, by mouse or with a key, and wait until that page is loaded.

    A click is over before the browser has left the page. What comes next would meet either of the two: words
    would be read on the page that is left, and a reload or another address would cross the first.
    """
    with what.page.expect_navigation():
        if key is None:
            what.click()
        else:
            what.press(key)


def accept(page: Page, link: str, account: str, password: str) -> None:
    """Choose a password by the link of an invitation, and sign in with it."""
    page.goto(link)
    page.get_by_label("Password needed", exact=True).fill(password)
    page.get_by_label("The same password again").fill(password)
    follow(page.get_by_role("button", name="Keep the password"))
    page.get_by_label("Name of your account").fill(account)
    page.get_by_label("Password").fill(password)
    follow(page.get_by_role("button", name="Sign in"))


def wait_for_pictures(tab: Page) -> None:
    """Wait until every picture of the page is drawn: only then it may be measured."""
    expect(tab.locator("figure[data-chart]:not(.live)")).to_have_count(0)
