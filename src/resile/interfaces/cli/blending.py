"""Blends on the command line."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

import typer

from resile.errors import EXIT_DOES_NOT_COMPLY, InputError
from resile.interfaces.cli.judging import date_of_issue
from resile.interfaces.cli.showing import emit_json, show


def run_design(
    book: Path,
    *,
    objective: str | None,
    probability: float | None,
    seed: int,
    pages: Sequence[Path],
    batches: Sequence[Path],
    date: str | None,
    full: bool,
    as_json: bool,
) -> None:
    """Work out a recipe; exit code 1 where none keeps what was asked for."""
    from resile.workflows.blending.shown import write_page
    from resile.workflows.blending.task import design_book

    day = date_of_issue(date)
    answer = design_book(book, objective=objective, probability=probability, seed=seed)
    emit_json(answer.to_json()) if as_json else show(answer.to_terminal(full=full))
    written = answer.write(pages, date=day)
    if batches:
        written += write_page(answer.batch_sheet(date=day), batches, answer.design.book)
    for path in written:
        typer.echo(f"written: {path}", err=as_json)
    if answer.design.chosen is None:
        raise typer.Exit(EXIT_DOES_NOT_COMPLY)


def run_predict_blend(
    book: Path, shares: Sequence[str], *, batches: Sequence[Path], date: str | None, as_json: bool
) -> None:
    """Say what a recipe keeps; exit code 1 where an expected value misses a limit."""
    from resile.workflows.blending.designing.recipes import keeps_every_limit
    from resile.workflows.blending.shown import sheet_of_recipe, write_page
    from resile.workflows.blending.task import predict_recipe

    day = date_of_issue(date)
    answer = predict_recipe(book, named_numbers(shares, "share", "NAME=PERCENT, such as 'Soft base=70'"))
    emit_json(answer.to_json()) if as_json else show(answer.to_terminal())
    if batches:
        sheet = sheet_of_recipe(answer.book, answer.recipe, grade=answer.grade, date=day)
        for path in write_page(sheet, batches, answer.book):
            typer.echo(f"written: {path}", err=as_json)
    if not keeps_every_limit(answer.recipe):
        raise typer.Exit(EXIT_DOES_NOT_COMPLY)


def run_trials(book: Path, *, count: int, seed: int, as_json: bool) -> None:
    """Say which blends to make next."""
    from resile.workflows.blending.task import propose_trials

    answer = propose_trials(book, count=count, seed=seed)
    emit_json(answer.to_json()) if as_json else show(answer.to_terminal())


def run_portfolio(
    book: Path,
    demands: Sequence[str],
    *,
    pages: Sequence[Path],
    date: str | None,
    as_json: bool,
    **asked: Any,
) -> None:
    """Plan tanks; exit code 1 where a grade is served by none."""
    from resile.workflows.blending.shown import write_page
    from resile.workflows.blending.task import plan_tanks_of_book

    day = date_of_issue(date)
    tonnes = named_numbers(demands, "demand", "GRADE=TONNES, such as 'PG 64H-22=1200'")
    answer = plan_tanks_of_book(book, tonnes, **asked)
    emit_json(answer.to_json()) if as_json else show(answer.to_terminal())
    if pages:
        for path in write_page(answer.page(date=day), pages, answer.book):
            typer.echo(f"written: {path}", err=as_json)
    if answer.portfolio.unserved:
        raise typer.Exit(EXIT_DOES_NOT_COMPLY)


def run_rescue(
    book: Path,
    shares: Sequence[str],
    *,
    tank: float,
    capacity: float,
    results: Path | None,
    seed: int,
    as_json: bool,
) -> None:
    """Say what to add to a tank."""
    from resile.workflows.blending.task import rescue_tank_of_book

    percent = named_numbers(shares, "share", "NAME=PERCENT, such as 'Soft base=70'")
    answer = rescue_tank_of_book(
        book, percent, tank_kg=tank, capacity_kg=capacity, results=results, seed=seed
    )
    emit_json(answer.to_json()) if as_json else show(answer.to_terminal())


def named_numbers(texts: Sequence[str], what: str, needed: str) -> dict[str, float]:
    """Take names and numbers apart; each name once."""
    found: dict[str, float] = {}
    for text in texts:
        name, mark, number = text.rpartition("=")
        try:
            value = float(number.strip().removesuffix("%"))
        except ValueError:
            value = -1.0
        if not mark or not name.strip() or not 0.0 <= value < float("inf"):
            raise InputError(f"{what} '{text}': needed is {needed}")
        if name.strip() in found:
            raise InputError(f"{what} '{text}': {name.strip()} stands twice")
        found[name.strip()] = value
    return found
