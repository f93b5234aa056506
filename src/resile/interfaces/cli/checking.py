"""The command that checks a supplier's certificate."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import typer

from resile.errors import EXIT_DOES_NOT_COMPLY
from resile.interfaces.cli.judging import date_of_issue
from resile.interfaces.cli.showing import emit_json, show


def run_certificate(
    certificate: Path,
    *,
    delivered: str | None,
    folder: Path | None,
    date: str | None,
    how: dict[str, Any],
    as_json: bool,
    **asked: Any,
) -> None:
    """Check a certificate; one that does not stand ends with exit code 1."""
    from resile.workflows.certificates.certificate import check_certificate
    from resile.workflows.reducing.reading import choose_layout

    day = date_of_issue(date)
    arrival = date_of_issue(delivered) if delivered else ""
    report = check_certificate(certificate, delivered=arrival, layout=choose_layout(how), **asked)
    emit_json(report.to_json()) if as_json else show(report.to_terminal())
    for path in report.write(folder, date=day) if folder is not None else ():
        typer.echo(f"written: {path}", err=as_json)
    if not report.stands:
        raise typer.Exit(EXIT_DOES_NOT_COMPLY)
