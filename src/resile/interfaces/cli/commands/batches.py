"""The command that makes an archive of many record files."""

from pathlib import Path
from typing import Annotated, Any

import typer

from resile.interfaces.cli.commands.options import BASIS_WORDS, Json, OwnPrecision
from resile.interfaces.cli.layout_options import with_layout_options


@with_layout_options
def batch(
    folders: Annotated[
        list[str],
        typer.Argument(
            help="Folders of record files with all folders in them, single files, or addresses such as "
            "s3://bucket/records or zip://::records.zip.",
            show_default=False,
            metavar="FOLDER...",
        ),
    ],
    how: dict[str, Any],
    into: Annotated[
        Path, typer.Option(help="Folder of the archive: a new one, or one to go on with.", show_default=False)
    ],
    specification: Annotated[
        str | None,
        typer.Option(
            "--specification",
            "-s",
            help="Name or file of a specification that every sample is judged by; no verdicts without one.",
            show_default=False,
        ),
    ] = None,
    decision_rule: Annotated[str, typer.Option(help="Decision rule, agreed before the tests.")] = "simple",
    uncertainty_basis: Annotated[str, typer.Option(help=BASIS_WORDS)] = "reproducibility",
    retest_rule: Annotated[str, typer.Option(help="Which determinations of a sample count.")] = "mean-of-all",
    precision: OwnPrecision = "",
    register: Annotated[
        Path | None,
        typer.Option(
            help="Table that says of each file: sample, lot, product, tested, condition.", show_default=False
        ),
    ] = None,
    named: Annotated[
        str,
        typer.Option(
            help="How folders are named, for example '{product}/{lot}/{sample}/{condition}-*'.",
            show_default=False,
        ),
    ] = "",
    jobs: Annotated[int, typer.Option(min=1, help="Processes to share the files among.")] = 1,
    machines: Annotated[
        str,
        typer.Option(
            help="Address of a Dask scheduler, tcp://HOST:PORT, whose workers do the work.",
            show_default=False,
        ),
    ] = "",
    send: Annotated[
        bool, typer.Option("--send", help="Send the files to the workers: they cannot read them themselves.")
    ] = False,
    again: Annotated[
        bool, typer.Option("--again", help="Make the archive anew: whatever it holds is read again.")
    ] = False,
    json: Json = False,
) -> None:
    """Reduce and judge folders of records into an archive of columnar tables; goes on where it was stopped.

    Files that cannot be read are listed with their reasons and stop nothing; the exit code is then 0 as well,
    and 2 where no file at all could be read.
    """
    from resile.interfaces.cli.batching import run_batch_command

    run_batch_command(
        folders,
        into=into,
        judged_by={
            "specification": specification,
            "decision_rule": decision_rule,
            "uncertainty_basis": uncertainty_basis,
            "retest_rule": retest_rule,
            "precision": precision,
        },
        how=how,
        register=register,
        named=named,
        jobs=jobs,
        machines=machines,
        send=send,
        again=again,
        as_json=json,
    )
