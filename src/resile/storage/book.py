"""The pen: what one transaction writes into the record."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, TypeVar

from sqlalchemy import Connection, insert, select, text, update

from resile.errors import ConflictError, InputError
from resile.records.register import Kept
from resile.storage.bodies import GENESIS, body_of, chained_hash
from resile.storage.consequences import stand_on_shelf
from resile.storage.raw_files import PackedFile, keep_file
from resile.storage.reading import Reading
from resile.storage.shelves import BY_NOUN
from resile.storage.shelves.shelf import Shelf
from resile.storage.tables import COUNTER, ENTRY

Noun = TypeVar("Noun")


class Book(Reading):
    """One transaction on the record: all that it keeps is kept, or nothing.

    Parameters
    ----------
    connection : Connection
        Inside a transaction that alone may write.
    by : str
        Key of the person who writes.
    at : str
        When, ISO 8601 in UTC.
    """

    def __init__(self, connection: Connection, *, by: str, at: str) -> None:
        super().__init__(connection)
        self.by = by
        self.at = at
        last = connection.execute(
            select(ENTRY.c.seq, ENTRY.c.hash).order_by(ENTRY.c.seq.desc()).limit(1)
        ).first()
        self._seq: int = last.seq if last else 0
        self._hash: str = last.hash if last else GENESIS

    def keep_file(self, file: bytes | PackedFile) -> str:
        """Keep a file byte for byte.

        Returns
        -------
        str
            Its SHA-256.
        """
        packed = file if isinstance(file, PackedFile) else PackedFile.of(file)
        keep_file(self.connection, packed)
        return packed.sha256

    def keep(
        self, noun: Noun, *, key: str = "", seen: int | None = None, reason: str = "", by: str = ""
    ) -> Kept[Noun]:
        """Keep a noun: a new one, or a new revision of one.

        Parameters
        ----------
        noun : object
            A noun of `resile.records.register`.
        key : str
            Key of the noun that is revised; empty for a new one.
        seen : int or None
            Revision that the person saw and corrects; needed with a key.
        reason : str
            Why it is revised; needed with a key.
        by : str
            Key of the person, where it is not the one of the transaction (the first person keeps themselves).

        Raises
        ------
        ConflictError
            Where somebody else revised it in between, or a value that may stand once stands already.
        InputError
            Where a revision gives no reason.
        """
        shelf = BY_NOUN[type(noun)]
        if "\0" in reason:
            raise InputError("the reason holds a zero byte; leave it out")
        if key:
            revision = self._next_revision(shelf, key, seen, reason)
        else:
            key, revision = self._new_keys(shelf, 1)[0], 1
        return self._entered(shelf, [noun], [key], revision, reason, by)[0]

    def keep_many(self, nouns: Sequence[Noun]) -> list[Kept[Noun]]:
        """Keep many new nouns of one kind, in order: the same as `keep` for each, faster."""
        if not nouns:
            return []
        shelf = BY_NOUN[type(nouns[0])]
        return self._entered(shelf, nouns, self._new_keys(shelf, len(nouns)), 1, "", "")

    def _entered(
        self, shelf: Shelf, nouns: Sequence[Noun], keys: list[str], revision: int, reason: str, by: str
    ) -> list[Kept[Noun]]:
        entries, kept = [], []
        for noun, key in zip(nouns, keys, strict=True):
            entry = self._link(shelf.kind, key, revision, reason, body_of(noun), by or self.by)
            entries.append(entry)
            kept.append(Kept(noun, key, revision, entry["seq"], self.at, entry["by"], reason))
        self.connection.execute(insert(ENTRY), entries)
        stand_on_shelf(self.connection, shelf, kept)
        return kept

    def _link(self, kind: str, key: str, revision: int, reason: str, body: str, by: str) -> dict[str, Any]:
        seq = self._seq + 1
        linked = chained_hash(seq, self.at, by, kind, key, revision, reason, body, self._hash)
        entry = {
            "seq": seq, "at": self.at, "by": by, "kind": kind, "key": key, "revision": revision,
            "reason": reason, "body": body, "previous": self._hash, "hash": linked,
        }  # fmt: skip
        self._seq, self._hash = seq, linked
        return entry

    def _next_revision(self, shelf: Shelf, key: str, seen: int | None, reason: str) -> int:
        if not reason.strip():
            raise InputError(f"{shelf.said} {key}: a correction needs its reason; nothing was changed")
        now = self.revision_of(shelf.noun, key)
        if seen is not None and seen != now:
            raise ConflictError(
                f"{shelf.said} {key} was changed while you worked on it: "
                f"you saw revision {seen}, it is now at {now}; "
                "look at the newer one, then make your correction again"
            )
        return now + 1

    def _new_keys(self, shelf: Shelf, count: int) -> list[str]:
        raised = update(COUNTER).where(COUNTER.c.kind == shelf.kind).values(last=COUNTER.c.last + count)
        last = self.connection.execute(raised.returning(COUNTER.c.last)).scalar()
        if last is None:
            self.connection.execute(insert(COUNTER), {"kind": shelf.kind, "last": count})
            last = count
        return [f"{shelf.prefix}-{number:06d}" for number in range(last - count + 1, last + 1)]


def lock_the_log(connection: Connection) -> None:
    """Let one transaction alone write, until it ends (SQLite has done so when the transaction began)."""
    if connection.dialect.name == "postgresql":
        connection.execute(text("SELECT pg_advisory_xact_lock(7243510)"))
