"""The commands that grade and state a sample of the record, done and shown."""

from __future__ import annotations

from pathlib import Path

import typer

from resile.errors import EXIT_DOES_NOT_COMPLY, RecordNotFoundError
from resile.interfaces.cli.judging import seal_of
from resile.interfaces.cli.keeping import opened
from resile.interfaces.cli.showing import emit_json, show
from resile.records.register import Statement, StatementState


def run_grade_sample(where: str, number: str, *, as_json: bool) -> None:
    """Grade a sample and show the verdict."""
    from resile.workflows.laboratory.access.permissions import one_person
    from resile.workflows.laboratory.record.opening import now
    from resile.workflows.laboratory.samples.named import sample_key
    from resile.workflows.laboratory.statements.grading import grade_stored_sample

    with opened(where) as record:
        with record.reading() as reading:
            key = sample_key(reading, number)
        graded = grade_stored_sample(record, one_person(), now(), key)
    if as_json:
        emit_json(graded.to_json())
    else:
        show(graded.to_terminal())
    if not graded.complies:
        raise typer.Exit(EXIT_DOES_NOT_COMPLY)


def run_draft(where: str, number: str, *, reason: str) -> None:
    """Draft a statement and tell its number."""
    from resile.workflows.laboratory.access.permissions import one_person
    from resile.workflows.laboratory.record.opening import now
    from resile.workflows.laboratory.samples.named import sample_key
    from resile.workflows.laboratory.statements.issuing import draft_statement

    with opened(where) as record:
        with record.reading() as reading:
            key = sample_key(reading, number)
        kept = draft_statement(record, one_person(), now(), key, reason=reason)
    typer.echo(f"statement {kept.value.number} is a draft ({kept.key})")


def run_release(where: str, number: str, *, key: Path | None = None) -> None:
    """Release the draft on a sample and tell its pages."""
    from resile.workflows.laboratory.access.permissions import one_person
    from resile.workflows.laboratory.record.opening import now
    from resile.workflows.laboratory.samples.named import sample_key
    from resile.workflows.laboratory.statements.issuing import release_statement

    with opened(where) as record:
        with record.reading() as reading:
            sample = sample_key(reading, number)
            drafts = reading.find(Statement, sample=sample, state=StatementState.DRAFT.value, limit=1)
        if not drafts:
            raise RecordNotFoundError(
                f"sample {number} has no draft; write one with: resile sample draft {number}"
            )
        seal = seal_of(key) if key else None
        kept = release_statement(record, one_person(), now(), drafts[0].key, seal=seal)
    typer.echo(f"statement {kept.value.number} is issued ({kept.key})")
    for name, sha256 in kept.value.files.items():
        typer.echo(f"  {name}  {sha256}")
