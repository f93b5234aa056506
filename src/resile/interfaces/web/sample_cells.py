"""Rows of the tables on the pages of samples and statements."""

from __future__ import annotations

from collections.abc import Iterable

from resile.workflows.laboratory.runs.run_view import CONDITION_WORDS
from resile.workflows.laboratory.samples.sample_search import SampleRow
from resile.workflows.laboratory.samples.sample_story import SampleStory
from resile.workflows.laboratory.samples.whose import JudgedLot, StatementRow
from resile.workflows.laboratory.statements.statements_seen import ListedStatements

__all__ = [
    "ageing_cells",
    "listed_cells",
    "lot_cells",
    "options",
    "sample_row_cells",
    "statement_cells",
    "statement_row_cells",
]

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
    return statement_row_cells(listed.rows)


def statement_row_cells(rows: Iterable[StatementRow]) -> Cells:
    """Give a list of statements."""
    return [
        [
            {"text": row.number, "href": f"/statements/{row.key}"},
            row.state,
            row.issued or "not yet",
            {"text": row.sample_number, "href": f"/samples/{row.sample}"},
            row.customer_name,
        ]
        for row in rows
    ]


def sample_row_cells(rows: Iterable[SampleRow], columns: tuple[str, ...]) -> Cells:
    """Give a short list of samples: number, the columns named, day of receipt, stage."""
    return [
        [
            {"text": row.number, "href": f"/samples/{row.key}"},
            *(getattr(row, name) for name in columns),
            row.received[:10],
            row.stage,
        ]
        for row in rows
    ]


def lot_cells(lots: Iterable[JudgedLot]) -> Cells:
    """Give the lots of a product with how near they came to their limits."""
    return [
        [
            {"text": lot.number, "href": f"/samples/{lot.sample}/grade"},
            lot.lot,
            lot.received,
            lot.grade or "none",
            {"mark": lot.outcome} if lot.outcome in ("pass", "fail") else lot.outcome,
            "not known" if lot.margin is None else {"text": f"{lot.margin:+.2f}", "sort": lot.margin},
        ]
        for lot in lots
    ]
