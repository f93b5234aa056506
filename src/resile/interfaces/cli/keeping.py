"""Commands on the laboratory's record as a whole."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import asdict
from typing import TYPE_CHECKING

import typer

from resile.errors import EXIT_DOES_NOT_COMPLY
from resile.interfaces.cli.showing import emit_json, following

if TYPE_CHECKING:
    from resile.records.register.audit import Audit
    from resile.workflows.laboratory.record.auditing import ShownEntry
    from resile.workflows.laboratory.record.opening import LaboratoryRecord

_AT_MOST = 40
"""Faults that are printed; the JSON has them all."""


@contextmanager
def opened(where: str) -> Iterator[LaboratoryRecord]:
    """Open the record that is there, and close it; none is made by looking at it."""
    from resile.workflows.laboratory.record.opening import open_existing_record

    record = open_existing_record(where)
    try:
        yield record
    finally:
        record.close()


def run_verify(where: str, *, head: str, as_json: bool) -> None:
    """Verify the record; exit code 1 where something is wrong."""
    from resile.workflows.laboratory.access.permissions import one_person
    from resile.workflows.laboratory.record.auditing import verify_record

    with opened(where) as record, following("verifying") as progress:
        found = verify_record(record, one_person(), head=head, progress=progress)
    if as_json:
        emit_json(asdict(found) | {"stands": found.stands})
    else:
        for fault in found.faults[:_AT_MOST]:
            typer.echo(f"{fault.where} {fault.said}")
        if len(found.faults) > _AT_MOST:
            typer.echo(f"... and {len(found.faults) - _AT_MOST} more (--json shows all)")
        typer.echo(_told(found))
    if not found.stands:
        raise typer.Exit(EXIT_DOES_NOT_COMPLY)


def _told(found: Audit) -> str:
    size = f"{found.file_bytes / 1e6:.1f} MB"
    gone = f"{found.entries} entries and {found.files} files ({size})"
    if not found.stands:
        return f"the record does not stand: {len(found.faults)} faults in {gone}; restore it from a backup"
    return (
        f"the record stands: {gone}, every hash gives what was kept\n"
        f"head of the log: {found.head}\n"
        "Note the head elsewhere (on paper, on a certificate); --head proves later that nothing was cut off."
    )


def run_show(where: str, *, key: str, kind: str, by: str, day: str, last: int, as_json: bool) -> None:
    """Show entries of the log."""
    from resile.workflows.laboratory.access.permissions import one_person
    from resile.workflows.laboratory.record.auditing import LogFilter, show_key, show_log

    with opened(where) as record:
        if key:
            shown = show_key(record, one_person(), key)
        else:
            shown = show_log(record, one_person(), LogFilter(kind=kind, by=by, day=day), limit=last).entries
    if as_json:
        emit_json([asdict(one) for one in shown])
        return
    for one in shown:
        _print_entry(one, with_values=bool(key))
    if not shown:
        typer.echo("no entry fits")


def _print_entry(shown: ShownEntry, *, with_values: bool) -> None:
    entry = shown.entry
    typer.echo(
        f"{entry.seq}  {entry.at}  {entry.kind} {entry.key}, revision {entry.revision}, by {shown.by_name}"
        + (f": {entry.reason}" if entry.reason else "")
    )
    if with_values or entry.revision > 1:
        for change in shown.changes:
            was = "" if change.before is None else f"{change.before!r} -> "
            typer.echo(f"    {change.name.replace('_', ' ')}: {was}{change.after!r}")


def run_trace(where: str, statement: str, *, as_json: bool) -> None:
    """Follow a statement to the bytes; exit code 1 where a link is broken."""
    from resile.workflows.laboratory.access.permissions import one_person
    from resile.workflows.laboratory.statements.tracing import trace_statement

    with opened(where) as record:
        found = trace_statement(record, one_person(), statement)
    if as_json:
        links = [asdict(link) for link in found.links]
        emit_json({"statement": found.statement.value.number, "broken": found.broken, "links": links})
    else:
        for link in found.links:
            typer.echo(f"{'    ' * link.depth}{link.name}: {link.told}")
            typer.echo(f"{'    ' * link.depth}  {link.sha256} {link.broken or 'holds'}")
        held = f"{len(found.links) - found.broken} of {len(found.links)} links hold"
        typer.echo(f"{held}, from the statement to the bytes")
    if found.broken:
        raise typer.Exit(EXIT_DOES_NOT_COMPLY)


def run_rebuild(where: str) -> None:
    """Make the current tables anew."""
    from resile.workflows.laboratory.access.permissions import one_person
    from resile.workflows.laboratory.record.auditing import rebuild_tables
    from resile.workflows.laboratory.record.opening import now

    with opened(where) as record:
        played = rebuild_tables(record, one_person(), now())
    typer.echo(f"the current tables were made anew from {played} entries of the log")
