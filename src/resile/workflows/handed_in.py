"""Files that come by the network: laid out for workflows that read from a disk, named as they came."""

from __future__ import annotations

import re
import tempfile
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any
from uuid import uuid4

import orjson

from resile.errors import InputError, ResileError
from resile.readers.source_file import confined_to
from resile.records.reading import HeldFile
from resile.specifications.search import names_only

_UNSAFE = re.compile(r"[^\w .()+\-=,;äöüÄÖÜß]", re.UNICODE)
_LONGEST_NAME = 120
_NOWHERE = Path(tempfile.gettempdir()) / f"resile-{uuid4().hex}"
"""A folder that nobody makes: no file lies below it."""


@contextmanager
def from_outside() -> Iterator[None]:
    """Open no file of this computer within this block, and find rules by their names alone.

    Files that are laid out within it can be read.
    """
    with confined_to(_NOWHERE), names_only():
        yield


@contextmanager
def laid_out(files: Sequence[HeldFile], *, together: bool = False) -> Iterator[list[Path]]:
    """Lay files out in a folder that is gone afterwards; a refusal names them as they came.

    Parameters
    ----------
    files : sequence of HeldFile
        Names are made safe: only the last part of a path is taken.
    together : bool
        Lay them out in one folder, because some name others; each in one of its own otherwise.

    Raises
    ------
    InputError
        Where two files that belong together have one name.

    Yields
    ------
    list of Path
        In the same order.
    """
    with tempfile.TemporaryDirectory(prefix="resile-") as folder:
        paths = []
        for place, file in enumerate(files):
            inside = Path(folder) / str(0 if together else place)
            inside.mkdir(exist_ok=True)
            paths.append(inside / safe_name(file.name))
            if paths[-1].exists():
                raise InputError(
                    f"{file.name}: two files of this name were sent; give them names of their own"
                )
            paths[-1].write_bytes(file.content)
        try:
            with confined_to(Path(folder)), names_only():
                yield paths
        except ResileError as error:
            error.args = tuple(_named_back(str(word), folder) for word in error.args)
            raise


def names_given_back(content: Any, paths: Sequence[Path]) -> Any:
    """Give what a workflow tells of laid-out files with the names under which they came.

    Parameters
    ----------
    content : object
        As ready for JSON.
    paths : sequence of Path
        As `laid_out` gave them.
    """
    if not paths:
        return content
    text = orjson.dumps(content, option=orjson.OPT_SERIALIZE_NUMPY).decode()
    return orjson.loads(_named_back(text, str(paths[0].parent.parent)))


def safe_name(name: str) -> str:
    """Give the last part of a file's name with nothing in it that a file system or a page could mistake."""
    last = name.replace("\\", "/").rsplit("/", 1)[-1]
    kept = _UNSAFE.sub("_", last).strip(" .")[-_LONGEST_NAME:]
    return kept or "file"


def _named_back(text: str, folder: str) -> str:
    return re.sub(re.escape(folder) + r"[/\\]+\d+[/\\]+", "", text)
