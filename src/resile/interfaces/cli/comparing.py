"""The commands on laboratories: parse, one task, show."""

from __future__ import annotations

from typing import Any

import typer

from resile.errors import EXIT_DOES_NOT_COMPLY
from resile.interfaces.cli.judging import date_of_issue
from resile.interfaces.cli.showing import emit_json, show


def run_laboratories(
    task: str,
    *given: Any,
    shown: dict[str, Any],
    how: dict[str, Any] | None = None,
    **asked: Any,
) -> None:
    """Do one task on laboratories, show it, and write the pages that were named.

    The exit code is 1 where the rule refuses, the newest check lies outside or the newest round asks for
    action.
    """
    from resile.workflows.laboratories import tasks
    from resile.workflows.reducing.reading import choose_layout

    if how is not None:
        asked["layout"] = choose_layout(how)
    sheet = getattr(tasks, f"{task}_sheet")(*given, **asked)
    pages, as_json = shown.get("pages"), shown.get("as_json", False)
    written = sheet.write(pages, date=date_of_issue(shown.get("date"))) if pages else []
    emit_json(sheet.to_json()) if as_json else show(sheet.to_terminal(full=shown.get("full", False)))
    for path in written:
        typer.echo(f"written: {path}", err=as_json)
    if not sheet.complies:
        raise typer.Exit(EXIT_DOES_NOT_COMPLY)
