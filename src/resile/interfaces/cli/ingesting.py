"""Commands that bring samples and record files into the laboratory's record."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import asdict, replace
from pathlib import Path
from typing import Any

import typer

from resile.errors import InputError, RecordNotFoundError, ResileError, answer_for
from resile.interfaces.cli.showing import emit_json
from resile.records.determination import Condition
from resile.records.reading import HeldFile
from resile.records.register import TYPED_RESULTS
from resile.workflows.files import record_files
from resile.workflows.laboratory.access.permissions import one_person
from resile.workflows.laboratory.files.ingesting import KeptRecord, RecordTold, keep_record
from resile.workflows.laboratory.record.opening import LaboratoryRecord, now, open_record


def run_receive(
    where: str, told: Mapping[str, str], *, cans: Sequence[str], split: bool, as_json: bool
) -> None:
    """Receive a sample."""
    from resile.workflows.laboratory.samples.custody import split_sample
    from resile.workflows.laboratory.samples.receiving import Arrival, receive_sample

    record, actor, at = open_record(where), one_person(), now()
    try:
        kept = receive_sample(record, actor, at, Arrival(**told, cans=tuple(cans)))  # type: ignore[arg-type]
        halves = split_sample(record, actor, at, kept.key) if split else ()
    finally:
        record.close()
    numbers = [(one.key, one.value.number) for one in (kept, *halves)]
    if as_json:
        emit_json({"samples": [{"key": key, "number": number} for key, number in numbers]})
        return
    for key, number in numbers:
        typer.echo(f"received: {number} ({key})")


def run_keep(
    where: str,
    files: Sequence[Path],
    told: Mapping[str, str],
    *,
    how: Mapping[str, Any],
    remember: str,
    as_json: bool,
) -> None:
    """Keep files one after another; good ones are kept even where others are refused."""
    record = open_record(where)
    kept: list[KeptRecord] = []
    refused: list[tuple[Path, ResileError]] = []
    try:
        said = _said(record, told, how)
        for path in record_files(files):
            try:
                kept.append(_keep(record, path, said, remember))
            except ResileError as error:
                refused.append((path, error))
    finally:
        record.close()
    if as_json:
        errors = [{"path": str(path), "message": str(error)} for path, error in refused]
        emit_json({"kept": [_entry(one) for one in kept], "errors": errors})
    else:
        for one in kept:
            _tell(one)
    for _, refusal in refused:
        typer.echo(f"resile: {refusal}", err=True)
    unread = [one.refusal for one in kept if one.refusal is not None]
    if refused or unread:
        raise typer.Exit(answer_for(refused[-1][1] if refused else unread[-1]).exit_code)


def _said(record: LaboratoryRecord, told: Mapping[str, str], how: Mapping[str, Any]) -> RecordTold:
    from resile.workflows.laboratory.files.looking_at_files import instruments_in_use
    from resile.workflows.laboratory.samples.sample_search import sample_named
    from resile.workflows.reducing.reading import choose_layout

    actor = one_person()
    residue = told["condition"] or Condition.UNKNOWN.value
    if residue not in [one.value for one in Condition]:
        known = ", ".join(one.value for one in Condition)
        raise InputError(f"--condition '{residue}' is no residue; known are {known}")
    instruments = {name: key for key, name in instruments_in_use(record, actor)}
    if told["instrument"] and told["instrument"] not in instruments:
        raise RecordNotFoundError(
            f"instrument '{told['instrument']}': the record holds none of this name; "
            f"it holds: {', '.join(instruments) or 'none'}"
        )
    sample = sample_named(record, actor, now(), told["sample"]) if told["sample"] else ""
    return RecordTold(
        sample=sample,
        specimen=told["specimen"],
        condition=Condition(residue),
        instrument=instruments.get(told["instrument"], ""),
        operator=told["operator"],
        tested=told["tested"],
        layout=choose_layout(how) if how else None,
    )


def _keep(record: LaboratoryRecord, path: Path, told: RecordTold, remember: str) -> KeptRecord:
    from resile.workflows.laboratory.files.remembering import remember_layout

    if not path.is_file():
        raise RecordNotFoundError(f"{path}: there is no such file; a record file is needed")
    data = path.read_bytes()
    kept = keep_record(record, one_person(), now(), data, path.name, told)
    if remember and told.layout is not None and kept.refusal is None:
        example = HeldFile(path.name, data)
        remember_layout(record, one_person(), now(), remember, told.layout, example=example)
        kept = replace(kept, layout=remember)
    return kept


def _tell(kept: KeptRecord) -> None:
    from resile.workflows.laboratory.samples.sample_story import value_words

    by = f", read by the layout {kept.layout}" if kept.layout else ""
    already = " (kept already, nothing was doubled)" if kept.already else ""
    typer.echo(f"{kept.name}: kept{by}{already}")
    for run in kept.runs:
        part = f", {run.run.value.part}" if run.run.value.part else ""
        typer.echo(f"  {run.run.key}: {run.run.value.test.replace('_', ' ')}{part}")
        if run.run.value.test == TYPED_RESULTS and run.result is not None:
            for line in run.result.value.lines:
                typer.echo(f"    {value_words(line)}")
        for message in run.result.value.messages if run.result else ():
            typer.echo(f"    {message}")
    for ageing in kept.ageings:
        typer.echo(f"  {ageing.key}: ageing, {ageing.value.condition.value.replace('_', ' ')}")


def _entry(kept: KeptRecord) -> dict[str, Any]:
    return {
        "name": kept.name,
        "sha256": kept.file,
        "already": kept.already,
        "layout": kept.layout,
        "refusal": str(kept.refusal) if kept.refusal else "",
        "runs": [
            {
                "key": run.run.key,
                "test": run.run.value.test,
                "part": run.run.value.part,
                "sample": run.run.value.sample,
                "result": asdict(run.result.value) if run.result else None,
            }
            for run in kept.runs
        ],
        "ageings": [{"key": one.key, "condition": one.value.condition.value} for one in kept.ageings],
    }
