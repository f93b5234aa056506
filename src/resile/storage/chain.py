"""Walking along the chain of the log, and saying which link is wrong and how.

An entry's hash holds its place, all its columns and the hash before. From that follows what was done:
the hash fits at another place (moved, or something inserted or taken out before it), it fits no place
(a column was changed), or the entry fits itself but not the one before (that one was exchanged).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import astuple

from resile.errors import InputError
from resile.records.register import Entry
from resile.records.register.audit import Fault
from resile.storage.bodies import GENESIS, chained_hash

_NEAR = 200
"""How many places up and down are tried, to tell a moved entry from a changed one."""


def hash_of(entry: Entry, seq: int | None = None) -> str:
    """Give the hash that an entry should have, at its own place or at another."""
    own_seq, *columns, _ = astuple(entry)
    return chained_hash(own_seq if seq is None else seq, *columns)


def head_of(seq: int, linked: str) -> str:
    """Give a head as people note it."""
    return f"{seq}:{linked}"


def read_head(text: str) -> tuple[int, str]:
    """Read a head that was noted elsewhere: ``SEQ:HASH``.

    Raises
    ------
    InputError
        Where it is none.
    """
    seq, _, linked = text.strip().partition(":")
    if not seq.isdigit() or len(linked) != 64 or set(linked.lower()) - set("0123456789abcdef"):
        raise InputError(
            f"'{text}' is no head of a log: needed is SEQ:HASH, as resile audit verify prints it"
        )
    return int(seq), linked.lower()


class ChainWalk:
    """A walk along the log, entry by entry.

    Attributes
    ----------
    faults : list of Fault
        What was found so far.
    seq, hash : int, str
        Place and hash of the last entry.
    """

    def __init__(self, head: str = "") -> None:
        self.faults: list[Fault] = []
        self.seq, self.hash = 0, GENESIS
        self.last_at = ""
        self._noted = read_head(head) if head else None
        self._shift = 0
        self._moved = (0, 0, 0)

    def along(self, entries: Iterable[Entry]) -> Iterator[Entry]:
        """Pass the entries on, in the order of their places, after each was compared."""
        yield from self.along_some(entries)
        self._compare_end()

    def along_some(self, entries: Iterable[Entry]) -> Iterator[Entry]:
        """Pass some entries on, of a log that goes on after them."""
        for entry in entries:
            self._compare(entry)
            self.seq, self.hash, self.last_at = entry.seq, entry.hash, entry.at
            yield entry

    def _compare(self, entry: Entry) -> None:
        if entry.seq != self.seq + 1:
            self._say_missing(self.seq + 1, entry.seq - 1)
        if hash_of(entry) != entry.hash:
            self._say_unfit(entry)
        elif entry.previous != self.hash and entry.seq == self.seq + 1:
            self._say_exchanged(entry)
        if self._noted and entry.seq == self._noted[0] and entry.hash != self._noted[1]:
            self._say(
                entry.seq,
                "does not have the hash that was noted elsewhere: the log was written anew up to here",
            )

    def _say_unfit(self, entry: Entry) -> None:
        was = self._kept_as(entry)
        if was is None:
            self._say(
                entry.seq,
                f"({entry.kind} {entry.key}, revision {entry.revision}) was changed after it was kept: "
                "its columns do not give its hash",
            )
        elif self._moved[1] == entry.seq - 1 and self._moved[2] == was - entry.seq:
            self._moved = (self._moved[0], entry.seq, self._moved[2])
            self.faults[-1] = self._moved_fault()
        else:
            self._moved = (entry.seq, entry.seq, was - entry.seq)
            self.faults.append(self._moved_fault())

    def _moved_fault(self) -> Fault:
        first, last, step = self._moved
        if first == last:
            return Fault(
                f"entry {first}",
                f"was kept as entry {first + step}: entries were inserted, taken out or reordered",
                first,
            )
        return Fault(
            f"entries {first} to {last}",
            f"were kept as entries {first + step} to {last + step}: others were inserted or taken out",
            first,
        )

    def _say_exchanged(self, entry: Entry) -> None:
        if self.faults and self.faults[-1].seq == self.seq:
            return  # said of the entry before already
        if self.seq == 0:
            self._say(entry.seq, "does not begin a log: it was kept after entries that are no longer there")
        else:
            self._say(self.seq, f"was exchanged: entry {entry.seq}, which is whole, follows another hash")

    def _kept_as(self, entry: Entry) -> int | None:
        """Give the place at which the hash of an entry fits; None where it fits nowhere near."""
        steps = [self._shift, *(step for far in range(1, _NEAR + 1) for step in (-far, far))]
        for step in steps:
            if entry.seq + step > 0 and hash_of(entry, entry.seq + step) == entry.hash:
                self._shift = step
                return entry.seq + step
        return None

    def _say_missing(self, first: int, last: int) -> None:
        if first == last:
            self._say(first, "is missing from the log")
        else:
            self.faults.append(Fault(f"entries {first} to {last}", "are missing from the log", first))

    def _say(self, seq: int, said: str) -> None:
        self.faults.append(Fault(f"entry {seq}", said, seq))

    def _compare_end(self) -> None:
        if self._noted and self._noted[0] > self.seq:
            self.faults.append(
                Fault(
                    "end of the log",
                    f"the log ends at entry {self.seq}, and entry {self._noted[0]} was noted elsewhere: "
                    "its end was cut off",
                    self.seq,
                )
            )
