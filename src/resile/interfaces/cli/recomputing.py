"""The command that recomputes stored results."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import asdict
from typing import TYPE_CHECKING, Any

import typer

from resile.errors import EXIT_DOES_NOT_COMPLY, InputError
from resile.interfaces.cli.keeping import opened
from resile.interfaces.cli.showing import emit_json, following

if TYPE_CHECKING:
    from resile.workflows.laboratory.record.recomputing import Recomputation, Recomputed
    from resile.workflows.laboratory.record.result_differences import ValueDifference

_INTERRUPTED = 130
_AT_MOST = 12
"""Values of one result that are printed; the JSON has them all."""


def run_recompute(where: str, named: Sequence[str], *, everything: bool, keep: bool, as_json: bool) -> None:
    """Recompute results and print each that differs as soon as it is known."""
    from resile.workflows.laboratory.access.permissions import one_person
    from resile.workflows.laboratory.record.opening import now
    from resile.workflows.laboratory.record.recomputing import (
        recomputation,
        recomputed,
        results_to_recompute,
    )

    if everything == bool(named):
        raise InputError("name results, runs or samples to recompute, or give --all for every stored result")
    found: list[Recomputed] = []
    done, stopped = 0, False
    with opened(where) as record, following("recomputing") as progress:
        keys = results_to_recompute(record, one_person(), named)
        try:
            for one in recomputed(record, one_person(), now(), keys, keep=keep):
                done += 1
                if progress:
                    progress(done, len(keys))
                if one.differs or named:
                    found.append(one)
                    if not as_json:
                        _print(one)
        except KeyboardInterrupt:
            stopped = True
    whole = recomputation(done, found)
    if as_json:
        emit_json(_json(whole) | {"stopped": stopped})
    else:
        _print_end(whole, of=len(keys))
    if stopped:
        raise typer.Exit(_INTERRUPTED)
    if whole.differs:
        raise typer.Exit(EXIT_DOES_NOT_COMPLY)


def _print(one: Recomputed) -> None:
    sample = f" of sample {one.sample_number}" if one.sample_number else ""
    head = f"{one.result}, revision {one.revision}: run {one.run}{sample} ({one.file_name})"
    by = f"resile {one.software}" if one.software else "a version not known"
    if not one.differs and not one.refusal:
        typer.echo(f"{head}: the same as kept by {by}")
        return
    typer.echo(f"{head}, kept by {by}")
    for line in _lines(one):
        typer.echo(f"    {line}")


def _lines(one: Recomputed) -> Iterator[str]:
    if one.refusal:
        yield one.refusal
    yield from map(_told, one.difference.values[:_AT_MOST])
    if len(one.difference.values) > _AT_MOST:
        yield f"... and {len(one.difference.values) - _AT_MOST} more values (--json shows all)"
    for codes, word in ((one.difference.findings_new, "new"), (one.difference.findings_gone, "gone")):
        yield from (f"{word} finding: {code}" for code in codes)
    if one.read_otherwise:
        yield "the run is read otherwise than when this was kept (layout, sheet, temperature or plates)"
    if one.verdicts:
        resting = ", ".join((*one.verdicts, *one.statements))
        yield f"rests on it: {resting}; grade the sample again and look at what it says"
    yield from one.precision
    if one.kept:
        yield f"kept as revision {one.kept}; revision {one.revision} stays as it was"


def _told(value: ValueDifference) -> str:
    """Say one value at full precision."""
    unit = f" {value.unit}" if value.unit else ""
    if value.said != "changed":
        number = value.after if value.stands else value.before
        return f"{value.name}: {value.said} ({number!r}{unit})"
    by = "" if value.by is None else f", by {value.by:+.3g}{unit}"
    share = "" if value.by_percent is None else f" ({value.by_percent:+.3g} %)"
    return f"{value.name}: {value.before!r} -> {value.after!r}{unit}{by}{share}"


def _print_end(whole: Recomputation, *, of: int) -> None:
    differ = sum(one.differs for one in whole.found)
    if whole.results < of:
        typer.echo(f"stopped after {whole.results} of {of} results; what was kept until then stays")
    if whole.changes:
        typer.echo("What the changelog says of numbers that changed since:")
        for change in whole.changes:
            typer.echo(f"    [{change.version or 'not released yet'}] {change.text}")
    by = f"recomputed with resile {whole.software}"
    if differ:
        typer.echo(f"{differ} of {whole.results} results differ, {by}")
    else:
        typer.echo(f"no result differs ({whole.results} {by})")


def _json(whole: Recomputation) -> dict[str, Any]:
    told = asdict(whole) | {"differs": whole.differs}
    for content, one in zip(told["found"], whole.found, strict=True):
        content["differs"] = one.differs
        for value, said in zip(content["difference"]["values"], one.difference.values, strict=True):
            value |= {"by": said.by, "by_percent": said.by_percent, "said": said.said}
    return told
