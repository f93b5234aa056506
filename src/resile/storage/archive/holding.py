"""Who writes an archive: one batch at a time."""

from __future__ import annotations

import contextlib
import os
import socket
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import IO

from resile.errors import ConflictError, InputError
from resile.storage.archive.schema import STATEMENT

LOCK = ".batch"
"""File that is locked while an archive is written; the lock goes with the process, however that ends."""


@contextmanager
def hold_archive(archive: Path) -> Iterator[None]:
    """Be the only one who writes an archive, within this block.

    Parameters
    ----------
    archive : Path
        Folder; made where it is not there.

    Raises
    ------
    ConflictError
        Another batch writes it now.
    InputError
        It cannot be made or written, or holds other things than an archive.
    """
    try:
        archive.mkdir(parents=True, exist_ok=True)
        strangers = [entry.name for entry in archive.iterdir() if entry.name != LOCK]
        if strangers and not (archive / STATEMENT).is_file():
            raise InputError(
                f"{archive}: the folder holds other things ({min(strangers)}); an archive needs a folder of "
                "its own, a new or an empty one"
            )
        file = (archive / LOCK).open("a+", encoding="utf-8")
    except OSError as error:
        raise InputError(f"{archive}: the archive cannot be written ({error.strerror or error})") from error
    with file:
        if not _lock(file):
            file.seek(0)
            holder = file.read(200).strip() or "another process"
            raise ConflictError(
                f"{archive}: another batch writes this archive now ({holder}); wait until it has ended, or "
                "name another folder"
            )
        file.truncate(0)
        file.write(f"process {os.getpid()} on {socket.gethostname()}\n")
        file.flush()
        yield
        file.truncate(0)


def _lock(file: IO[str]) -> bool:
    if os.name == "nt":
        import msvcrt

        file.seek(1_000_000)  # a byte far behind the text, so that others can read who holds it
        with contextlib.suppress(OSError):
            msvcrt.locking(file.fileno(), msvcrt.LK_NBLCK, 1)  # type: ignore[attr-defined]
            file.seek(0)
            return True
        return False
    import fcntl

    try:
        fcntl.flock(file.fileno(), fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:
        return False
    return True
