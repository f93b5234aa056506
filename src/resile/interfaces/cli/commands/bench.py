"""The command that tells what is due in the laboratory."""

from typing import Annotated

import typer

from resile.interfaces.cli.commands.options import Json, Record


def due(
    record: Record = "",
    day: Annotated[
        str, typer.Option(help="Day asked for, YYYY-MM-DD; today where not given.", show_default=False)
    ] = "",
    json: Json = False,
) -> None:
    """Tell what is due: instruments to verify, cans in the oven, kept samples to dispose of."""
    from resile.interfaces.cli.bench import run_due

    run_due(record, day=day, as_json=json)
