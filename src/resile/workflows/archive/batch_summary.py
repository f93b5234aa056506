"""What a batch tells at its end, and writes beside the tables: ``summary.json`` and ``refused.csv``."""

from __future__ import annotations

import csv
import io
import json
from pathlib import Path
from typing import Any

from resile.records.batch import BatchSummary
from resile.report.machine.record_tables import cell
from resile.storage.archive.schema import REFUSED, SUMMARY, write_whole
from resile.storage.archive.summing import count_archive, refused_files


def write_summary(connection: Any, archive: Path, *, skipped: int = 0) -> BatchSummary:
    """Count an archive and write ``summary.json`` and ``refused.csv`` beside its tables.

    Parameters
    ----------
    connection : duckdb.DuckDBPyConnection
        As `resile.storage.archive.engine.engine` gives it.
    archive : Path
        Folder with the tables.
    skipped : int
        Places whose bytes were done already.

    Returns
    -------
    BatchSummary
    """
    counted = count_archive(connection, archive)
    write_whole(archive / SUMMARY, json.dumps(counted, indent=2, ensure_ascii=False) + "\n")
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(["path", "sha256", "size", "exit_code", "reason"])
    writer.writerows([cell(value) for value in row] for row in refused_files(archive))
    write_whole(archive / REFUSED, text.getvalue())
    return BatchSummary(**counted, skipped=skipped)


def summary_sheet(summary: BatchSummary, archive: Path) -> Any:
    """Give a readable sheet of what a batch made.

    Parameters
    ----------
    summary : BatchSummary
        As `resile.workflows.archive.batch.run_batch` gives it.
    archive : Path
        Where it stands.

    Returns
    -------
    rich.console.Group
    """
    from resile.report.terminal.archive import render_batch

    return render_batch(summary, str(archive))
