"""Every relative link of the papers leads somewhere, and every page can be reached from the index."""

import re
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
DOCS = ROOT / "docs"
PAGES = sorted([*ROOT.glob("*.md"), *DOCS.rglob("*.md"), *(ROOT / "tests").rglob("*.md")])
FENCE = re.compile(r"^ *```.*?^ *```", re.MULTILINE | re.DOTALL)
LINK = re.compile(r"\[[^\]]*\]\(([^)\s]+)\)")
HEADING = re.compile(r"^#+ (.+)$", re.MULTILINE)


def text_of(page: Path) -> str:
    """Give a page without its fenced blocks, where brackets mean something else."""
    return FENCE.sub("", page.read_text(encoding="utf-8"))


def links_of(page: Path) -> Iterator[tuple[Path, str]]:
    for target in LINK.findall(text_of(page)):
        if not re.match(r"[a-z]+:", target):
            file, _, place = target.partition("#")
            yield (page.parent / file).resolve() if file else page, place


def places_of(page: Path) -> set[str]:
    """Give the anchors of the headings of a page: lower case, blanks to hyphens, no other marks."""
    headings = HEADING.findall(text_of(page))
    return {re.sub(r"[^\w\- ]", "", heading.lower()).replace(" ", "-") for heading in headings}


@pytest.mark.parametrize("page", PAGES, ids=lambda page: str(page.relative_to(ROOT)))
def test_every_relative_link_leads_somewhere(page: Path) -> None:
    for target, place in links_of(page):
        assert target.exists(), f"{page.relative_to(ROOT)} links to {target}"
        if place:
            assert place in places_of(target), (
                f"{page.relative_to(ROOT)}: no heading '{place}' in {target.name}"
            )


def test_every_page_of_the_manual_is_reached_from_the_index() -> None:
    index = DOCS / "index.md"
    reached = {index, *(target for target, _ in links_of(index))}
    assert set(DOCS.rglob("*.md")) - reached == set()
