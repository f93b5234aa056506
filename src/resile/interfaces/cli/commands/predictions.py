"""The command that carries a binder's results to other temperatures."""

from pathlib import Path
from typing import Annotated, Any

import typer

from resile.interfaces.cli.commands.options import Json
from resile.interfaces.cli.layout_options import with_layout_options


@with_layout_options
def predict(
    file: Annotated[
        Path,
        typer.Argument(
            help="Table of results, test order (TOML) or filled results form (XLSX).",
            metavar="FILE",
            show_default=False,
        ),
    ],
    how: dict[str, Any],
    at: Annotated[
        list[float],
        typer.Option("--at", help="Temperature asked for (°C); may be repeated.", show_default=False),
    ],
    kind: Annotated[
        str | None,
        typer.Option(
            help="Kind of binder whose published slope stands in where one temperature was tested: "
            "unmodified, sbs-modified, unknown, or a file of your own (see: resile rules). Never guessed.",
            show_default=False,
        ),
    ] = None,
    specification: Annotated[
        str | None,
        typer.Option(
            "--specification",
            "-s",
            help="Name of a specification, or a file of your own; that of the order, else m332-2014, where "
            "not given.",
            show_default=False,
        ),
    ] = None,
    scatter: Annotated[
        str,
        typer.Option(
            help="What the scatter of one test rests on: precision (published, one operator), replicates, or "
            "a coefficient of variation of your own in %."
        ),
    ] = "precision",
    sure: Annotated[
        float, typer.Option(help="Probability that counts as sure (%).", min=50.0, max=99.99)
    ] = 95.0,
    reach: Annotated[
        float, typer.Option(help="Furthest a line is extended outside the tests (°C).", min=0.0, max=24.0)
    ] = 6.0,
    page: Annotated[
        list[Path] | None,
        typer.Option(
            help="Also write the sheet to a .html, .pdf or .xlsx file, or its first picture to .svg; may be "
            "repeated.",
            show_default=False,
        ),
    ] = None,
    date: Annotated[
        str | None,
        typer.Option(help="Date on the sheet, YYYY-MM-DD; today where not given.", show_default=False),
    ] = None,
    json: Json = False,
) -> None:
    """Say what a binder would show at other temperatures, which class it carries there, what test settles it.

    A measured value stands as measured. Always test, do not scale: a prediction certifies nothing.
    """
    from resile.interfaces.cli.predicting import run_predict

    run_predict(
        file,
        at_c=at,
        kind=kind,
        specification=specification,
        scatter=scatter,
        required_probability=sure / 100.0,
        reach_c=reach,
        pages=page or [],
        date=date,
        how=how,
        as_json=json,
    )
