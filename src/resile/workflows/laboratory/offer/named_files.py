"""A kept noun that stands on a file and tables beside it: ranges of binders and blend books."""

from __future__ import annotations

from resile.errors import RecordNotFoundError
from resile.records.reading import HeldFile
from resile.records.register import BlendBookRecord, RangeRecord
from resile.storage.reading import Reading


def file_with_tables(reading: Reading, noun: BlendBookRecord | RangeRecord) -> HeldFile:
    """Give the file of a noun with what it names beside it, as they came."""
    beside = tuple(HeldFile(name, reading.file(sha)) for name, sha in noun.beside.items())
    return HeldFile(noun.file_name, reading.file(noun.file), beside)


def file_by_name(reading: Reading, noun: BlendBookRecord | RangeRecord, name: str) -> HeldFile:
    """Give one of the files of a noun, as it came.

    Raises
    ------
    RecordNotFoundError
        Where it names no such file.
    """
    sha = {**noun.beside, noun.file_name: noun.file}.get(name)
    if sha is None:
        raise RecordNotFoundError(f"{noun.name}: there is no file '{name}'")
    return HeldFile(name, reading.file(sha))
