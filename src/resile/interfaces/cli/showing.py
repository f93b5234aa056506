"""How the command line shows things: JSON, a readable sheet, a progress bar on a terminal only."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from typing import Any, TypeVar

T = TypeVar("T")


def emit_json(content: object) -> None:
    """Print JSON, indented so that a person can read it too."""
    import orjson

    sys.stdout.buffer.write(orjson.dumps(content, option=orjson.OPT_INDENT_2) + b"\n")
    sys.stdout.buffer.flush()


def show(sheet: Any) -> None:
    """Print a rich renderable; plain text of 100 columns where the output is not a terminal."""
    from rich.console import Console

    console = Console(highlight=False, width=None if sys.stdout.isatty() else 100)
    console.print(sheet)


def follow(items: Iterable[T], *, total: int) -> Iterator[T]:
    """Pass items on, with a progress bar where a person watches and the work is long."""
    if total < 20 or not sys.stderr.isatty():
        yield from items
        return
    from rich.console import Console
    from rich.progress import track

    yield from track(items, total=total, description="reducing", console=Console(stderr=True), transient=True)


@contextmanager
def following(task: str) -> Iterator[Callable[[int, int], None] | None]:
    """Give what long work tells its progress to: a bar where a person watches, else nothing."""
    if not sys.stderr.isatty():
        yield None
        return
    from rich.console import Console
    from rich.progress import Progress

    with Progress(console=Console(stderr=True), transient=True) as bar:
        line = bar.add_task(task, total=None)
        yield lambda done, total: bar.update(line, completed=done, total=total)
