"""Pieces: what a running batch has done so far, kept as it comes, so that it can go on after any end.

A piece is a few small Parquet files with one number, of files that were reduced or of samples that were
judged. They are written one after the other: a piece without the last one was never finished and is dropped.
Nothing else of an archive changes until all pieces are folded into it.
"""

from __future__ import annotations

import hashlib
import shutil
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from resile.storage.archive.parquet import Row, arrow, arrow_schema, read_rows
from resile.storage.archive.schema import (
    FILES,
    PATHS,
    PIECES,
    RESULTS,
    VERDICTS,
    Column,
    Table,
    write_piece,
    write_whole,
)

_TOLD = Column("told", "text", "what register and folders said when it was reduced")
FILE_PIECES = Table("files", (*FILES.columns, _TOLD), FILES.order)
RESULT_PIECES = Table("results", (*RESULTS.columns, _TOLD), RESULTS.order)
PIECE_TABLES = (RESULT_PIECES, FILE_PIECES, PATHS)
"""In the order they are written."""
_BUNDLE = Column("bundle", "text", "results that are judged together")
VERDICT_PIECES = Table("verdicts", (*VERDICTS.columns, _BUNDLE), VERDICTS.order)
JUDGED_PIECES = Table(
    "judged", (_BUNDLE, Column("mark", "text", "of the results that the verdicts rest on")), ("bundle",)
)
JUDGED_TABLES = (VERDICT_PIECES, JUDGED_PIECES)
"""Pieces of the judging, in the order they are written."""
JUDGED = "judged"
_BY = "by.json"


@dataclass(frozen=True, slots=True)
class Piece:
    """Rows that a worker made ready, each table as the bytes of a Parquet file.

    Attributes
    ----------
    tables : tuple of bytes
        In the order of `PIECE_TABLES`, or of `JUDGED_TABLES`.
    files : int
        Files looked at, or samples judged.
    refused : int
        How many of them gave nothing.
    """

    tables: tuple[bytes, ...]
    files: int
    refused: int


def pack_rows(table: Table, rows: Iterable[Row]) -> bytes:
    """Give rows as the bytes of a Parquet file.

    Parameters
    ----------
    table : Table
        Which columns.
    rows : iterable of tuple
        Values in the order of the columns; all are held in memory.

    Returns
    -------
    bytes
    """
    pa, schema = arrow(), arrow_schema(table)
    columns = list(zip(*rows, strict=True)) or [()] * len(schema)
    arrays = [pa.array(values, type=kind.type) for values, kind in zip(columns, schema, strict=True)]
    sink = pa.BufferOutputStream()
    pa.parquet.write_table(pa.Table.from_arrays(arrays, schema=schema), sink, compression="zstd")
    data: bytes = sink.getvalue().to_pybytes()
    return data


class Pieces:
    """The pieces of an archive.

    Parameters
    ----------
    archive : Path
        Its folder; pieces that were never finished, or cannot be read, are dropped.
    name : str
        Folder in it.
    tables : sequence of Table
        Of one piece, in the order they are written.
    """

    def __init__(self, archive: Path, name: str = PIECES, tables: Sequence[Table] = PIECE_TABLES) -> None:
        self.folder, self._tables = archive / name, tuple(tables)
        self.folder.mkdir(exist_ok=True)
        numbers = {int(file.name[:6]) for file in self.folder.glob("[0-9]*.parquet")}
        self.numbers = sorted(number for number in numbers if self._is_whole(number))
        for number in numbers - set(self.numbers):
            for table in self._tables:
                self.file(number, table).unlink(missing_ok=True)

    def file(self, number: int, table: Table) -> Path:
        """Give the file of a table of a piece."""
        return self.folder / f"{number:06d}.{table.name}.parquet"

    def files(self, table: Table) -> list[Path]:
        """Give the files of a table of all pieces."""
        return [self.file(number, table) for number in self.numbers]

    def keep(self, piece: Piece) -> None:
        """Keep one more piece."""
        number = self.numbers[-1] + 1 if self.numbers else 1
        for table, data in zip(self._tables, piece.tables, strict=True):
            write_piece(self.file(number, table), data)
        self.numbers.append(number)

    def drop(self) -> None:
        """Drop all of them."""
        shutil.rmtree(self.folder, ignore_errors=True)
        self.numbers = []

    def _is_whole(self, number: int) -> bool:
        pa = arrow()
        try:
            for table in self._tables:
                pa.parquet.read_metadata(self.file(number, table))
        except (OSError, pa.ArrowException):
            return False
        return True


def judged_pieces(archive: Path, by: str) -> Pieces:
    """Give the verdicts that an unfinished batch has made by the same rules; others are dropped.

    Parameters
    ----------
    archive : Path
        Its folder.
    by : str
        What is judged by, and by which version.

    Returns
    -------
    Pieces
    """
    told = archive / JUDGED / _BY
    if not told.is_file() or told.read_text(encoding="utf-8") != by:
        shutil.rmtree(archive / JUDGED, ignore_errors=True)
    pieces = Pieces(archive, JUDGED, JUDGED_TABLES)
    write_whole(told, by)
    return pieces


class DoneRecords:
    """Which bytes are reduced already under what is told of them: 32 bytes a file, however long the paths.

    Parameters
    ----------
    archive : Path
        The archive, its tables and its pieces.
    pieces : Pieces
        What an unfinished batch has done.
    """

    def __init__(self, archive: Path, pieces: Pieces) -> None:
        keys = bytearray()
        for told, sha256 in _done(archive, pieces):
            keys += _key(sha256, told)
        self._keys = np.sort(np.frombuffer(bytes(keys), dtype="S32"))

    def __len__(self) -> int:
        return len(self._keys)

    def holds(self, sha256: str, told: str) -> bool:
        """Tell whether these bytes need not be reduced again."""
        wanted = np.frombuffer(_key(sha256, told), dtype="S32")
        place = int(np.searchsorted(self._keys, wanted[0]))
        return place < len(self._keys) and bool(self._keys[place] == wanted[0])


def _key(sha256: str, told: str) -> bytes:
    return hashlib.sha256(f"{sha256} {told}".encode()).digest()


def _done(archive: Path, pieces: Pieces) -> Iterator[tuple[str, str]]:
    """Give what is told and the hash of every file that was read."""
    if FILES.path(archive).is_file() and PATHS.path(archive).is_file():
        places = read_rows(PATHS.path(archive), PATHS, columns=["path", "told"])
        for path, sha256 in read_rows(FILES.path(archive), FILES, columns=["path", "sha256"]):
            if sha256:  # both tables are sorted by path, and every path of files stands among the paths
                yield next(told for place, told in places if place == path), sha256
    for file in pieces.files(FILE_PIECES):
        for told, sha256 in read_rows(file, FILE_PIECES, columns=["told", "sha256"]):
            if sha256:
                yield told, sha256
