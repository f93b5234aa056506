"""The commands on control charts."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import typer

from resile.errors import InputError
from resile.interfaces.cli.judging import date_of_issue
from resile.interfaces.cli.showing import emit_json, show

if TYPE_CHECKING:
    from resile.workflows.control.from_table import ChosenSeries, SetUpChoice, WatchedTable

SeriesOptions = tuple[str, str, float | None]


def run_chart(
    table: Path,
    quantity: str,
    *,
    how: dict[str, Any],
    settings: Sequence[str],
    leave_out: Sequence[str],
    since: str,
    until: str,
    series: SeriesOptions,
    pages: Sequence[Path],
    date: str | None,
    as_json: bool,
    **asked: Any,
) -> None:
    """Put one property on a chart, show it, write the pages that were named."""
    from resile.workflows.control.from_table import watch_table
    from resile.workflows.reducing.reading import choose_layout

    made = watch_table(
        table,
        quantity,
        set_up=_set_up(since, until, leave_out),
        chosen=_chosen(series),
        parameters=_numbers(settings),
        layout=choose_layout(how),
        **asked,
    )
    _show(made, pages, date, as_json)


def run_together(
    table: Path,
    quantities: Sequence[str],
    *,
    how: dict[str, Any],
    leave_out: Sequence[str],
    since: str,
    until: str,
    series: SeriesOptions,
    pages: Sequence[Path],
    date: str | None,
    as_json: bool,
    **asked: Any,
) -> None:
    """Put several properties on one chart, show it, write the pages that were named."""
    from resile.workflows.control.from_table import watch_table_together
    from resile.workflows.reducing.reading import choose_layout

    made = watch_table_together(
        table,
        quantities,
        set_up=_set_up(since, until, leave_out),
        chosen=_chosen(series),
        layout=choose_layout(how),
        **asked,
    )
    _show(made, pages, date, as_json)


def run_rules(*, as_json: bool) -> None:
    """List the run rules with what they promise."""
    from resile.workflows.control.telling import run_rules_told

    _tell(run_rules_told(), as_json)


def run_run_length(*, settings: Sequence[str], shifts: Sequence[float], as_json: bool, **asked: Any) -> None:
    """Say what a chart promises."""
    from resile.workflows.control.promises import SHIFTS, run_length_promise
    from resile.workflows.control.telling import PromiseTold

    promise = run_length_promise(parameters=_numbers(settings), shifts=shifts or SHIFTS, **asked)
    _tell(PromiseTold(promise), as_json)


def _show(made: WatchedTable, pages: Sequence[Path], date: str | None, as_json: bool) -> None:
    day = date_of_issue(date)
    written = made.write(pages, date=day) if pages else []
    _tell(made, as_json)
    for path in written:
        typer.echo(f"written: {path}", err=as_json)


def _tell(made: Any, as_json: bool) -> None:
    emit_json(made.to_json()) if as_json else show(made.to_terminal())


def _set_up(since: str, until: str, leave_out: Sequence[str]) -> SetUpChoice:
    from resile.workflows.control.from_table import SetUpChoice

    excluded = dict(_pair(text, "LOT=REASON") for text in leave_out)
    return SetUpChoice(since=since, until=until, excluded=excluded)


def _chosen(series: SeriesOptions) -> ChosenSeries:
    from resile.records.determination import Condition
    from resile.workflows.control.from_table import ChosenSeries

    product, condition, temperature_c = series
    if condition and condition not in list(Condition):
        raise InputError(f"--condition {condition}: needed is one of {', '.join(Condition)}")
    return ChosenSeries(
        product=product, condition=Condition(condition) if condition else None, temperature_c=temperature_c
    )


def _numbers(settings: Sequence[str]) -> dict[str, float]:
    found = {}
    for text in settings:
        name, number = _pair(text, "NAME=NUMBER")
        try:
            found[name.replace("-", "_")] = float(number)
        except ValueError as error:
            raise InputError(f"--set {text}: {number!r} is no number; needed is NAME=NUMBER") from error
    return found


def _pair(text: str, form: str) -> tuple[str, str]:
    name, sign, value = text.partition("=")
    if not sign or not name.strip() or not value.strip():
        raise InputError(f"{text!r}: needed is {form}")
    return name.strip(), value.strip()
