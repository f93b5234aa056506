"""Commands that judge: tables, test orders, ageing records; and the rules they judge by."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import typer

from resile.errors import EXIT_DOES_NOT_COMPLY, InputError
from resile.interfaces.cli.showing import emit_json, show

if TYPE_CHECKING:
    from resile.workflows.orders.pages import Seal
    from resile.workflows.orders.several_orders import IssuedOrder

SAMPLES_SHOWN_IN_FULL = 3
"""More samples than this are shown as an overview, unless the sheets are asked for."""


def run_grade(
    table: Path,
    *,
    ageing: Sequence[Path],
    specification: str,
    decision_rule: str,
    uncertainty_basis: str,
    retest_rule: str,
    budget: str,
    correlation: str,
    precision: str,
    tested: str,
    each: bool,
    claim: str | None,
    both_rules: bool,
    allow_extrapolation: bool,
    price_rules: Sequence[str],
    price_limit: float | None,
    full: bool | None,
    how: dict[str, Any],
    as_json: bool,
) -> None:
    """Judge a table of results; a claim that does not hold ends with exit code 1."""
    from resile.workflows.judging.grading import agree, grade_table
    from resile.workflows.reducing.reading import choose_layout

    agreed = agree(
        specification,
        decision_rule=decision_rule,
        uncertainty_basis=uncertainty_basis,
        retest_rule=retest_rule,
        budget=budget,
        correlation=correlation,
        precision=precision,
        tested=tested,
        price_rules=price_rules,
        price_limit=price_limit,
    )
    grading = grade_table(
        table,
        agreed,
        ageing=ageing,
        each=each,
        layout=choose_layout(how),
        claim=claim,
        both_rules=both_rules,
        allow_extrapolation=allow_extrapolation,
    )
    few = len(grading.statements) <= SAMPLES_SHOWN_IN_FULL
    emit_json(grading.to_json()) if as_json else show(grading.to_terminal(full=few if full is None else full))
    if claim is not None and not grading.satisfies(claim):
        typer.echo(f"does not comply: not every sample satisfies {claim}", err=True)
        raise typer.Exit(EXIT_DOES_NOT_COMPLY)


def run_compare(tables: list[Path], *, specifications: list[str], how: dict[str, Any], as_json: bool) -> None:
    """Compare reported conclusions with the reported results; one that does not follow gives exit code 1."""
    from resile.workflows.judging.reported import SPECIFICATIONS, compare_tables
    from resile.workflows.reducing.reading import choose_layout

    sheet = compare_tables(tables, specifications=specifications or SPECIFICATIONS, layout=choose_layout(how))
    emit_json(sheet.to_json()) if as_json else show(sheet.to_terminal())
    if not sheet.all_follow:
        raise typer.Exit(EXIT_DOES_NOT_COMPLY)


def run_report(
    orders: Sequence[Path],
    *,
    folder: Path | None,
    date: str | None,
    laboratory: Path | None,
    key: Path | None,
    price_rules: Sequence[str],
    price_limit: float | None,
    full: bool,
    as_json: bool,
) -> None:
    """Work through test orders and write their pages; a class asked for and not reached gives exit code 1."""
    from resile.workflows.files import order_files
    from resile.workflows.orders.several_orders import issue_orders, orders_json

    issued = issue_orders(
        order_files(orders),
        date=date_of_issue(date),
        laboratory=laboratory,
        price_rules=price_rules,
        price_limit=price_limit,
        folder=folder,
        seal=seal_of(key) if key is not None else None,
    )
    if as_json:
        emit_json(orders_json([one.report for one in issued]))
    for one in issued:
        if not as_json:
            show(one.report.to_terminal(full=full))
        tell_files(one, err=as_json)
    if not all(one.report.complies for one in issued):
        raise typer.Exit(EXIT_DOES_NOT_COMPLY)


def tell_files(issued: IssuedOrder, *, err: bool = False) -> None:
    """Name the files of an order, and an unsigned page that a signed one has replaced."""
    for path in issued.files:
        typer.echo(f"written: {path}", err=err)
    for path in issued.removed:
        typer.echo(f"removed: {path} (unsigned; the signed one takes its place)", err=err)


def seal_of(key: Path) -> Seal:
    """Open the key file with its password; what is missing is said before the password is asked for."""
    from resile.interfaces.cli.signing import password_for
    from resile.workflows.orders.signing import read_locked_key, seal_with

    read_locked_key(key)
    return seal_with(key, password_for(key))


def run_changes(before: Path, after: Path, *, as_json: bool) -> None:
    """Name what two reports state differently."""
    from resile.workflows.orders.revising import compare_reports

    comparison = compare_reports(before, after)
    emit_json(comparison.to_json()) if as_json else show(comparison.to_terminal())


def date_of_issue(given: str | None) -> str:
    """Give the date of issue, today where none is given."""
    if given is None:
        return datetime.date.today().isoformat()
    try:
        return datetime.date.fromisoformat(given).isoformat()
    except ValueError:
        raise InputError(f"date '{given}': a date as 2026-05-12 is needed") from None


def run_ageing(record: Path, *, as_json: bool) -> None:
    """Reduce an ageing record of either kind; a results form may hold both."""
    from resile.workflows.reducing.ageing import reduce_ageing_records

    found = [*reduce_ageing_records(record)]
    if as_json:
        emit_json(found[0].to_json() if len(found) == 1 else [one.to_json() for one in found])
        return
    for one in found:
        show(one.to_terminal())


def run_rules(name: str | None, *, template: Path | None, schema: str | None, as_json: bool) -> None:
    """List, show or check specifications, write the template of one, or print a schema."""
    from resile.workflows.rules import list_rules, show_rules, write_template

    if schema is not None:
        from resile.workflows.schemas import schema_of

        emit_json(schema_of(schema))
        return
    if template is not None:
        typer.echo(f"written: {write_template(template)}")
        return
    sheet = list_rules() if name is None else show_rules(name)
    emit_json(sheet.to_json()) if as_json else show(sheet.to_terminal())
