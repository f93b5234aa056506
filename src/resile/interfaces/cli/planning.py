"""The command that plans tests."""

from __future__ import annotations

from pathlib import Path

import typer

from resile.errors import InputError
from resile.interfaces.cli.judging import date_of_issue
from resile.interfaces.cli.showing import emit_json, show


def run_plan(
    grade: str | None,
    *,
    specification: str | None,
    order: Path | None,
    table: Path | None,
    book: str,
    recovered: bool,
    folder: Path | None,
    date: str | None,
    as_json: bool,
) -> None:
    """Plan the tests for a grade; write the bench sheet where a folder is named."""
    from resile.workflows.plans.planning import plan_tests
    from resile.workflows.plans.searching import search_grade

    day = date_of_issue(date)
    if grade is None:
        if folder is not None:
            raise InputError("a bench sheet is written for a grade; name one, or leave --folder out")
        search = search_grade(specification=specification or "m320", order=order, table=table)
        emit_json(search.to_json()) if as_json else show(search.to_terminal())
        return
    planning = plan_tests(
        grade, specification=specification, order=order, table=table, book=book, recovered=recovered
    )
    emit_json(planning.to_json()) if as_json else show(planning.to_terminal())
    for path in planning.write(folder, date=day) if folder is not None else ():
        typer.echo(f"written: {path}", err=as_json)


def run_form(grade: str, *, file: Path, specification: str | None, book: str) -> None:
    """Write an empty results form."""
    from resile.workflows.orders.forming import write_results_form

    written = write_results_form(grade, file, specification=specification, book=book)
    typer.echo(f"written: {written}")
    typer.echo(f"next: type the results into it, then  resile report {written}")
