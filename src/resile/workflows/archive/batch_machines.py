"""Work on several machines: workers of Dask behind one address.

Tasks are pure functions of what they are given, so a worker that is lost loses nothing: the scheduler gives
what it had to another. Workers write nothing to the archive.
"""

from __future__ import annotations

import importlib
from collections.abc import Iterable, Iterator, Sequence
from importlib.metadata import PackageNotFoundError, version
from typing import Any

from resile.errors import ConflictError, InputError, MissingDependencyError
from resile.version import __version__
from resile.workflows.archive.batch_crew import Made, Thing, Work

_SCHEMES = ("tcp://", "tls://", "ws://", "wss://", "ucx://", "inproc://")
_UNDER_WAY_PER_THREAD = 3
_NUMBERS = ("numpy", "scipy", "pyarrow")
_HOW = (
    "start them with: dask scheduler --port 8786, and on each machine: dask worker tcp://HOST:8786 "
    "--nthreads 1 --nworkers auto"
)


def versions() -> dict[str, str]:
    """Give what a worker has: resile, and the libraries that its numbers rest on."""
    found = {"resile": __version__}
    for name in _NUMBERS:
        try:
            found[name] = version(name)
        except PackageNotFoundError:
            found[name] = "missing"
    return found


class Machines:
    """Work by the workers of a scheduler.

    Parameters
    ----------
    address : str
        Of the scheduler, for example ``tcp://127.0.0.1:8786``.
    patience_s : float
        How long to wait for the scheduler, and for its first worker [s].

    Raises
    ------
    MissingDependencyError
        The library is not installed.
    InputError
        Nobody answers at the address, or the scheduler has no workers.
    ConflictError
        A worker has another version of resile, or of a library that numbers rest on.
    """

    remote = True

    def __init__(self, address: str, *, patience_s: float = 15.0) -> None:
        if not address.startswith(_SCHEMES):
            raise InputError(f"{address}: the address of a scheduler is tcp://HOST:PORT, tls:// with keys")
        try:
            distributed: Any = importlib.import_module("distributed")
        except ImportError as error:
            raise MissingDependencyError(
                "work on several machines needs the library distributed; install it with: "
                "pip install 'resile[machines,archive]'"
            ) from error
        self._dask: Any = distributed
        try:
            self._client: Any = distributed.Client(address, timeout=patience_s, set_as_default=False)
        except (OSError, TimeoutError, ValueError) as error:
            raise InputError(f"{address}: no scheduler answers there ({error}); {_HOW}") from error
        try:
            self._client.wait_for_workers(1, timeout=patience_s)
            self._check_versions(address)
        except TimeoutError:
            self._client.close()
            raise InputError(f"{address}: the scheduler has no workers; {_HOW}") from None
        except ConflictError:
            self._client.close()
            raise

    def make(self, work: Work[Thing, Made], bundles: Iterable[Sequence[Thing]]) -> Iterator[Made]:
        """Give what the task makes of each bundle, as it comes."""
        going = self._dask.as_completed(loop=self._client.loop)
        bundle_of: dict[str, Sequence[Thing]] = {}
        for bundle in bundles:
            self._submit(work, bundle, going, bundle_of)
            while len(bundle_of) >= self._most():
                yield from self._next(work, going, bundle_of)
        while bundle_of:
            yield from self._next(work, going, bundle_of)

    def end(self) -> None:
        """Let go of the scheduler: what it has of this batch is dropped."""
        self._client.close()

    def _submit(
        self,
        work: Work[Thing, Made],
        bundle: Sequence[Thing],
        going: Any,
        bundle_of: dict[str, Sequence[Thing]],
    ) -> None:
        future = self._client.submit(work.task, bundle, pure=False)
        bundle_of[future.key] = bundle
        going.add(future)

    def _next(
        self, work: Work[Thing, Made], going: Any, bundle_of: dict[str, Sequence[Thing]]
    ) -> Iterator[Made]:
        future = next(going)
        bundle = bundle_of.pop(future.key)
        try:
            yield future.result()
        except self._dask.KilledWorker:
            if len(bundle) == 1:
                yield work.given_up(bundle[0])
                return
            for thing in bundle:
                self._submit(work, (thing,), going, bundle_of)
        except (
            self._dask.CancelledError
        ):  # its only copy went with a worker, and so did what it was made from
            self._submit(work, bundle, going, bundle_of)
        finally:
            future.release()

    def _most(self) -> int:
        threads: int = sum(self._client.nthreads().values())
        return max(8, _UNDER_WAY_PER_THREAD * threads)

    def _check_versions(self, address: str) -> None:
        own = versions()
        for worker, found in self._client.run(versions, on_error="return").items():
            if isinstance(found, BaseException):
                raise ConflictError(
                    f"{address}: the worker {worker} cannot load resile ({found}); install resile "
                    f"{__version__} with its extras archive and machines there"
                )
            for name, wanted in own.items():
                if found[name] != wanted:
                    raise ConflictError(
                        f"{address}: the worker {worker} has {name} {found[name]}, and {wanted} is needed as "
                        "here, so that the numbers are the same; install the same on all machines"
                    )
