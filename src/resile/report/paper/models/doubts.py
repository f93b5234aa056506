"""The section of findings on the page of a model."""

from __future__ import annotations

from collections.abc import Iterable

from resile.records.finding import Finding
from resile.report.paper.models.model import Section, finding_entry
from resile.report.words import heaviest_first

NOTHING = "None: no check raised a doubt."


def findings_section(doubts: Iterable[Finding], *, key: str = "findings", title: str = "Findings") -> Section:
    """Give the findings, heaviest first, or say that there are none.

    Parameters
    ----------
    doubts : iterable of Finding
        Of all that the page shows.
    key, title : str
        Of the section.

    Returns
    -------
    Section
        Never empty: a heading with nothing under it looks like something that failed to load.
    """
    entries = tuple(finding_entry(one) for one in heaviest_first(tuple(doubts)))
    return Section(key=key, title=title, paragraphs=() if entries else (NOTHING,), findings=entries)
