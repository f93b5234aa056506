"""What changed between two reports, for a terminal."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from resile.records.revision import Change, IssuedReport, Revision
from resile.report.paper.statements.revision import (
    changes_table,
    count_words,
    revision_sentences,
    revision_words,
)
from resile.report.terminal.grids import heading_line, page_table, sheet_of, title_line

if TYPE_CHECKING:
    from rich.console import Group


def render_comparison(before: IssuedReport, after: IssuedReport, changes: Sequence[Change]) -> Group:
    """Give the changes between two reports."""
    title = f"Report {before.number} of {before.date} and report {after.number} of {after.date}"
    parts: list[Any] = [title_line(title), count_words(changes)]
    return sheet_of([*parts, *(["", page_table(changes_table(changes))] if changes else [])])


def render_revision(revision: Revision) -> Group:
    """Give what a report changes of the one that it replaces."""
    parts: list[Any] = ["", heading_line(revision_words(revision)), *revision_sentences(revision)]
    return sheet_of([*parts, *([page_table(changes_table(revision.changes))] if revision.changes else [])])
