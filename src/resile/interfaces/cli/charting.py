"""The commands on control charts."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import typer

from resile.errors import InputError
from resile.interfaces.cli.judging import date_of_issue
from resile.interfaces.cli.showing import emit_json, show

if TYPE_CHECKING:
    from resile.workflows.control.from_table import SetUpChoice, WatchedTable
    from resile.workflows.control.series import ProductionFile

TypedFile = tuple[Path, dict[str, Any], str]
"""A table, how it is to be understood, and the order of day and month."""
TypedSetUp = tuple[str, str, Sequence[str]]
"""First and last day of the set-up, and lots left out with their reasons."""


def run_chart(
    file: TypedFile,
    quantity: str,
    watched: Mapping[str, Any],
    *,
    set_up: TypedSetUp,
    settings: Sequence[str],
    pages: Sequence[Path],
    date: str | None,
    as_json: bool,
    **asked: Any,
) -> None:
    """Put one property on a chart, show it, write the pages that were named."""
    from resile.workflows.control.from_table import watch_table
    from resile.workflows.control.series import watched_property

    made = watch_table(
        production_file(file),
        watched_property(quantity, **watched),
        set_up=_set_up(set_up),
        parameters=_numbers(settings),
        **asked,
    )
    _show(made, pages, date, as_json)


def run_together(
    file: TypedFile,
    quantities: Sequence[str],
    *,
    set_up: TypedSetUp,
    pages: Sequence[Path],
    date: str | None,
    as_json: bool,
    **asked: Any,
) -> None:
    """Put several properties on one chart, show it, write the pages that were named."""
    from resile.workflows.control.from_table import watch_table_together

    made = watch_table_together(production_file(file), quantities, set_up=_set_up(set_up), **asked)
    _show(made, pages, date, as_json)


def production_file(typed: TypedFile) -> ProductionFile:
    """Give a table with how it is to be understood."""
    from resile.workflows.control.series import ProductionFile
    from resile.workflows.reducing.reading import choose_layout

    path, how, date_order = typed
    if date_order not in ("", "day-first", "month-first"):
        raise InputError(f"--date-order {date_order}: day-first or month-first is needed")
    return ProductionFile(path=path, layout=choose_layout(how), date_order=date_order)


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


def _set_up(typed: TypedSetUp) -> SetUpChoice:
    from resile.workflows.control.from_table import SetUpChoice

    since, until, leave_out = typed
    excluded = dict(_pair(text, "LOT=REASON") for text in leave_out)
    return SetUpChoice(since=since, until=until, excluded=excluded)


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
