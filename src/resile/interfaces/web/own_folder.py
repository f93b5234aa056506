"""Folders for what a workbench need not keep: one for each record, shared by all its worker processes."""

from __future__ import annotations

import hashlib
import os
import secrets
import tempfile
import time
from pathlib import Path

from starlette.applications import Starlette

_KEPT_S = 30 * 86_400.0
_MOST_ANSWERS = 400


def folder_of(app: Starlette, what: str) -> Path:
    """Give where a workbench puts something that can be made anew: the same in every worker process."""
    user = os.getuid() if hasattr(os, "getuid") else 0
    told = hashlib.sha256(str(app.state.settings.record).encode()).hexdigest()[:16]
    return Path(tempfile.gettempdir()) / f"resile-{what}-{user}-{told}"


def own_folder(folder: Path) -> Path:
    """Make a folder that nobody else reads; another one where somebody else took the name."""
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    if hasattr(os, "getuid") and folder.stat().st_uid != os.getuid():
        return Path(tempfile.mkdtemp(prefix=f"{folder.name}-"))
    return folder


class WorkedAnswers:
    """Answers that took long, by what they were worked out from.

    Parameters
    ----------
    folder : Path
        Where they stand; made if need be.
    """

    def __init__(self, folder: Path) -> None:
        self._folder = own_folder(folder)

    def recall(self, mark: str) -> bytes | None:
        """Give an answer; None where it has to be worked out."""
        try:
            return self._file(mark).read_bytes()
        except OSError:
            return None

    def remember(self, mark: str, content: bytes) -> None:
        """Keep an answer: whole, or not at all."""
        self._sweep()
        beside = self._file(mark).with_suffix(f".{secrets.token_hex(4)}")
        beside.write_bytes(content)
        beside.replace(self._file(mark))

    def _file(self, mark: str) -> Path:
        return self._folder / f"{hashlib.sha256(mark.encode()).hexdigest()}.answer"

    def _sweep(self) -> None:
        held = sorted(self._folder.iterdir(), key=lambda path: path.name)
        old = time.time() - _KEPT_S
        for place, path in enumerate(held):
            try:
                if place >= _MOST_ANSWERS or path.stat().st_mtime < old:
                    path.unlink()
            except OSError:
                continue  # another worker was faster


def answers_of(app: Starlette) -> WorkedAnswers:
    """Give the answers that a workbench has worked out; all its worker processes share them."""
    found = getattr(app.state, "worked_answers", None)
    if found is None:
        found = app.state.worked_answers = WorkedAnswers(folder_of(app, "answers"))
    return found
