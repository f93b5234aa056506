"""What a worker of a batch does with files: bytes to rows. It depends on nothing but what it is given.

A worker may run in this process, in another one or on another machine; it writes nothing to the archive and
gives back the rows as the bytes of small Parquet files.
"""

from __future__ import annotations

import hashlib
import tomllib
from collections.abc import Sequence
from dataclasses import dataclass

from resile.errors import EXIT_OUR_FAULT, ConflictError, FileFormatError, ResileError, answer_for
from resile.readers.batches.places import bytes_of
from resile.readers.layout import Layout
from resile.records.batch import FileTold
from resile.storage.archive.pieces import FILE_PIECES, RESULT_PIECES, Piece, pack_rows
from resile.storage.archive.schema import PATHS
from resile.version import __version__
from resile.workflows.archive.batch_rows import Row, rows_of_file, tests_of_file
from resile.workflows.laboratory.files.reading_files import read_file
from resile.workflows.reducing.ageing import not_followed

_NAME = "record"
"""Every file is read under this name, so that equal bytes at two paths are refused in the same words."""


@dataclass(frozen=True, slots=True)
class FileToDo:
    """A file that a worker is to look at.

    Attributes
    ----------
    path : str
        Where it stands.
    told : FileTold
        What register and folders say of it.
    data : bytes or None
        Its bytes, where the worker need not or cannot fetch them itself.
    trouble : str
        Why it cannot be looked at; empty where it can.
    """

    path: str
    told: FileTold
    data: bytes | None = None
    trouble: str = ""


@dataclass(frozen=True, slots=True)
class HowToReduce:
    """What holds for every file of a batch.

    Attributes
    ----------
    layout : Layout
        How files are to be understood, where that is not left to the reader.
    software : str
        Version of resile that the batch was started by: a worker of another one refuses.
    """

    layout: Layout
    software: str


def hash_files(files: Sequence[FileToDo]) -> list[tuple[FileToDo, str, int]]:
    """Give hash and length of files, without understanding them.

    Parameters
    ----------
    files : sequence of FileToDo
        Some of the batch.

    Returns
    -------
    list of tuple of (FileToDo, str, int)
        An empty hash where the bytes cannot be had: reducing tells why.
    """
    found = []
    for file in files:
        try:
            data = _bytes(file)
            found.append((file, hashlib.sha256(data).hexdigest(), len(data)))
        except (
            Exception
        ):  # a store fails in ways of its own; the file is tried again, and told of, when reduced
            found.append((file, "", 0))
    return found


def reduce_files(how: HowToReduce, files: Sequence[FileToDo]) -> Piece:
    """Reduce files to one piece.

    Parameters
    ----------
    how : HowToReduce
        What holds for all of them.
    files : sequence of FileToDo
        Some of the batch.

    Returns
    -------
    Piece
        Results, files and paths; a file that is refused stands among the files with its reason.

    Raises
    ------
    ConflictError
        This worker has another version of resile than the batch.
    """
    if how.software != __version__:
        raise ConflictError(
            f"a worker has resile {__version__}, the batch was started by {how.software}; give all the same"
        )
    results: list[Row] = []
    seen: list[Row] = []
    paths: list[Row] = []
    refused = 0
    for file in files:
        done = _reduce(how, file)
        results += done.results
        seen.append(done.file)
        paths.append((file.path, done.sha256, done.size, file.told.text))
        refused += done.refused
    return _piece(results, seen, paths, refused)


def given_up(file: FileToDo) -> Piece:
    """Give the piece of a file that ended the process which worked on it, twice."""
    trouble = "reading this file ended the process that read it, twice (out of memory?); look at it by itself"
    return reduce_files(HowToReduce(Layout(), __version__), [FileToDo(file.path, file.told, trouble=trouble)])


def seen_again(files: Sequence[tuple[FileToDo, str, int]]) -> Piece:
    """Give the piece that tells where files stand whose bytes are reduced already."""
    return _piece([], [], [(file.path, sha256, size, file.told.text) for file, sha256, size in files], 0)


def _piece(results: list[Row], files: list[Row], paths: list[Row], refused: int) -> Piece:
    tables = ((RESULT_PIECES, results), (FILE_PIECES, files), (PATHS, paths))
    return Piece(tuple(pack_rows(table, rows) for table, rows in tables), len(paths), refused)


@dataclass(frozen=True, slots=True)
class _Done:
    sha256: str
    size: int
    results: list[Row]
    file: Row
    refused: bool


def _reduce(how: HowToReduce, file: FileToDo) -> _Done:
    sha256, size = "", 0
    try:
        if file.trouble:
            return _refused(file, sha256, size, file.trouble, 2)
        data = _bytes(file)
        sha256, size = hashlib.sha256(data).hexdigest(), len(data)
        name = _NAME + (".toml" if file.path.casefold().endswith(".toml") else "")
        if name != _NAME and not _says_method(data):
            raise FileFormatError("no ageing record: a TOML file without the key 'method' is something else")
        read = read_file(data, name, layout=how.layout, linked=not_followed)
        if read.refusal is not None:
            raise read.refusal
        results = rows_of_file(read, file.told, sha256)
    except ResileError as error:
        return _refused(file, sha256, size, str(error), answer_for(error).exit_code)
    except Exception as error:  # the outermost door of a worker: one file never stops a batch
        return _refused(file, sha256, size, _our_fault(error), EXIT_OUR_FAULT)
    tests = tests_of_file(read)
    told = file.told.text
    row: Row = (
        sha256,
        file.path,
        [],
        size,
        ", ".join(dict.fromkeys(tests)),
        len(tests),
        "",
        0,
        __version__,
        told,
    )
    return _Done(sha256, size, results, row, False)


def _says_method(data: bytes) -> bool:
    """Tell an ageing record from an order or a book; what is no TOML at all is left to the reader to say."""
    try:
        return "method" in tomllib.loads(data.decode("utf-8-sig"))
    except (UnicodeDecodeError, tomllib.TOMLDecodeError):
        return True


def _bytes(file: FileToDo) -> bytes:
    return file.data if file.data is not None else bytes_of(file.path)


def _refused(file: FileToDo, sha256: str, size: int, reason: str, exit_code: int) -> _Done:
    names = (_NAME, f"{_NAME}.toml", file.path)
    for place in (f"{name}{sign} " for name in names for sign in ":,"):
        reason = reason.removeprefix(place)
    row: Row = (sha256, file.path, [], size, "", 0, reason, exit_code, __version__, file.told.text)
    return _Done(sha256, size, [], row, True)


def _our_fault(error: Exception) -> str:
    return (
        f"this is a fault of the program, not of the file ({type(error).__name__}: {error}); please report it"
    )
