"""What is due in the laboratory, on the command line."""

from __future__ import annotations

from dataclasses import asdict

import typer

from resile.interfaces.cli.keeping import opened
from resile.interfaces.cli.showing import emit_json


def run_due(where: str, *, day: str, as_json: bool) -> None:
    """Print what is due."""
    from resile.workflows.laboratory.access.permissions import one_person
    from resile.workflows.laboratory.record.due import what_is_due

    with opened(where) as record:
        found = what_is_due(record, one_person(), day)
    if as_json:
        emit_json(asdict(found))
        return
    for one in found.verifications:
        until = f" (until {one.due})" if one.due else ""
        typer.echo(f"verify   {one.name}: {one.what or 'never verified'}: {one.state}{until}")
    for can in found.oven:
        typer.echo(
            f"oven     {can.number}, can {can.name}: in since {can.started[:16].replace('T', ' ')} UTC"
        )
    for sample in found.retentions:
        typer.echo(f"kept     {sample.number} {sample.grade}: kept until {sample.due}")
    if not (found.verifications or found.oven or found.retentions):
        typer.echo(f"nothing is due on {found.day}")
