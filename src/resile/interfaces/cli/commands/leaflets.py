"""The command that explains a binder to people outside the laboratory."""

from pathlib import Path
from typing import Annotated

import typer

from resile.interfaces.cli.commands.options import Json


def leaflet(
    report: Annotated[
        Path | None,
        typer.Argument(
            help="JSON of a report, as 'resile report' writes it; without one the test alone is explained.",
            metavar="[REPORT.json]",
            show_default=False,
        ),
    ] = None,
    at: Annotated[
        float | None,
        typer.Option(
            "--at",
            help="Test temperature to explain (°C); that of the grade stated where not given.",
            show_default=False,
        ),
    ] = None,
    page: Annotated[
        list[Path] | None,
        typer.Option(
            help="Also write the page to a .html file that needs no network and no script; may be repeated.",
            show_default=False,
        ),
    ] = None,
    json: Json = False,
) -> None:
    """Explain a result to people outside the laboratory: one picture, five sentences, plain words.

    A picture to understand by: it does not replace the report.
    """
    from resile.interfaces.cli.showing import emit_json, show
    from resile.workflows.explaining.page import make_leaflet

    made = make_leaflet(report, at_c=at)
    written = made.write(page or [], spare=[report] if report else [])
    emit_json(made.to_json()) if json else show(made.to_terminal())
    for path in written:
        typer.echo(f"written: {path}", err=json)
