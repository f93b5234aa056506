"""What a month of production brought, in the terminal and on paper."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from resile.interfaces.cli.keeping import opened
from resile.interfaces.cli.modelling import show_model


def run_month(where: str, *, month: str, pages: Sequence[Path], date: str | None, as_json: bool) -> None:
    """Print what a month brought, and write it where asked."""
    from resile.workflows.laboratory.access.permissions import one_person
    from resile.workflows.laboratory.control.month import month_report
    from resile.workflows.laboratory.record.opening import now

    with opened(where) as record:
        found = month_report(record, one_person(), month, now())
    show_model(found, pages=pages, date=date, as_json=as_json)
