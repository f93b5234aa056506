"""Commands on the laboratory's record as a whole: audit, backup, moving."""

from typing import Annotated

import typer

from resile.interfaces.cli.commands.options import Json, Record

audit = typer.Typer(
    name="audit",
    no_args_is_help=True,
    help="Verify the laboratory's record, and show who kept what, when and why.",
)


@audit.command()
def verify(
    record: Record = "",
    head: Annotated[
        str,
        typer.Option(
            help="Head of the log noted elsewhere, SEQ:HASH: proves that its end was not cut off.",
            show_default=False,
        ),
    ] = "",
    json: Json = False,
) -> None:
    """Go through the whole record: every entry of the log, every current value, every file."""
    from resile.interfaces.cli.keeping import run_verify

    run_verify(record, head=head, as_json=json)


@audit.command()
def show(
    key: Annotated[
        str,
        typer.Argument(help="Key of one thing, for example S-000012; all where not given.", metavar="[KEY]"),
    ] = "",
    record: Record = "",
    kind: Annotated[str, typer.Option(help="Only this kind, for example sample.", show_default=False)] = "",
    by: Annotated[str, typer.Option(help="Only what this person kept: a key.", show_default=False)] = "",
    day: Annotated[
        str, typer.Option(help="Only what was kept on this day (UTC), YYYY-MM-DD.", show_default=False)
    ] = "",
    last: Annotated[int, typer.Option(min=1, help="How many entries, the newest first.")] = 30,
    json: Json = False,
) -> None:
    """Show who kept what, when, which values changed, and why."""
    from resile.interfaces.cli.keeping import run_show

    run_show(record, key=key, kind=kind, by=by, day=day, last=last, as_json=json)


@audit.command()
def rebuild(record: Record = "") -> None:
    """Make the current tables anew from the log, where an audit found them wrong."""
    from resile.interfaces.cli.keeping import run_rebuild

    run_rebuild(record)
