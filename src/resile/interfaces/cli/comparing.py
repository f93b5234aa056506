"""The commands on laboratories: parse, one task, show."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

import typer

from resile.errors import EXIT_DOES_NOT_COMPLY, InputError
from resile.interfaces.cli.judging import date_of_issue
from resile.interfaces.cli.showing import emit_json, show
from resile.records.determination import Condition


def run_laboratories(
    task: str,
    *given: Any,
    how: dict[str, Any] | None = None,
    pages: Sequence[Path] | None,
    date: str | None,
    as_json: bool,
    full: bool = False,
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
    written = sheet.write(pages, date=date_of_issue(date)) if pages else []
    emit_json(sheet.to_json()) if as_json else show(sheet.to_terminal(full=full))
    for path in written:
        typer.echo(f"written: {path}", err=as_json)
    if not sheet.complies:
        raise typer.Exit(EXIT_DOES_NOT_COMPLY)


def dispute_by_options(
    sample: str, quantity: str | None, at_most: float | None, at_least: float | None, **given: Any
) -> Any:
    """Make a dispute of the options of the command."""
    from resile.records.laboratories import Dispute, DisputeParty, DisputeRule
    from resile.records.quantity import QUANTITIES, RESULT_QUANTITIES

    if quantity is None or (at_most is None) is (at_least is None):
        raise InputError("a dispute needs a case (TOML), or --property with one of --at-most and --at-least")
    if quantity not in RESULT_QUANTITIES:
        raise InputError(f"property '{quantity}' is not known; known are {', '.join(RESULT_QUANTITIES)}")
    parties = [
        DisputeParty(name=name, role=role, values=numbers_in(given[role], f"--{role}"))
        for name, role in (("supplier", "supplier"), ("receiver", "receiver"), ("referee", "referee"))
        if role != "referee" or given[role]
    ]
    return Dispute(
        sample=sample or "the material",
        quantity=quantity,
        unit=QUANTITIES[quantity].unit,
        condition=condition_of(given["residue"], Condition.ORIGINAL),
        temperature_c=given["temperature_c"],
        limit=at_most if at_most is not None else at_least or 0.0,
        limit_is="at_most" if at_most is not None else "at_least",
        rule=DisputeRule(name=given["rule"], text="", source=""),
        first=parties[0],
        second=parties[1],
        third=parties[2] if len(parties) > 2 else None,
        repeatability_limit=given["repeatability_limit"],
        reproducibility_limit=given["reproducibility_limit"],
    )


def numbers_in(text: str | None, option: str) -> tuple[float, ...]:
    """Read numbers that stand apart by blanks or semicolons, or by commas where a point is the decimal
    mark.
    """
    try:
        return tuple(float(part) for part in (text or "").replace(";", " ").replace(",", " ").split())
    except ValueError as error:
        raise InputError(f"{option} '{text}': numbers are needed, as '0.42 0.44'") from error


def condition_of(text: str | None, otherwise: Condition) -> Condition:
    """Read a residue in any of its words."""
    from resile.readers.conditions import read_condition

    if not text:
        return otherwise
    found, remark = read_condition(text)
    if found is Condition.UNKNOWN:
        raise InputError(remark)
    return found


def material_of(name: str, quantity: str, reference: float | None, **given: Any) -> Any:
    """Make a check material of the options of the command; None without a reference."""
    from resile.records.register.laboratories import CheckMaterial

    if reference is None:
        return None
    return CheckMaterial(
        name=name,
        kind="check-fluid" if given.get("reference_expanded") is not None else "check-binder",
        quantity=quantity,
        reference=reference,
        **given,
    )
