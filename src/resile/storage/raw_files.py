"""Files kept byte for byte: named by their hash, compressed, and checked whenever they are read."""

from __future__ import annotations

import gzip
import hashlib
import zlib
from dataclasses import dataclass

from sqlalchemy import Connection, select
from sqlalchemy.dialects import postgresql, sqlite

from resile.errors import RecordDamagedError, RecordNotFoundError
from resile.storage.tables import RAW_FILE


@dataclass(frozen=True, slots=True)
class PackedFile:
    """A file made ready to be kept, outside the transaction that keeps it.

    Attributes
    ----------
    sha256 : str
        Its hash.
    size : int
        Its size [bytes].
    packed : bytes
        The file, compressed (gzip, without a time, so that equal files are packed alike).
    """

    sha256: str
    size: int
    packed: bytes

    @classmethod
    def of(cls, data: bytes) -> PackedFile:
        """Pack a file."""
        return cls(hashlib.sha256(data).hexdigest(), len(data), gzip.compress(data, 6, mtime=0))

    def open(self) -> bytes:
        """Give the file back, checked against its hash."""
        try:
            data = gzip.decompress(self.packed)
        except (OSError, EOFError, zlib.error):
            data = b""
        if len(data) != self.size or hashlib.sha256(data).hexdigest() != self.sha256:
            raise RecordDamagedError(
                f"the file {self.sha256[:12]}… in the record is not the one that was kept: its bytes "
                "no longer give its SHA-256; restore it from a backup"
            )
        return data


def keep_file(connection: Connection, file: PackedFile) -> None:
    """Keep a file; one that is there already is left as it is."""
    insert = postgresql.insert if connection.dialect.name == "postgresql" else sqlite.insert
    row = {"sha256": file.sha256, "size": file.size, "packed": file.packed}
    connection.execute(insert(RAW_FILE).on_conflict_do_nothing(), row)


def read_file(connection: Connection, sha256: str) -> bytes:
    """Give a file, checked against its hash.

    Raises
    ------
    RecordNotFoundError
        Where the record holds no such file.
    RecordDamagedError
        Where the bytes are not those that were kept.
    """
    row = connection.execute(select(RAW_FILE).where(RAW_FILE.c.sha256 == sha256)).one_or_none()
    if row is None:
        raise RecordNotFoundError(f"the record holds no file with SHA-256 {sha256}")
    return PackedFile(row.sha256, row.size, row.packed).open()
