"""The command that tells what a month of production brought."""

from pathlib import Path
from typing import Annotated

import typer

from resile.interfaces.cli.commands.options import Json, Record
from resile.interfaces.cli.commands.watch import watch

__all__ = ["watch"]


@watch.command("month")
def watch_month(
    record: Record = "",
    month: Annotated[
        str,
        typer.Option(help="Year and month, such as 2026-03; this month where not given.", show_default=False),
    ] = "",
    page: Annotated[
        list[Path] | None,
        typer.Option(
            help="Also write the report to a .pdf or .html file; may be repeated.", show_default=False
        ),
    ] = None,
    date: Annotated[
        str | None,
        typer.Option(help="Date on the page, YYYY-MM-DD; today where not given.", show_default=False),
    ] = None,
    json: Json = False,
) -> None:
    """Tell what a month of production brought, from the laboratory's record, and what to do."""
    from resile.interfaces.cli.months import run_month

    run_month(record, month=month, pages=page or [], date=date, as_json=json)
