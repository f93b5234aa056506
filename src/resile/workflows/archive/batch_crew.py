"""Who does the work of a batch: this process, several of this machine, or workers elsewhere.

A crew is given bundles and a task, and gives back what the task made of each, in any order. A bundle is
worked on as a whole; where the process that has it dies, the things in it are tried one by one, so that the
one at fault is found and the others are done.
"""

from __future__ import annotations

import multiprocessing
import os
import signal
import threading
from collections.abc import Callable, Iterable, Iterator, Sequence
from concurrent.futures import FIRST_COMPLETED, Future, ProcessPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from dataclasses import dataclass
from typing import Any, Generic, Protocol, TypeVar

Thing = TypeVar("Thing")
Made = TypeVar("Made")


@dataclass(frozen=True, slots=True)
class Work(Generic[Thing, Made]):
    """A task for a crew.

    Attributes
    ----------
    task : callable
        Makes something of a bundle of things; it can be sent to another process.
    given_up : callable
        Makes something of a thing whose process died twice.
    """

    task: Callable[[Sequence[Thing]], Made]
    given_up: Callable[[Thing], Made]


class Crew(Protocol):
    """Whoever works on bundles."""

    remote: bool
    """Whether it may stand on other machines."""

    def make(self, work: Work[Thing, Made], bundles: Iterable[Sequence[Thing]]) -> Iterator[Made]:
        """Give what the task makes of each bundle, in any order."""
        ...

    def end(self) -> None:
        """Send everybody home, whatever they are at."""
        ...


class Alone:
    """Work in this process."""

    remote = False

    def make(self, work: Work[Thing, Made], bundles: Iterable[Sequence[Thing]]) -> Iterator[Made]:
        """Give what the task makes of each bundle, in order."""
        yield from map(work.task, bundles)

    def end(self) -> None:
        """Nobody is to be sent home."""


class Processes:
    """Work in processes of this machine.

    Parameters
    ----------
    jobs : int
        How many.
    """

    remote = False

    def __init__(self, jobs: int) -> None:
        self._jobs = jobs
        self._pool = _pool(jobs)

    def make(self, work: Work[Thing, Made], bundles: Iterable[Sequence[Thing]]) -> Iterator[Made]:
        """Give what the task makes of each bundle; only as many are under way as keep all busy."""
        under_way: dict[Future[Made], Sequence[Thing]] = {}
        for bundle in bundles:
            under_way[self._submit(work, bundle, under_way)] = bundle
            while len(under_way) > 2 * self._jobs:
                yield from self._done(work, under_way)
        while under_way:
            yield from self._done(work, under_way)

    def end(self) -> None:
        """Stop the processes."""
        _stop(self._pool)

    def _submit(
        self, work: Work[Thing, Made], bundle: Sequence[Thing], under_way: dict[Future[Made], Sequence[Thing]]
    ) -> Future[Made]:
        try:
            return self._pool.submit(work.task, bundle)
        except BrokenProcessPool as broken:  # told with the next of those under way
            failed: Future[Made] = Future()
            failed.set_exception(broken)
            return failed

    def _done(
        self, work: Work[Thing, Made], under_way: dict[Future[Made], Sequence[Thing]]
    ) -> Iterator[Made]:
        for future in wait(under_way, return_when=FIRST_COMPLETED).done:
            try:
                made = future.result()
            except BrokenProcessPool:
                yield from self._one_by_one(work, under_way)
                return
            del under_way[future]
            yield made

    def _one_by_one(
        self, work: Work[Thing, Made], under_way: dict[Future[Made], Sequence[Thing]]
    ) -> Iterator[Made]:
        """Find whose fault it was: everything under way is done again, each thing by itself."""
        suspects = [thing for bundle in under_way.values() for thing in bundle]
        under_way.clear()
        _stop(self._pool)
        pool = _pool(1)
        for thing in suspects:
            try:
                yield pool.submit(work.task, (thing,)).result()
            except BrokenProcessPool:
                _stop(pool)
                pool = _pool(1)
                yield work.given_up(thing)
        _stop(pool)
        self._pool = _pool(self._jobs)


def _pool(jobs: int) -> ProcessPoolExecutor:
    # Read when numpy is loaded: matrices here are small, and threads of linear algebra only get in the way.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    # Never a bare fork: a process that draws, or has threads, must not be copied as it stands.
    way = "forkserver" if "forkserver" in multiprocessing.get_all_start_methods() else "spawn"
    context: Any = multiprocessing.get_context(way)
    if way == "forkserver":
        context.set_forkserver_preload(["resile.workflows.archive.batch_reducing"])
    return ProcessPoolExecutor(jobs, mp_context=context, initializer=_begin)


def _stop(pool: ProcessPoolExecutor) -> None:
    # First the processes: a pool that is told to stop waits for what nobody takes any more.
    for process in list((getattr(pool, "_processes", None) or {}).values()):
        process.terminate()
    pool.shutdown(wait=False, cancel_futures=True)


def _begin() -> None:
    """Leave Ctrl-C to the process that started this one, and end with it."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    parent = multiprocessing.parent_process()
    if parent is not None:
        threading.Thread(target=_end_with, args=(parent,), daemon=True).start()


def _end_with(parent: Any) -> None:
    parent.join()
    os._exit(1)
