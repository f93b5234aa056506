"""Commands that sign a report and verify a signed one."""

from __future__ import annotations

import os
import sys
from collections.abc import Sequence
from pathlib import Path

import typer

from resile.errors import EXIT_DOES_NOT_COMPLY, InputError
from resile.interfaces.cli.showing import emit_json, show

PASSWORD_VARIABLE = "RESILE_KEY_PASSWORD"


def run_sign(pdf: Path, *, key: Path, reason: str, output: Path | None, as_json: bool) -> None:
    """Sign a report; nothing is overwritten."""
    from resile.workflows.orders.signing import read_locked_key, sign_report

    read_locked_key(key)
    signed = sign_report(pdf, key, password_for(key), reason=reason, output=output)
    emit_json(signed.to_json()) if as_json else show(signed.to_terminal(full=False))
    typer.echo(f"written: {signed.source.path}", err=as_json)


def run_verify(pdf: Path, *, trusted: Sequence[Path], as_json: bool) -> None:
    """Verify a signed report; exit code 1 unless it is signed and intact."""
    from resile.workflows.orders.signing import verify_report

    verified = verify_report(pdf, trusted=trusted)
    emit_json(verified.to_json()) if as_json else show(verified.to_terminal())
    if not verified.intact:
        raise typer.Exit(EXIT_DOES_NOT_COMPLY)


def password_for(key: Path) -> str:
    """Give the password of a key file from the environment, or ask; an option could be seen by others."""
    given = os.environ.get(PASSWORD_VARIABLE)
    if given is not None:
        return given
    if not sys.stdin.isatty():
        raise InputError(
            f"{key}: the password cannot be asked for here; put it into the variable {PASSWORD_VARIABLE}"
        )
    asked: str = typer.prompt(f"Password of {key}", hide_input=True, default="", show_default=False, err=True)
    return asked
