"""Commands that read and reduce records."""

from __future__ import annotations

import sys
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

import typer

from resile.errors import InputError, ResileError
from resile.interfaces.cli.judging import date_of_issue
from resile.interfaces.cli.showing import emit_json, follow, show
from resile.records.bending_beam import BeamRun
from resile.workflows.files import record_files
from resile.workflows.reducing.reading import RecordReading, choose_layout, explain_record, save_layout
from resile.workflows.reducing.reduction import Reduction, reduce_records, refusal_json
from resile.workflows.reducing.run_groups import replicates_json, replicates_sheet


def run_read(files: Sequence[Path], *, how: dict[str, Any], as_json: bool, save_to: Path | None) -> None:
    """Explain how files are understood; good ones are told even where others are refused."""
    layout = choose_layout(how)
    readings: list[RecordReading] = []
    refused: list[tuple[Path, ResileError]] = []
    for path in record_files(files):
        try:
            readings.append(explain_record(path, layout=layout))
        except ResileError as error:
            refused.append((path, error))
    if not readings and refused:
        _say_refusals(refused[:-1])
        raise refused[-1][1]
    if save_to is not None:
        save_layout(layout, save_to)
    if as_json:
        signals = [entry for reading in readings for entry in reading.to_json()]
        errors = [refusal_json(str(path), refusal) for path, refusal in refused]
        emit_json({"signals": signals, **({"errors": errors} if errors else {})})
    else:
        for reading in readings:
            for line in reading.lines():
                typer.echo(line)
    _say_refusals(refused)


def _say_refusals(refused: Sequence[tuple[Path, ResileError]]) -> None:
    for _, refusal in refused:
        typer.echo(f"resile: {refusal}", err=True)


def run_reduce(
    files: Sequence[Path],
    *,
    how: dict[str, Any],
    as_json: bool,
    cycles: bool,
    pages: Sequence[Path],
    jobs: int,
) -> None:
    """Reduce files one after another; good ones are shown even where others are refused."""
    paths = record_files(files)
    reductions = follow(
        reduce_records(paths, layout=choose_layout(how), keep_signal=bool(pages), jobs=jobs), total=len(paths)
    )
    refused: list[Reduction] = []
    good = _sort_out(reductions, refused)
    first = next(good, None)
    if first is None:
        for reduction in refused[:-1]:
            typer.echo(f"resile: {reduction.error}", err=True)
        raise refused[-1].error or InputError("nothing to reduce")
    kept = (
        _show_json(first, good, refused)
        if as_json
        else _show_text(first, good, cycles=cycles, keep=bool(pages))
    )
    for reduction in refused:
        typer.echo(f"resile: {reduction.error}", err=True)
    if pages:
        from resile.workflows.orders.pages import write_run_pages

        for path in write_run_pages(kept, pages, date=date_of_issue(None)):
            typer.echo(f"written: {path}", err=as_json)


def _sort_out(reductions: Iterator[Reduction], refused: list[Reduction]) -> Iterator[Reduction]:
    for reduction in reductions:
        if reduction.error is None:
            yield reduction
        else:
            refused.append(reduction)


def _show_text(first: Reduction, others: Iterator[Reduction], *, cycles: bool, keep: bool) -> list[Reduction]:
    kept = []
    beams: list[BeamRun] = []
    for reduction in (first, *others) if keep else _chain(first, others):
        show(reduction.to_terminal(cycles=cycles))
        beams += [run for run in reduction.runs if isinstance(run, BeamRun)]
        if keep:
            kept.append(reduction)
    together = replicates_sheet(beams) if len(beams) > 1 else None
    if together is not None:
        show(together)
    return kept


def _show_json(first: Reduction, others: Iterator[Reduction], refused: list[Reduction]) -> list[Reduction]:
    """Print the fixed interface run by run, so that memory does not grow with the number of files."""
    import orjson

    kept = []
    beams: list[BeamRun] = []
    out = sys.stdout.buffer
    out.write(b'{"runs":[')
    separator = b""
    for reduction in _chain(first, others):
        for run in reduction.to_json():
            out.write(separator + orjson.dumps(run))
            separator = b","
        beams += [run for run in reduction.runs if isinstance(run, BeamRun)]
        if reduction.runs[0].signal is not None:
            kept.append(reduction)
    errors = [refusal_json(r.path, r.error) for r in refused if r.error is not None]
    out.write(b'],"replicate_beams":' + orjson.dumps(replicates_json(beams)))
    out.write(b',"errors":' + orjson.dumps(errors) + b"}\n")
    out.flush()
    return kept


def _chain(first: Reduction, others: Iterator[Reduction]) -> Iterator[Reduction]:
    yield first
    yield from others
