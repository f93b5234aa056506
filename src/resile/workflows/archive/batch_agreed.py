"""What a batch is to do, what holds for all of its files, and whether the archive fits that."""

from __future__ import annotations

import hashlib
import json
from dataclasses import dataclass, field
from pathlib import Path

from resile.errors import InputError
from resile.readers.batches.file_register import FileRegister, read_file_register
from resile.readers.batches.folder_names import FolderNames
from resile.readers.layout import Layout, layout_to_toml
from resile.records.batch import FileTold, FoundFile
from resile.records.own_precision import KeyedPrecision
from resile.storage.archive.folding import clear, finish_commit
from resile.storage.archive.schema import (
    STATEMENT,
    ArchiveStatement,
    read_archive_statement,
    write_archive_statement,
)
from resile.version import __version__
from resile.workflows.judging.agreement import Yardstick

MADE_FROM = "record files"


@dataclass(frozen=True, slots=True)
class Batch:
    """What a batch is to do.

    Attributes
    ----------
    folders : tuple of str
        Folders, files or addresses.
    archive : Path
        Folder of the archive.
    yardstick : Yardstick or None
        What results are judged by; None for no verdicts.
    layout : Layout
        How files are to be understood, where that is not left to the reader.
    register : Path or None
        Table that says what each file is of.
    named : str
        Pattern by which folders are named; empty for none.
    again : bool
        Make the archive anew.
    send : bool
        Send the bytes to whoever works on them: they cannot fetch the files themselves.
    """

    folders: tuple[str, ...]
    archive: Path
    yardstick: Yardstick | None = None
    layout: Layout = field(default_factory=Layout)
    register: Path | None = None
    named: str = ""
    again: bool = False
    send: bool = False


class Naming:
    """What register and folders say of files.

    Parameters
    ----------
    batch : Batch
        Names the register and the pattern.
    """

    def __init__(self, batch: Batch) -> None:
        self.register: FileRegister | None = read_file_register(batch.register) if batch.register else None
        self._names = FolderNames(batch.named) if batch.named else None

    def told(self, file: FoundFile) -> FileTold:
        """Give what they say of one file."""
        by_folders = (self._names.told(file) if self._names else None) or FileTold()
        return self.register.told(file).over(by_folders) if self.register else by_folders


def made_ready(batch: Batch, naming: Naming) -> tuple[ArchiveStatement, bool]:
    """Make the archive ready; give what it is to say of itself, and whether everything in it is to be judged.

    What it says of its verdicts changes with the verdicts themselves, at the end: a batch that was stopped
    before has changed nothing.

    Raises
    ------
    InputError
        The archive was made by other options.
    """
    if batch.again:
        clear(batch.archive)
    finish_commit(batch.archive)
    options = {"reading": _reading_options(batch, naming), "judging": _judging_options(batch.yardstick)}
    statement = ArchiveStatement(__version__, MADE_FROM, options)
    if not (batch.archive / STATEMENT).is_file():
        write_archive_statement(batch.archive, statement)
        return statement, False
    there = read_archive_statement(batch.archive)
    _refuse_other(batch.archive, there, options["reading"])
    return statement, there.options.get("judging") != options["judging"]


def judged_by_text(statement: ArchiveStatement) -> str:
    """Say by what verdicts are made, as the mark of those of an unfinished batch."""
    return json.dumps([statement.software, statement.options["judging"]], sort_keys=True)


def _refuse_other(archive: Path, there: ArchiveStatement, reading: object) -> None:
    """Refuse to mix what was reduced in different ways."""
    anew = "name another folder, or make it anew with --again"
    if there.made_from != MADE_FROM:
        raise InputError(f"{archive}: this archive was made from a {there.made_from}; {anew}")
    if there.software != __version__:
        raise InputError(
            f"{archive}: this archive was made by resile {there.software}, and this is {__version__}; {anew}"
        )
    held = there.options.get("reading")
    if held != reading and isinstance(held, dict) and isinstance(reading, dict):
        parts = [name for name in sorted({*held, *reading}) if held.get(name) != reading.get(name)]
        raise InputError(f"{archive}: this archive was made with another {' and '.join(parts)}; {anew}")


def _reading_options(batch: Batch, naming: Naming) -> dict[str, str]:
    return {
        "layout": layout_to_toml(batch.layout) if batch.layout != Layout() else "",
        "pattern of folders": batch.named,
        "register of files": naming.register.source.sha256 if naming.register else "",
    }


def _judging_options(yardstick: Yardstick | None) -> dict[str, str]:
    if yardstick is None:
        return {}
    return {
        "specification": yardstick.specification.identifier,
        "edition": yardstick.specification.edition,
        "sha256": yardstick.specification.sha256,
        "decision_rule": yardstick.decision_rule.name,
        "retest_rule": yardstick.retest_rule.name,
        "uncertainty_basis": yardstick.basis,
        **({"own_precision": _mark_of(yardstick.own)} if yardstick.own else {}),
    }


def _mark_of(own: tuple[KeyedPrecision, ...]) -> str:
    return hashlib.sha256(repr(own).encode()).hexdigest()
