"""Production on the command line: what was typed -> one workflow -> shown."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import typer

from resile.errors import InputError
from resile.interfaces.cli.charting import TypedFile, production_file
from resile.interfaces.cli.judging import date_of_issue
from resile.interfaces.cli.showing import emit_json, show

if TYPE_CHECKING:
    from resile.records.control.production import WatchedProperty
    from resile.records.control.target import PricesOfMargin
    from resile.workflows.control.answers import ControlAnswer

Money = tuple[float | None, float | None, float | None, float, float | None]


def run_capability(
    file: TypedFile,
    quantity: str,
    watched: Mapping[str, Any],
    *,
    pages: Sequence[Path],
    date: str | None,
    as_json: bool,
    **asked: Any,
) -> None:
    """Say how far the lots of a table stay within a limit."""
    from resile.workflows.control.asked import ask_capability
    from resile.workflows.control.series import watched_property

    answer = ask_capability(production_file(file), watched_property(quantity, **watched), **asked)
    _give(answer, pages, date, as_json)


def run_target(
    quantity: str,
    watched: Mapping[str, Any],
    *,
    money: Money,
    results: TypedFile | None,
    pages: Sequence[Path],
    date: str | None,
    as_json: bool,
    **asked: Any,
) -> None:
    """Give the mean to aim at."""
    from resile.workflows.control.asked import ask_target
    from resile.workflows.control.series import watched_property

    named = watched_property(quantity, **watched)
    lots = None if results is None else production_file(results)
    _give(ask_target(named, results=lots, prices=_prices(named, money), **asked), pages, date, as_json)


def run_quick(
    file: TypedFile,
    quantity: str,
    quick: Sequence[str],
    watched: Mapping[str, Any],
    *,
    pages: Sequence[Path],
    date: str | None,
    as_json: bool,
    **asked: Any,
) -> None:
    """Fit quick tests and give hints."""
    from resile.workflows.control.asked import ask_quick_tests
    from resile.workflows.control.series import watched_property

    answer = ask_quick_tests(production_file(file), watched_property(quantity, **watched), quick, **asked)
    _give(answer, pages, date, as_json)


def run_sampling(
    plan: str,
    table: Path | None,
    *,
    loads: Path | None,
    severity: str,
    consented: Sequence[str],
    product: str,
    pages: Sequence[Path],
    date: str | None,
    as_json: bool,
) -> None:
    """Say where sampling stands, or gather loads into lots."""
    from resile.workflows.control.asked_sampling import ask_lots, ask_sampling

    if loads is not None:
        if table is not None or pages:
            raise InputError("--loads gathers loads into lots: no table of lots and no page belong to it")
        lots = ask_lots(plan, loads, severity=severity)
        emit_json(lots.to_json()) if as_json else show(lots.to_terminal())
        return
    today = date_of_issue(date)
    answer = ask_sampling(plan, table, product=product, today=today, begins_at=severity, consented=consented)
    _give(answer, pages, date, as_json)


def _give(answer: ControlAnswer, pages: Sequence[Path], date: str | None, as_json: bool) -> None:
    day = date_of_issue(date)
    emit_json(answer.to_json()) if as_json else show(answer.to_terminal())
    for path in answer.write(pages, date=day):
        typer.echo(f"written: {path}", err=as_json)


def _prices(watched: WatchedProperty, money: Money) -> PricesOfMargin | None:
    from resile.workflows.control.target import prices_of_margin

    margin, step, failure, claim, additive = money
    if margin is None and failure is None:
        if step is not None or claim or additive is not None:
            raise InputError("cost of margin: --margin-cost and --failure-cost are needed with these options")
        return None
    if margin is None or failure is None:
        raise InputError("cost of margin: both --margin-cost and --failure-cost are needed")
    return prices_of_margin(
        watched,
        margin_cost=margin,
        step=step,
        failure_cost=failure,
        claim_cost=claim,
        additive_percent=additive,
    )
