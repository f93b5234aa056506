"""Commands on a sample of the laboratory's record: grade it, draft its statement, release it."""

from pathlib import Path
from typing import Annotated

import typer

from resile.interfaces.cli.commands.options import Json, Record

Number = Annotated[str, typer.Argument(help="Number of the sample, or its key.")]

sample = typer.Typer(
    name="sample",
    no_args_is_help=True,
    help="Grade a sample of the laboratory's record, draft its statement and release it.",
)


@sample.command("grade")
def grade_kept(number: Number, record: Record = "", json: Json = False) -> None:
    """Grade a sample by what was agreed, and keep the verdict (exit code 1 where it does not comply)."""
    from resile.interfaces.cli.stating import run_grade_sample

    run_grade_sample(record, number, as_json=json)


@sample.command()
def draft(
    number: Number,
    record: Record = "",
    reason: Annotated[
        str, typer.Option(help="Why it replaces the statement that stands.", show_default=False)
    ] = "",
) -> None:
    """Draft the statement on a graded sample."""
    from resile.interfaces.cli.stating import run_draft

    run_draft(record, number, reason=reason)


@sample.command()
def release(
    number: Number,
    key: Annotated[
        Path | None,
        typer.Option(
            help="Sign the PDF with this key file (.p12, .pfx); its password is asked for, or taken from "
            "RESILE_KEY_PASSWORD.",
            show_default=False,
        ),
    ] = None,
    record: Record = "",
) -> None:
    """Release the draft on a sample: it is issued, and its pages never change.

    Where the laboratory wants four eyes this is refused: the workbench releases, where people sign in.
    """
    from resile.interfaces.cli.stating import run_release

    run_release(record, number, key=key)
