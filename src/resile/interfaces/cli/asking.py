"""Questions to an archive on the command line."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict
from pathlib import Path
from typing import Any

import typer

from resile.interfaces.cli.judging import date_of_issue
from resile.interfaces.cli.showing import emit_json, following, show
from resile.records.archive_answers import AnswerTable, ArchiveContents, ResultsWanted, Trend
from resile.records.rejudging import Rejudging


def told(
    found: AnswerTable | ArchiveContents | Trend | Rejudging, *, to: Path | None = None, as_json: bool
) -> None:
    """Show an answer, and write it to a file where that is asked for."""
    from resile.workflows.archive.written import sheet_of_answer, table_of, write_answer

    emit_json(answer_to_json(found)) if as_json else show(sheet_of_answer(found))
    if to is not None and not isinstance(found, ArchiveContents):
        path = write_answer(table_of(found), to, date=date_of_issue(None))
        typer.echo(f"written: {path}", err=as_json)


def answer_to_json(found: AnswerTable | ArchiveContents | Trend | Rejudging) -> object:
    """Give an answer for machines: a table as its rows by name of the column."""
    if isinstance(found, AnswerTable):
        rows = [dict(zip(found.columns, row, strict=True)) for row in found.rows]
        return {"title": found.title, "rows": rows, "cut": found.cut}
    return asdict(found)


def run_trend(
    archive: Path,
    wanted: ResultsWanted,
    *,
    label: str,
    scale: str,
    to: Path | None,
    picture: Path | None,
    as_json: bool,
) -> None:
    """Follow a property month by month."""
    from resile.workflows.archive.questions import archive_trend
    from resile.workflows.archive.written import write_trend_picture

    found = archive_trend(archive, wanted, label=label, scale=scale)
    told(found, to=to, as_json=as_json)
    if picture is not None:
        typer.echo(f"written: {write_trend_picture(found, picture)}", err=as_json)


def run_rejudge(
    archive: Path,
    wanted: ResultsWanted,
    *,
    before: tuple[str, str],
    after: tuple[str, str],
    by: Mapping[str, Any],
    most: int,
    to: Path | None,
    pages: list[Path],
    as_json: bool,
) -> None:
    """Judge an archive by two yardsticks."""
    from resile.workflows.archive.rejudging import rejudge_archive
    from resile.workflows.archive.written import write_rejudging_pages
    from resile.workflows.judging.agreement import agree

    both = [agree(specification, decision_rule=rule, **by) for specification, rule in (before, after)]
    with following("judging anew") as progress:
        found = rejudge_archive(archive, both[0], both[1], wanted=wanted, most=most, progress=progress)
    told(found, to=to, as_json=as_json)
    for path in write_rejudging_pages(found, pages, date=date_of_issue(None)):
        typer.echo(f"written: {path}", err=as_json)


def run_from_record(archive: Path, where: str, *, as_json: bool) -> None:
    """Write the record as an archive, or bring one up to date."""
    from resile.interfaces.cli.keeping import opened
    from resile.workflows.archive.from_record import archive_record
    from resile.workflows.laboratory.access.permissions import one_person

    with opened(where) as record:
        found = archive_record(record, one_person(), archive)
    if as_json:
        emit_json(asdict(found) | {"archive": str(found.archive)})
        return
    typer.echo(
        f"{found.archive}: {found.results} results and {found.verdicts} verdicts of the record, "
        + (
            "nothing new since last time"
            if found.unchanged
            else f"{found.samples_written} samples written anew"
        )
    )
