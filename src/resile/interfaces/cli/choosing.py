"""Choosing binders for roads on the command line."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import typer

from resile.errors import EXIT_DOES_NOT_COMPLY, InputError
from resile.interfaces.cli.judging import date_of_issue
from resile.interfaces.cli.showing import emit_json, show


def run_match(
    sites: Path,
    binders: Path,
    *,
    specification: str,
    decision_rule: str,
    uncertainty_basis: str,
    precision: str,
    tested: str,
    probability: float,
    model: str,
    with_uncertainty: bool,
    without: Sequence[str],
    prices: Sequence[str],
    folder: Path | None,
    date: str | None,
    full: bool,
    as_json: bool,
) -> None:
    """Choose a binder for every site; a site that nobody serves gives exit code 1."""
    from resile.workflows.choosing.task import match_sites
    from resile.workflows.judging.agreement import agree

    matched = match_sites(
        sites,
        binders,
        agree(
            specification,
            decision_rule=decision_rule,
            uncertainty_basis=uncertainty_basis,
            precision=precision,
            tested=tested,
        ),
        required_probability=probability,
        model=model,
        specification=specification,
        without=without,
        prices=dict(price_of(text) for text in prices),
        measured_with_uncertainty=with_uncertainty,
    )
    emit_json(matched.to_json()) if as_json else show(matched.to_terminal(full=full))
    if folder is not None:
        for path in matched.write(folder, date=date_of_issue(date)):
            typer.echo(f"written: {path}", err=as_json)
    if matched.choice.unserved:
        raise typer.Exit(EXIT_DOES_NOT_COMPLY)


def price_of(text: str) -> tuple[str, float]:
    """Take a binder and its price apart."""
    name, mark, number = text.rpartition("=")
    try:
        price = float(number)
    except ValueError:
        price = -1.0
    if not mark or not name.strip() or not 0.0 <= price < float("inf"):
        raise InputError(f"price '{text}': needed is BINDER=PRICE, such as 'Quarnsk Plain=480'")
    return name.strip(), price
