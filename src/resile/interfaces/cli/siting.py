"""The command that says which grade a site needs, or every site of a table."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

import typer

from resile.errors import InputError
from resile.interfaces.cli.judging import date_of_issue
from resile.interfaces.cli.showing import emit_json, show


def run_demand(
    sites: Path | None,
    *,
    how: dict[str, Any],
    folder: Path | None,
    pages: Sequence[Path],
    date: str | None,
    as_json: bool,
    request: dict[str, Any],
    settings: dict[str, Any],
    layers: Sequence[str],
) -> None:
    """Show the demand of one site, or of every site of a table."""
    from resile.workflows.reducing.reading import choose_layout
    from resile.workflows.sites.demand_request import DemandSettings, demand_for, layers_of
    from resile.workflows.sites.site_demands import refuse_both, request_of, site_demands

    day = date_of_issue(date)
    asked = request_of(request)
    chosen = DemandSettings(layers=layers_of(layers), layout=choose_layout(how), **settings)
    if sites is None:
        if folder is not None:
            raise InputError("--folder belongs to a table of sites; for one site name the files with --page")
        report = demand_for(asked, chosen)
        emit_json(report.to_json()) if as_json else show(report.to_terminal())
        written = report.write(pages, date=day) if pages else []
    else:
        refuse_both(asked, pages)
        many = site_demands(sites, settings=chosen)
        emit_json(many.to_json()) if as_json else show(many.to_terminal())
        written = many.write(folder, date=day) if folder is not None else []
    for path in written:
        typer.echo(f"written: {path}", err=as_json)
    if sites is not None and many.errors:
        raise typer.Exit(2)
