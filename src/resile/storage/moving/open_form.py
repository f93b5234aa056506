"""The record in open form: a folder with the log as JSON lines and the raw files under their hashes."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from dataclasses import dataclass, fields
from pathlib import Path
from typing import Any

import orjson

from resile.errors import FileFormatError, RecordDamagedError, RecordNotFoundError
from resile.records.register import Entry
from resile.storage.auditing import Progress
from resile.storage.bodies import noun_of
from resile.storage.chain import ChainWalk, head_of
from resile.storage.moving.copying import count_of, packed_files
from resile.storage.raw_files import PackedFile
from resile.storage.reading import Reading
from resile.storage.shelves import BY_KIND

LOG, FILES, MANIFEST, TABLES, NAMES = "log.jsonl", "files", "manifest.json", "tables", "files.csv"
FORM = "resile-record/1"
_SHIPPED = Path(__file__).parent / "shipped"
SHIPPED = ("README.md", "verify_log.py")
_COLUMNS = tuple(field.name for field in fields(Entry))


@dataclass(frozen=True, slots=True)
class NamedFile:
    """That an entry names a file.

    Attributes
    ----------
    sha256, name : str
        The file, and the name under which it came, where it is known.
    key : str
        Key of the noun.
    revision : int
        Its revision.
    """

    sha256: str
    name: str
    key: str
    revision: int


def write_log(
    reading: Reading, folder: Path, progress: Progress | None = None
) -> tuple[str, list[NamedFile]]:
    """Write the log and what explains it; give its head, and which files its entries name.

    Raises
    ------
    RecordDamagedError
        Where the log is damaged.
    """
    for name in SHIPPED:
        (folder / name).write_bytes((_SHIPPED / name).read_bytes())
    walk, named, total = ChainWalk(), [], sum(count_of(reading))
    with (folder / LOG).open("wb") as log:
        for entry in walk.along(reading.log()):
            log.write(orjson.dumps({name: getattr(entry, name) for name in _COLUMNS}) + b"\n")
            named += _files_named(entry)
            if progress and entry.seq % 500 == 0:
                progress(entry.seq, total)
    if walk.faults:
        raise RecordDamagedError(f"{walk.faults[0].where} {walk.faults[0].said}; nothing was exported")
    return head_of(walk.seq, walk.hash), named


def _files_named(entry: Entry) -> list[NamedFile]:
    shelf = BY_KIND.get(entry.kind)
    if shelf is None or not shelf.files:
        return []
    noun = noun_of(entry.kind, entry.body)
    names = {sha: name for name, sha in getattr(noun, "files", {}).items()}
    names |= {getattr(noun, "file", ""): getattr(noun, "file_name", "")}
    return [
        NamedFile(sha, names.get(sha, ""), entry.key, entry.revision) for sha in sorted(shelf.files_of(noun))
    ]


def write_files(reading: Reading, folder: Path, progress: Progress | None = None) -> int:
    """Write the raw files, each checked against its hash, and give how many.

    Raises
    ------
    RecordDamagedError
        Where a file is not the one that was kept.
    """
    target = folder / FILES
    target.mkdir()
    entries, files = count_of(reading)
    for done, packed in enumerate(packed_files(reading), start=1):
        (target / packed.sha256).write_bytes(packed.open())
        if progress and (done % 100 == 0 or done == files):
            progress(entries + done, entries + files)
    return files


def write_manifest(folder: Path, facts: dict[str, Any]) -> None:
    """Write the manifest last: a folder without one is not whole."""
    hashes = {
        path.relative_to(folder).as_posix(): sha256_of(path)
        for path in sorted(folder.rglob("*"))
        if path.is_file() and path.parent.name != FILES
    }
    content = {"form": FORM, **facts, "sha256": hashes}
    (folder / MANIFEST).write_bytes(orjson.dumps(content, option=orjson.OPT_INDENT_2) + b"\n")


def sha256_of(path: Path) -> str:
    """Give the SHA-256 of a file, read in pieces."""
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def read_manifest(folder: Path) -> dict[str, Any]:
    """Read the manifest of an export and check the log against it.

    Raises
    ------
    RecordNotFoundError, FileFormatError, RecordDamagedError
        Where there is none, it is of another form, or the log is not the one that was exported.
    """
    file = folder / MANIFEST
    if not file.is_file():
        raise RecordNotFoundError(f"{folder}: no {MANIFEST} is in it: this is no whole export of a record")
    try:
        content: dict[str, Any] = orjson.loads(file.read_bytes())
        form, noted = content["form"], content["sha256"][LOG]
    except (orjson.JSONDecodeError, KeyError, TypeError):
        raise FileFormatError(f"{file}: this is no manifest of an export") from None
    if form != FORM:
        raise FileFormatError(f"{file}: the export is of the form '{form}', this version reads '{FORM}'")
    if not (folder / LOG).is_file() or sha256_of(folder / LOG) != noted:
        raise RecordDamagedError(f"{folder / LOG}: the log is missing or was changed since it was exported")
    return content


def read_log(folder: Path) -> Iterator[Entry]:
    """Read the entries of an export.

    Raises
    ------
    FileFormatError
        Where a line is no entry.
    """
    with (folder / LOG).open("rb") as log:
        for number, line in enumerate(log, start=1):
            try:
                yield Entry(**orjson.loads(line))
            except (orjson.JSONDecodeError, TypeError):
                raise FileFormatError(f"{folder / LOG}, line {number}: this is no entry of a log") from None


def read_files(folder: Path) -> Iterator[PackedFile]:
    """Read the raw files of an export.

    Raises
    ------
    RecordDamagedError
        Where the bytes of a file do not give the hash that is its name.
    """
    for path in sorted((folder / FILES).iterdir()):
        packed = PackedFile.of(path.read_bytes())
        if packed.sha256 != path.name:
            raise RecordDamagedError(
                f"{path}: the file was changed since it was exported; nothing was imported"
            )
        yield packed
