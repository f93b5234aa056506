"""Where files stand: folders of this computer, and addresses (``s3://…``, ``zip://…``) through fsspec."""

from __future__ import annotations

import os
import re
from collections.abc import Iterator
from functools import lru_cache
from pathlib import Path
from typing import Any
from urllib.parse import unquote

from resile.errors import FileFormatError, InputError, MissingDependencyError, RecordNotFoundError
from resile.readers.source_file import read_source
from resile.readers.tables_of_file import MOST_BYTES
from resile.records.batch import FoundFile

ARCHIVE_SIGN = "archive.json"
"""A folder that holds this file is an archive: its tables are no records."""
_ADDRESS = re.compile(r"[A-Za-z][A-Za-z0-9+.\-]+://|[A-Za-z][A-Za-z0-9+.\-]+::")
_WEB = ("http", "https")
_RECORD = "record of one test (.csv, .txt, .xlsx)"


def is_address(named: str) -> bool:
    """Tell whether a text is an address rather than a path of this computer."""
    return _ADDRESS.match(named) is not None


def found_files(named: str, endings: frozenset[str]) -> Iterator[FoundFile]:
    """Walk a folder and all folders in it.

    Parameters
    ----------
    named : str
        Folder, file or address. Folders whose name begins with a dot, and archives, are left out; links to
        folders are not followed.
    endings : frozenset of str
        Endings taken from folders, in lower case; a file that is named itself may have any.

    Yields
    ------
    FoundFile
        Sorted by name within each folder. A folder that may not be opened is told as one with its trouble.

    Raises
    ------
    RecordNotFoundError, InputError, MissingDependencyError
        There is no such folder; the kind of address is not known, or needs a library.
    """
    if is_address(named):
        yield from _at_address(named, endings)
        return
    root = os.path.abspath(named)  # noqa: PTH100 - not resolved: a person knows the file by the links of the path
    if os.path.isfile(root):  # noqa: PTH113
        yield FoundFile(root, Path(root).name)
    elif not os.path.exists(root):  # noqa: PTH110
        raise RecordNotFoundError(f"{named}: there is no such folder or file")
    else:
        yield from _below(root, "", endings)


def bytes_of(path: str) -> bytes:
    """Read a whole file.

    Parameters
    ----------
    path : str
        As `found_files` gave it.

    Returns
    -------
    bytes

    Raises
    ------
    RecordNotFoundError, InputError, FileFormatError
        It has gone, cannot be opened, or is too large for a record.
    """
    if not is_address(path):
        return read_source(Path(path), _RECORD, MOST_BYTES)[0]
    system, inner = _file_system(path)
    try:
        size = system.size(inner)
        if size is not None and size > MOST_BYTES:
            raise FileFormatError(
                f"{path}: {size / 1e6:.1f} MB is too large; a {_RECORD} has at most {MOST_BYTES / 1e6:.0f} MB"
            )
        data: bytes = system.cat_file(inner)
    except (FileNotFoundError, KeyError):
        raise RecordNotFoundError(f"{path}: there is no such file") from None
    except (OSError, ValueError, RuntimeError) as error:
        raise InputError(f"{path}: the file cannot be opened: {error}") from error
    return data


def _below(folder: str, below: str, endings: frozenset[str]) -> Iterator[FoundFile]:
    try:
        with os.scandir(folder) as going:
            entries = sorted(going, key=lambda entry: entry.name)
    except OSError as error:
        trouble = f"the folder cannot be opened: {error.strerror or error}"
        yield FoundFile(folder, below.rstrip("/"), trouble)
        return
    if any(entry.name == ARCHIVE_SIGN for entry in entries):
        return
    for entry in entries:
        if entry.name.startswith("."):
            continue
        shown = entry.name.encode("utf-8", "backslashreplace").decode()
        if shown != entry.name:
            yield FoundFile(f"{folder}/{shown}", below + shown, "its name is no valid text; rename it")
        elif entry.is_dir(follow_symlinks=False):
            yield from _below(entry.path, f"{below}{entry.name}/", endings)
        elif _ending(entry.name) in endings and (why := _why_no_file(entry)) is not None:
            yield FoundFile(entry.path, below + entry.name, why)


def _why_no_file(entry: os.DirEntry[str]) -> str | None:
    """Say why a thing with the name of a record cannot be read; None for a link to a folder."""
    try:
        if entry.is_dir():
            return None
        return "" if entry.is_file() else "it is no file: a link that leads nowhere, a pipe or a device"
    except OSError as error:  # a link that leads to itself
        return f"the file cannot be opened: {error.strerror or error}"


def _ending(name: str) -> str:
    dot = name.rfind(".")
    return name[dot:].lower() if dot > 0 else ""


def _at_address(address: str, endings: frozenset[str]) -> Iterator[FoundFile]:
    head, _, rest = address.partition("::")
    system, root = _file_system(address)
    root = root.rstrip("/")
    protocol = head.partition("://")[0]
    behind = f"::{rest}" if rest else ""
    try:
        if root and _is_file(system, root, endings):
            yield FoundFile(address, root.rpartition("/")[2])
            return
        if root and not system.exists(root):
            raise RecordNotFoundError(f"{address}: there is no such folder or file")
        for folder, folders, files in system.walk(root):
            folders[:] = sorted(name for name in folders if not name.startswith("."))
            names = sorted(files)
            if ARCHIVE_SIGN in names:
                folders.clear()
                continue
            for name in names:
                if _ending(name) in endings and not name.startswith("."):
                    inner = f"{str(folder).rstrip('/')}/{name}" if folder else name
                    below = inner.removeprefix(root).lstrip("/")
                    below = unquote(below) if protocol in _WEB else below
                    bare = inner.removeprefix(f"{protocol}://")
                    yield FoundFile(f"{protocol}://{bare}{behind}", below)
    except (OSError, ValueError, RuntimeError) as error:
        raise InputError(f"{address}: the folder cannot be read: {error}") from error


def _is_file(system: Any, root: str, endings: frozenset[str]) -> bool:
    """Tell a file from a folder; on the web both are pages, and only the name tells."""
    if root.partition("://")[0] in _WEB:
        return _ending(root.rpartition("/")[2]) in endings
    return bool(system.isfile(root))


def _file_system(address: str) -> tuple[Any, str]:
    head, _, rest = address.partition("::")
    protocol = head.partition("://")[0]
    if protocol in _WEB:  # the host belongs to the name of the file
        return _opened(head, rest), head
    return _opened(f"{protocol}://", rest), _inner(head, rest)


def _inner(head: str, rest: str) -> str:
    system = _opened(head.partition("://")[0] + "://", rest)
    return str(system._strip_protocol(head)) if "://" in head else ""


@lru_cache(maxsize=16)
def _opened(head: str, rest: str) -> Any:
    """Open a store once: a packed folder would be unpacked anew for each of its files."""
    address = f"{head}::{rest}" if rest else head
    try:
        import fsspec
    except ImportError as error:
        raise MissingDependencyError(
            f"{address}: an address needs the library fsspec; install it with: pip install 'resile[archive]'"
        ) from error
    try:
        return fsspec.core.url_to_fs(address)[0]
    except ImportError as error:
        raise MissingDependencyError(
            f"{address}: this kind of address needs a library that is not installed ({error})"
        ) from error
    except ValueError as error:
        raise InputError(f"{address}: this kind of address is not known ({error})") from error
    except OSError as error:
        raise RecordNotFoundError(f"{address}: it cannot be opened: {error}") from error
