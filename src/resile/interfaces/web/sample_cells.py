"""Rows of the tables on the pages of samples and statements."""

from __future__ import annotations

from collections.abc import Iterable

from resile.workflows.laboratory.runs.run_view import CONDITION_WORDS
from resile.workflows.laboratory.samples.sample_story import SampleStory
from resile.workflows.laboratory.statements.statements_seen import ListedStatements

__all__ = ["ageing_cells", "listed_cells", "options", "statement_cells"]

Cells = list[list[object]]


def options(names: Iterable[str]) -> list[tuple[str, str]]:
    """Give names as the choices of a form."""
    return [(name, name.replace("-", " ")) for name in names]


def ageing_cells(story: SampleStory) -> Cells:
    """Give the ageings of a sample."""
    return [
        [
            CONDITION_WORDS[one.value.condition],
            one.value.happened[:10],
            ""
            if one.value.mass_change_percent is None
            else f"{one.value.mass_change_percent:+.3f}".replace("-", "−"),
            {"mark": one.value.worst} if one.value.worst else "none",
            {"text": one.value.file_name, "href": f"/files/{one.value.file}"} if one.value.file else "",
        ]
        for one in story.ageings
    ]


def statement_cells(story: SampleStory) -> Cells:
    """Give the statements on a sample."""
    return [
        [
            {"text": one.value.number, "href": f"/statements/{one.key}"},
            one.value.state.value,
            one.value.issued or "not yet",
            one.value.reason,
        ]
        for one in story.statements
    ]


def listed_cells(listed: ListedStatements) -> Cells:
    """Give a page of the list of statements."""
    return [
        [
            {"text": row.number, "href": f"/statements/{row.key}"},
            row.state,
            row.issued or "not yet",
            {"text": row.sample_number, "href": f"/samples/{row.sample}"},
            row.customer_name,
        ]
        for row in listed.rows
    ]
