"""The command `resile batch`: progress while it runs, what the archive holds at the end."""

from __future__ import annotations

import os
import signal
import sys
import threading
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any, NoReturn

import typer

from resile.errors import InputError
from resile.interfaces.cli.showing import emit_json, show
from resile.workflows.archive.batch import Batch, BatchProgress, run_batch
from resile.workflows.archive.batch_summary import summary_sheet
from resile.workflows.judging.agreement import agree
from resile.workflows.reducing.reading import choose_layout

_EVERY_S = 10.0
"""How often a line is printed where nobody watches a bar [s]."""
_STOPPED = 130
"""Exit code of a program that Ctrl-C has ended: the convention of the shells."""
_PATIENCE_S = 5.0
"""How long a stopped program may take to end by itself [s]."""
_WORDS = {"files": "files", "tables": "writing the tables", "samples": "samples judged"}


def run_batch_command(
    folders: Sequence[str],
    *,
    into: Path,
    judged_by: dict[str, str | None],
    how: dict[str, Any],
    register: Path | None,
    named: str,
    jobs: int,
    machines: str,
    send: bool,
    again: bool,
    as_json: bool,
) -> None:
    """Make or go on with an archive; Ctrl-C leaves what was done."""
    if machines and jobs > 1:
        raise InputError("--jobs shares files among processes here, --machines among workers; choose one")
    yardstick = agree(**judged_by) if judged_by["specification"] else None  # type: ignore[arg-type]
    batch = Batch(
        tuple(folders),
        into,
        yardstick,
        choose_layout(how),
        register=register,
        named=named,
        again=again,
        send=send,
    )
    with _telling() as tell:
        try:
            summary = run_batch(batch, jobs=jobs, machines=machines, tell=tell)
        except KeyboardInterrupt:
            _stopped(into)
    emit_json(summary.to_json()) if as_json else show(summary_sheet(summary, into))
    if summary.refused:
        typer.echo(
            f"resile: {summary.refused} of {summary.distinct_files} files gave nothing; the reasons stand in "
            f"{into / 'refused.csv'}",
            err=True,
        )


def _stopped(into: Path) -> NoReturn:
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    typer.echo(
        f"resile: stopped. What was done is kept in {into}; the same command goes on from there.", err=True
    )
    # Workers that were stopped in the middle may keep a pool waiting; nothing of theirs is needed any more.
    last = threading.Timer(_PATIENCE_S, os._exit, [_STOPPED])
    last.daemon = True
    last.start()
    raise typer.Exit(_STOPPED)


@contextmanager
def _telling() -> Iterator[Callable[[BatchProgress], None]]:
    if not sys.stderr.isatty():
        yield _Lines()
        return
    from rich.console import Console
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeRemainingColumn

    columns = (
        TextColumn("{task.description}"),
        BarColumn(),
        MofNCompleteColumn(),
        TextColumn("{task.fields[words]}"),
        TimeRemainingColumn(),
    )
    with Progress(*columns, console=Console(stderr=True), transient=True) as bar:
        yield _Bar(bar)


class _Pace:
    """Rate and time to go of a stage, of what was really worked on."""

    def __init__(self) -> None:
        self._stage, self._since = "", 0.0

    def words(self, progress: BatchProgress, now: float) -> str:
        if progress.stage != self._stage:
            self._stage, self._since = progress.stage, now
        spent, worked = now - self._since, progress.done - progress.skipped
        parts = []
        if spent > 0 and worked > 0:
            rate = worked / spent
            parts.append(f"{rate:,.0f} a second")
            left = (progress.total - progress.done) / rate
            if left > 0:
                parts.append(f"{_duration(left)} to go")
        if progress.skipped:
            parts.append(f"{progress.skipped:,} done before")
        if progress.refused:
            parts.append(f"{progress.refused:,} refused")
        return ", ".join(parts)


class _Lines:
    """A plain line every so often, for a log."""

    def __init__(self) -> None:
        self._pace = _Pace()
        self._next = time.monotonic() + _EVERY_S

    def __call__(self, progress: BatchProgress) -> None:
        now = time.monotonic()
        words = self._pace.words(progress, now)
        if now < self._next:
            return
        self._next = now + _EVERY_S
        counted = f"{progress.done:,} of {progress.total:,} " if progress.total else ""
        typer.echo(f"{counted}{_WORDS[progress.stage]}{', ' if words else ''}{words}", err=True)


class _Bar:
    """A bar for a person who watches."""

    def __init__(self, bar: Any) -> None:
        self._bar, self._pace = bar, _Pace()
        self._line = bar.add_task("files", total=None, words="")

    def __call__(self, progress: BatchProgress) -> None:
        self._bar.update(
            self._line,
            description=_WORDS[progress.stage],
            completed=progress.done,
            total=progress.total or None,
            words=self._pace.words(progress, time.monotonic()),
        )


def _duration(seconds: float) -> str:
    minutes, rest = divmod(round(seconds), 60)
    hours, minutes = divmod(minutes, 60)
    if hours:
        return f"{hours} h {minutes} min"
    return f"{minutes} min {rest} s" if minutes else f"{rest} s"
