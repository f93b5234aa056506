"""What is put before a statement that no longer stands: a notice on the screen, a cover on paper."""

from __future__ import annotations

import datetime
import hashlib
import json
from collections.abc import Sequence

from resile.report.markup import TEMPLATES, environment
from resile.report.typeset import STANDARDS_WITH_FILES, typeset

_BODY = b"<body"


def page_with_notice(page: bytes, headline: str, sentences: Sequence[str]) -> bytes:
    """Put a notice before a web page; the page itself stays as it is.

    Parameters
    ----------
    page : bytes
        HTML as it was issued.
    headline : str
        What the page is no longer.
    sentences : sequence of str
        Why, since when, and what stands in its place.

    Returns
    -------
    bytes
        The page with the notice on top; on paper it is a sheet of its own.
    """
    template = environment().get_template("standing.html.j2")
    notice: str = template.render(headline=headline, sentences=sentences)
    start = page.find(b">", page.find(_BODY)) + 1
    return page[:start] + notice.encode() + page[start:]


def cover_of_page(page: bytes, name: str, headline: str, sentences: Sequence[str], *, date: str) -> bytes:
    """Put a PDF that no longer stands behind a cover: attached byte for byte, so that its signature holds.

    Parameters
    ----------
    page : bytes
        PDF as it was issued.
    name : str
        Name of its file.
    headline : str
        What it is no longer.
    sentences : sequence of str
        Why, since when, and what stands in its place.
    date : str
        Day it was noted, YYYY-MM-DD; it also dates the cover.

    Returns
    -------
    bytes
        A tagged PDF of one sheet (PDF/A-3a and PDF/UA-1) with the page attached.
    """
    sheet = {
        "headline": headline,
        "sentences": list(sentences),
        "name": name,
        "size": f"{len(page):,}".replace(",", "\u202f"),
        "sha256": hashlib.sha256(page).hexdigest(),
    }
    files = {
        "main.typ": (TEMPLATES / "standing.typ").read_bytes(),
        "sheet.json": json.dumps(sheet, ensure_ascii=False).encode(),
        "page.json": json.dumps(list(page)).encode(),  # the engine takes texts alone
    }
    noon = datetime.datetime.combine(
        datetime.date.fromisoformat(date), datetime.time(12), tzinfo=datetime.UTC
    )
    return typeset(files, timestamp=noon, standards=STANDARDS_WITH_FILES)
