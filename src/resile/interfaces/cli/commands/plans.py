"""Commands before a test: the plan, and the form to type results into."""

from pathlib import Path
from typing import Annotated

import typer

from resile.interfaces.cli.commands.options import Json


def plan(
    grade: Annotated[
        str | None,
        typer.Argument(
            help="Grade to be proven, e.g. 'PG 64V-22' or 'PG 76-22'; left out to search for it.",
            show_default=False,
        ),
    ] = None,
    specification: Annotated[
        str | None,
        typer.Option(
            "--specification",
            "-s",
            help="Name of a specification, or a file of your own; m332-2014 for a grade with a traffic "
            "letter, m320 for one without.",
            show_default=False,
        ),
    ] = None,
    order: Annotated[
        Path | None,
        typer.Option(help="Test order (TOML): tests it holds results for are ticked.", show_default=False),
    ] = None,
    table: Annotated[
        Path | None,
        typer.Option(help="Table of results of one sample: what it holds is ticked.", show_default=False),
    ] = None,
    book: Annotated[
        str, typer.Option(help="Bench book: methods, plates, tolerances, cautions; a name or a file.")
    ] = "binder",
    recovered: Annotated[
        bool, typer.Option("--recovered", help="The binder was recovered from a mix.")
    ] = False,
    folder: Annotated[
        Path | None,
        typer.Option(
            "--folder", "-f", help="Also write the bench sheet here (HTML, PDF).", show_default=False
        ),
    ] = None,
    date: Annotated[
        str | None,
        typer.Option(help="Date on the bench sheet, YYYY-MM-DD; today where not given.", show_default=False),
    ] = None,
    json: Json = False,
) -> None:
    """Plan the tests for a grade: residues, temperatures, plates, tolerances, cautions; a sheet to print."""
    from resile.interfaces.cli.planning import run_plan

    run_plan(
        grade,
        specification=specification,
        order=order,
        table=table,
        book=book,
        recovered=recovered,
        folder=folder,
        date=date,
        as_json=json,
    )


def form(
    grade: Annotated[str, typer.Argument(help="Grade to be proven, e.g. 'PG 64V-22'.", show_default=False)],
    file: Annotated[
        Path, typer.Option("--file", "-f", help="Workbook to write (.xlsx); it must not exist.")
    ] = Path("results.xlsx"),
    specification: Annotated[
        str | None,
        typer.Option("--specification", "-s", help="As for: resile plan.", show_default=False),
    ] = None,
    book: Annotated[
        str, typer.Option(help="Bench book: specimens, tolerances, cautions; a name or a file.")
    ] = "binder",
) -> None:
    """Write a workbook to type results into; filled, it goes to: resile report."""
    from resile.interfaces.cli.planning import run_form

    run_form(grade, file=file, specification=specification, book=book)
