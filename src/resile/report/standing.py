"""A notice put before the page of a statement that no longer stands."""

from __future__ import annotations

from collections.abc import Sequence

from resile.report.markup import environment

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
