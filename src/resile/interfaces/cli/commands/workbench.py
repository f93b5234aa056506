"""The command that starts the workbench in the browser."""

from typing import Annotated

import typer


def serve(
    record: Annotated[
        str,
        typer.Option(
            help="The laboratory's record: a file, or the address of a PostgreSQL database.",
            show_default="RESILE_RECORD, or laboratory.db in your data folder",
        ),
    ] = "",
    host: Annotated[str, typer.Option(help="Address to listen at.")] = "127.0.0.1",
    port: Annotated[int, typer.Option(min=0, max=65535, help="Port; 0 for any free one.")] = 8350,
    sign_in: Annotated[
        bool | None,
        typer.Option(
            "--sign-in/--no-sign-in",
            help="Whether people sign in. Where not given: they do once the record holds accounts.",
            show_default=False,
        ),
    ] = None,
    address: Annotated[
        str,
        typer.Option(
            help="How browsers reach it, where that differs: https://resile.example, behind a proxy.",
            show_default=False,
        ),
    ] = "",
    workers: Annotated[int, typer.Option(min=1, max=64, help="Processes that answer.")] = 1,
    upload_limit_mb: Annotated[int, typer.Option(min=1, max=4096, help="Largest upload, MB.")] = 256,
    open_browser: Annotated[bool, typer.Option("--open", help="Open the browser.")] = False,
) -> None:
    """Start the workbench in the browser; Ctrl-C ends it."""
    from resile.interfaces.cli.serving import run_serve

    run_serve(
        record,
        host=host,
        port=port,
        sign_in=sign_in,
        address=address,
        workers=workers,
        upload_limit_mb=upload_limit_mb,
        open_browser=open_browser,
    )
