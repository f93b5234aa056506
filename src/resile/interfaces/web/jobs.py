"""Long work: started by a form, told about while it runs, cancelled where it may be.

A page starts a job and leads to its own page::

    def work(progress: Progress) -> str:
        for place, sample in enumerate(samples):
            progress.step(place, len(samples), f"sample {sample}")     # stops here where it was cancelled
            recompute(record, actor, at, sample)
        return "/audit/recomputed"                                     # where the answer stands

    return visit.go(jobs_of(visit.request.app).start(visit.actor, "Recompute every result", work))

What is known of a job stands in a small file, so that every worker process of one workbench can tell of it
and it is still there when the page is loaded again. A job ends with the process that works on it.
"""

from __future__ import annotations

import re
import secrets
import time
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import asdict, dataclass, replace
from pathlib import Path

import orjson
from starlette.applications import Starlette

from resile.errors import PermissionRefusedError, RecordNotFoundError, ResileError
from resile.interfaces.web.own_folder import folder_of, own_folder
from resile.records.register import Actor

_KEY = re.compile(r"[A-Za-z0-9_-]{16}")
_AT_ONCE = 2
_BETWEEN_NEWS_S = 0.1
_SILENCE_S = 900.0
_KEPT_S = 86_400.0
RUNNING, DONE, CANCELLED, REFUSED = "running", "done", "cancelled", "refused"


class JobCancelledError(Exception):
    """Somebody cancelled the job; raised where it may stop."""


@dataclass(frozen=True, slots=True)
class JobState:
    """What is known of a job.

    Attributes
    ----------
    key, title, owner : str
        Its key, what it does, key of the person who started it.
    state : str
        ``running``, ``done``, ``cancelled`` or ``refused``.
    done, of : int
        How far it is; `of` is 0 while that is not known.
    words : str
        What it works on now, or why it was refused.
    address : str
        Page on which its answer stands; until there is one, the page that leads on.
    news : float
        When this was written [s since 1970].
    """

    key: str
    title: str
    owner: str
    state: str = RUNNING
    done: int = 0
    of: int = 0
    words: str = ""
    address: str = ""
    news: float = 0.0

    @property
    def silent(self) -> bool:
        """True where nothing was heard of it for so long that its process must have ended."""
        return self.state == RUNNING and time.time() - self.news > _SILENCE_S


class Progress:
    """How far a job is: told by the work, read by its page."""

    def __init__(self, jobs: Jobs, state: JobState) -> None:
        self._jobs = jobs
        self._state = state
        self._told = 0.0

    def step(self, done: int, of: int, words: str = "") -> None:
        """Tell how far the work is, and stop it here where it was cancelled.

        Raises
        ------
        JobCancelledError
            Let it pass: what is kept so far stays, nothing is half there.
        """
        if self._jobs.is_cancelled(self._state.key):
            raise JobCancelledError
        now = time.monotonic()
        self._state = replace(self._state, done=done, of=of, words=words)
        if now - self._told >= _BETWEEN_NEWS_S or done == of:
            self._told = now
            self._jobs.write(self._state)

    def end(self, state: str, *, words: str = "", address: str = "") -> None:
        """Tell that the work has ended, and where one goes from here; back where nothing is said."""
        led = address or self._state.address
        self._jobs.write(replace(self._state, state=state, words=words, address=led))


class Jobs:
    """The jobs of one workbench.

    Parameters
    ----------
    folder : Path
        Where what is known of them stands; made if need be.
    """

    def __init__(self, folder: Path) -> None:
        self._folder = own_folder(folder)
        self._pool = ThreadPoolExecutor(_AT_ONCE, thread_name_prefix="job")

    def start(self, actor: Actor, title: str, work: Callable[[Progress], str], *, back: str = "/") -> str:
        """Start work in the background.

        Parameters
        ----------
        actor : Actor
            Who starts it, and alone may see and cancel it.
        title : str
            What it does, for its page.
        work : callable
            Is given the `Progress` and gives the address of the page with the answer.
        back : str
            Page that leads on where it is stopped or refused.

        Returns
        -------
        str
            Address of the page of the job.
        """
        self._sweep()
        state = JobState(secrets.token_urlsafe(12), title, actor.key, address=back)
        self.write(state)
        self._pool.submit(self._do, state, work)
        return f"/jobs/{state.key}"

    def state(self, key: str, actor: Actor) -> JobState:
        """Give what is known of a job.

        Raises
        ------
        RecordNotFoundError, PermissionRefusedError
            There is none, or somebody else started it.
        """
        try:
            found = JobState(**orjson.loads(self._file(key).read_bytes()))
        except (OSError, orjson.JSONDecodeError, TypeError):
            raise RecordNotFoundError(
                "there is no such job; what it was to do can be started again from its own page"
            ) from None
        if found.owner != actor.key:
            raise PermissionRefusedError("this was started by somebody else")
        return found

    def cancel(self, key: str, actor: Actor) -> None:
        """Ask a job to stop at its next step."""
        self.state(key, actor)
        self._mark(key).touch()

    def is_cancelled(self, key: str) -> bool:
        """Tell whether somebody asked a job to stop."""
        return self._mark(key).exists()

    def write(self, state: JobState) -> None:
        """Write down what is known of a job: whole, or not at all."""
        target = self._file(state.key)
        beside = target.with_suffix(f".{secrets.token_hex(4)}")
        beside.write_bytes(orjson.dumps(asdict(replace(state, news=time.time()))))
        beside.replace(target)

    def _do(self, state: JobState, work: Callable[[Progress], str]) -> None:
        progress = Progress(self, state)
        try:
            progress.end(DONE, address=work(progress))
        except JobCancelledError:
            progress.end(CANCELLED, words="Stopped; what was kept until then stays.")
        except ResileError as error:
            progress.end(REFUSED, words=str(error))
        except Exception as error:  # the outermost door of this thread
            progress.end(
                REFUSED, words=f"this is a fault of the program ({type(error).__name__}); please report it"
            )
            raise

    def _file(self, key: str) -> Path:
        if not _KEY.fullmatch(key):
            raise RecordNotFoundError("there is no such job")
        return self._folder / f"{key}.json"

    def _mark(self, key: str) -> Path:
        return self._file(key).with_suffix(".cancel")

    def _sweep(self) -> None:
        old = time.time() - _KEPT_S
        for path in self._folder.iterdir():
            try:
                if path.stat().st_mtime < old:
                    path.unlink()
            except OSError:
                continue  # another worker was faster


def jobs_of(app: Starlette) -> Jobs:
    """Give the jobs of a workbench; all its worker processes share them."""
    found = getattr(app.state, "jobs", None)
    if found is None:
        found = app.state.jobs = Jobs(folder_of(app, "jobs"))
    return found
