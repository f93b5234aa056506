"""The bytes of a file and what names them for ever: path, hash, length."""

from __future__ import annotations

import hashlib
import stat
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from pathlib import Path

from resile.errors import FileFormatError, InputError, RecordNotFoundError
from resile.records.reading import HeldFile, SourceFile

_ONLY_BELOW: ContextVar[Path | None] = ContextVar("only_below", default=None)


@contextmanager
def confined_to(folder: Path) -> Iterator[None]:
    """Read no file outside a folder, within this block: what a file names is not to be trusted.

    Parameters
    ----------
    folder : Path
        Holds what was sent.
    """
    before = _ONLY_BELOW.set(folder.resolve())
    try:
        yield
    finally:
        _ONLY_BELOW.reset(before)


def _refuse_outside(path: Path) -> None:
    below = _ONLY_BELOW.get()
    if below is not None and not path.resolve().is_relative_to(below):
        raise InputError(f"{path.name}: this file is named in what was sent, but was not sent with it")


def read_source(path: Path | HeldFile, what: str, max_bytes: int) -> tuple[bytes, SourceFile]:
    """Read a whole file.

    Parameters
    ----------
    path : Path or HeldFile
        The file, on the disk or in hand.
    what : str
        What is needed, for messages: ``"table of results (.csv, .xlsx)"``.
    max_bytes : int
        Longest file that can be one [bytes].

    Returns
    -------
    tuple of (bytes, SourceFile)
        The content and its hash.

    Raises
    ------
    RecordNotFoundError
        No such file.
    InputError
        A folder, a pipe or a device, or not to be opened.
    FileFormatError
        Longer than `max_bytes`.
    """
    if isinstance(path, HeldFile):
        _refuse_size(path, len(path.content), what, max_bytes)
        return path.content, _source(path, path.content)
    _refuse_outside(path)
    try:
        status = path.stat()
        if stat.S_ISDIR(status.st_mode):
            raise InputError(f"{path}: this is a folder; a {what} is needed")
        if not stat.S_ISREG(status.st_mode):  # opening a pipe that nobody writes to would wait for ever
            raise InputError(f"{path}: this is a pipe or a device, not a regular file; a {what} is needed")
        _refuse_size(path, status.st_size, what, max_bytes)
        data = path.read_bytes()
    except FileNotFoundError:
        raise RecordNotFoundError(f"{path}: there is no such file; a {what} is needed") from None
    except (OSError, ValueError) as error:  # a name with a zero byte is a ValueError
        reason = getattr(error, "strerror", None) or str(error)
        raise InputError(f"{path}: the file cannot be opened: {reason}") from None
    return data, _source(path, data)


def given_file(file: str | Path | HeldFile) -> Path | HeldFile:
    """Give the file that a caller names: text is its path.

    Parameters
    ----------
    file : str or Path or HeldFile
        As given.

    Returns
    -------
    Path or HeldFile
        The file.
    """
    return file if isinstance(file, HeldFile) else Path(file)


def file_beside(path: Path | HeldFile, name: str) -> Path | HeldFile:
    """Give the file that another one names.

    Parameters
    ----------
    path : Path or HeldFile
        The file that names it.
    name : str
        As written there: relative to its folder, or the name of a file that is held with it.

    Returns
    -------
    Path or HeldFile
        The file.

    Raises
    ------
    RecordNotFoundError
        No file of this name is held with it.
    """
    if isinstance(path, Path):
        return path.parent / name
    last = _last(name)
    for held in path.beside:
        if _last(held.name).casefold() == last.casefold():
            return held
    raise RecordNotFoundError(
        f"{path}: it names the file '{name}', which was not given with it; choose that file as well"
    )


def _last(name: str) -> str:
    return name.replace("\\", "/").rsplit("/", 1)[-1]


def _refuse_size(path: Path | HeldFile, size: int, what: str, max_bytes: int) -> None:
    if size > max_bytes:
        raise FileFormatError(
            f"{path}: {size / 1e6:.1f} MB is too large; a {what} has at most {max_bytes / 1e6:.0f} MB"
        )


def _source(path: Path | HeldFile, data: bytes) -> SourceFile:
    return SourceFile(str(path), hashlib.sha256(data).hexdigest(), len(data))
