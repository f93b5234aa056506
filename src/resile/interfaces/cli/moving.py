"""Commands that back up the laboratory's record, and move it."""

from __future__ import annotations

from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING

import typer

from resile.interfaces.cli.keeping import opened
from resile.interfaces.cli.showing import emit_json, following
from resile.workflows.laboratory.access.permissions import one_person
from resile.workflows.laboratory.record.opening import now, open_record, usual_place

if TYPE_CHECKING:
    from resile.records.register.audit import Audit


def run_backup(file: Path, where: str, *, as_json: bool) -> None:
    """Back up the record."""
    from resile.workflows.laboratory.record.moving import back_up_record

    with opened(where) as record, following("copying and verifying") as progress:
        found = back_up_record(record, one_person(), file, now(), progress=progress)
    if as_json:
        emit_json(asdict(found))
        return
    typer.echo(f"written and verified: {file} ({file.stat().st_size / 1e6:.1f} MB), {_held(found)}")
    typer.echo(f"head of the log: {found.head}")
    typer.echo(
        "Whoever has this file can read everything in the record: keep it where only those who may do so."
    )


def run_restore(file: Path, where: str, *, as_json: bool) -> None:
    """Restore a backup."""
    from resile.workflows.laboratory.record.moving import restore_record

    record = open_record(where)
    try:
        with following("restoring and verifying") as progress:
            found = restore_record(record, one_person(), file, now(), progress=progress)
    finally:
        record.close()
    _tell(found, where, "restored", as_json=as_json)


def run_export(folder: Path, where: str, *, as_json: bool) -> None:
    """Export the record."""
    from resile.workflows.laboratory.record.moving import export_record

    with opened(where) as record, following("exporting") as progress:
        done = export_record(record, one_person(), folder, now(), progress=progress)
    if as_json:
        emit_json(asdict(done) | {"folder": str(done.folder)})
        return
    held = f"{done.entries} entries, {done.files} files, {len(done.tables)} tables"
    typer.echo(f"written: {folder}, {held}")
    typer.echo(f"head of the log: {done.head}")
    if not done.parquet:
        typer.echo("The tables are CSV alone; for Parquet too: pip install 'resile[parquet]'")


def run_import(folder: Path, where: str, *, as_json: bool) -> None:
    """Import an export."""
    from resile.workflows.laboratory.record.moving import import_record

    record = open_record(where)
    try:
        with following("importing and verifying") as progress:
            found = import_record(record, one_person(), folder, now(), progress=progress)
    finally:
        record.close()
    _tell(found, where, "imported", as_json=as_json)
    if not as_json:
        typer.echo("Passwords are not exported: each person needs a new one.")


def _tell(found: Audit, where: str, done: str, *, as_json: bool) -> None:
    if as_json:
        emit_json(asdict(found))
        return
    typer.echo(f"{done} and verified: {where or usual_place()}, {_held(found)}")
    typer.echo(f"head of the log: {found.head}")


def _held(found: Audit) -> str:
    return f"{found.entries} entries and {found.files} files ({found.file_bytes / 1e6:.1f} MB)"
