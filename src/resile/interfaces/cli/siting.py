"""The command that says which grade a site needs."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

import typer

from resile.interfaces.cli.judging import date_of_issue
from resile.interfaces.cli.showing import emit_json, show


def run_demand(
    *,
    how: dict[str, Any],
    pages: Sequence[Path],
    date: str | None,
    as_json: bool,
    request: dict[str, Any],
    settings: dict[str, Any],
    layers: Sequence[str],
) -> None:
    """Show the demand of one site."""
    from resile.workflows.demand_request import DemandRequest, DemandSettings, demand_for, layers_of
    from resile.workflows.reading import choose_layout

    day = date_of_issue(date)
    chosen = DemandSettings(layers=layers_of(layers), layout=choose_layout(how), **settings)
    report = demand_for(DemandRequest(**request), chosen)
    emit_json(report.to_json()) if as_json else show(report.to_terminal())
    for path in report.write(pages, date=day) if pages else ():
        typer.echo(f"written: {path}", err=as_json)
