"""What an audit of the record found."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Fault:
    """Something in the record that is not as it was kept.

    Attributes
    ----------
    where : str
        Entry, table or file.
    said : str
        What was found, in one sentence.
    seq : int or None
        Place in the log, where it is one of an entry.
    """

    where: str
    said: str
    seq: int | None = None


@dataclass(frozen=True, slots=True)
class Audit:
    """What verifying the whole record found.

    Attributes
    ----------
    entries, files : int
        How many entries of the log and files were gone through.
    file_bytes : int
        Their size together [bytes], as they came.
    unnamed_files : int
        Files that no entry names: no fault.
    head : str
        Last entry and its hash, ``SEQ:HASH``: noted elsewhere, it proves later that no entry was cut off.
    last_at : str
        When the last entry was kept; empty for an empty record.
    faults : tuple of Fault
        What is wrong; none for a record that stands.
    """

    entries: int
    files: int
    file_bytes: int
    unnamed_files: int
    head: str
    last_at: str = ""
    faults: tuple[Fault, ...] = ()

    @property
    def stands(self) -> bool:
        """Tell whether nothing is wrong."""
        return not self.faults


@dataclass(frozen=True, slots=True)
class FieldChange:
    """One value that a revision changed.

    Attributes
    ----------
    name : str
        Name of the value; of a part, with the name of the whole before it: ``asked.specification``.
    before, after : object
        What stood, and what stands; None where there was nothing.
    """

    name: str
    before: object
    after: object
