"""Commands on the laboratory's record as a whole: audit, backup, moving."""

from pathlib import Path
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
def trace(
    statement: Annotated[
        str, typer.Argument(help="Number or key of a statement.", metavar="STATEMENT", show_default=False)
    ],
    record: Record = "",
    json: Json = False,
) -> None:
    """Follow a statement to its verdict, results, runs and files, and check every hash on the way.

    Exit code 1 where a link does not hold.
    """
    from resile.interfaces.cli.keeping import run_trace

    run_trace(record, statement, as_json=json)


@audit.command()
def rebuild(record: Record = "") -> None:
    """Make the current tables anew from the log, where an audit found them wrong."""
    from resile.interfaces.cli.keeping import run_rebuild

    run_rebuild(record)


def recompute(
    keys: Annotated[
        list[str] | None,
        typer.Argument(
            help="Keys of results, runs or samples, or numbers of samples.",
            metavar="[KEY]...",
            show_default=False,
        ),
    ] = None,
    all_: Annotated[bool, typer.Option("--all", help="Every stored result.")] = False,
    keep: Annotated[
        bool,
        typer.Option("--keep", help="Keep what differs as a new revision; the one before stays as it was."),
    ] = False,
    record: Record = "",
    json: Json = False,
) -> None:
    """Recompute stored results with today's program: which numbers change, by how much, and why.

    Exit code 1 where something differs, or a file is damaged.
    """
    from resile.interfaces.cli.recomputing import run_recompute

    run_recompute(record, keys or [], everything=all_, keep=keep, as_json=json)


def backup(
    file: Annotated[
        Path, typer.Argument(help="File to make; it must not exist yet.", metavar="FILE", show_default=False)
    ],
    record: Record = "",
    json: Json = False,
) -> None:
    """Back up the laboratory's record into one file, while others work with it, and verify the file."""
    from resile.interfaces.cli.moving import run_backup

    run_backup(file, record, as_json=json)


def restore(
    file: Annotated[
        Path, typer.Argument(help="Backup made by resile backup.", metavar="FILE", show_default=False)
    ],
    record: Record = "",
    json: Json = False,
) -> None:
    """Restore a backup into a new, empty record (SQLite or PostgreSQL), and verify it."""
    from resile.interfaces.cli.moving import run_restore

    run_restore(file, record, as_json=json)


def export(
    folder: Annotated[
        Path,
        typer.Argument(help="Folder to make; it must not exist yet.", metavar="FOLDER", show_default=False),
    ],
    record: Record = "",
    json: Json = False,
) -> None:
    """Write everything in the record to open formats: log, tables (CSV, Parquet) and raw files."""
    from resile.interfaces.cli.moving import run_export

    run_export(folder, record, as_json=json)


def import_(
    folder: Annotated[
        Path, typer.Argument(help="Folder made by resile export.", metavar="FOLDER", show_default=False)
    ],
    record: Record = "",
    json: Json = False,
) -> None:
    """Read an export into a new, empty record (SQLite or PostgreSQL), with the same hashes, and verify it."""
    from resile.interfaces.cli.moving import run_import

    run_import(folder, record, as_json=json)
