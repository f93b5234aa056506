"""What axe-core finds on a page, and what overflows its width."""

import json
from pathlib import Path
from typing import Any

import axe_core_python
from playwright.sync_api import Page

from browser.going import wait_for_pictures

_AXE = (Path(axe_core_python.__file__).parent / "axe.min.js").read_text(encoding="utf-8")


def assert_accessible(tab: Page, *, rules: tuple[str, ...] = ()) -> None:
    """Fail where axe-core finds anything serious or critical on the page shown, by some rules or all."""
    heavy = heavy_violations(tab, rules=rules)
    assert heavy == [], heavy


def assert_fits(tab: Page) -> None:
    """Fail where the page scrolls sideways."""
    wide = too_wide(tab)
    assert wide == [], wide


def heavy_violations(tab: Page, *, rules: tuple[str, ...] = ()) -> list[list[Any]]:
    """Give what axe-core finds serious or critical: impact, rule and the first elements."""
    wait_for_pictures(tab)
    only = f"runOnly: {list(rules)}, " if rules else ""
    session = tab.context.new_cdp_session(tab)
    session.send("Runtime.evaluate", {"expression": _AXE, "allowUnsafeEvalBlockedByCSP": True})
    ask = (
        f"axe.run(document, {{{only}resultTypes: ['violations']}})"
        ".then(found => JSON.stringify(found.violations.map("
        "one => [one.impact, one.id, one.nodes.slice(0, 3).map(node => node.html.slice(0, 160))])))"
    )
    told = session.send("Runtime.evaluate", {"expression": ask, "awaitPromise": True, "returnByValue": True})
    session.detach()
    found = json.loads(told["result"]["value"])
    return [one for one in found if one[0] in ("serious", "critical")]


def too_wide(tab: Page) -> list[str]:
    """Give the elements that make a page scroll sideways."""
    wait_for_pictures(tab)
    found: list[str] = tab.evaluate(
        "() => { const root = document.documentElement; return root.scrollWidth <= root.clientWidth ? [] :"
        " [...document.querySelectorAll('body *')].filter(e => e.getBoundingClientRect().right >"
        " root.clientWidth + 1 && !e.closest('.scroll, .drawn')).slice(0, 5)"
        ".map(e => e.outerHTML.slice(0, 120)); }"
    )
    return found


def cut_off_on_paper(tab: Page) -> list[str]:
    """Give the tables and pictures that reach beyond the sheet, on a page shown as on paper."""
    found: list[str] = tab.evaluate(
        "() => [...document.querySelectorAll('main table, main figure img, main figure svg, main pre')]"
        ".filter(e => e.getBoundingClientRect().right > document.documentElement.clientWidth + 1)"
        ".slice(0, 5).map(e => `${Math.round(e.getBoundingClientRect().right)} px: `"
        " + (e.id || e.closest('[id]')?.id || '') + ' ' + e.outerHTML.slice(0, 60))"
    )
    return found
