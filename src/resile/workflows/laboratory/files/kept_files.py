"""Giving out the files of the record by their hash, to those who may see what hangs on them."""

from __future__ import annotations

import re
from typing import Any

from resile.errors import PermissionRefusedError, RecordNotFoundError
from resile.records.register import Actor, Conditioning, Run, Statement
from resile.storage.laboratory_record import LaboratoryRecord
from resile.storage.reading import Reading
from resile.workflows.laboratory.access.permissions import require
from resile.workflows.laboratory.statements.statements_seen import was_issued

_HASH = re.compile(r"[0-9a-f]{64}")


def file_by_hash(record: LaboratoryRecord, actor: Actor, sha256: str) -> tuple[str, bytes]:
    """Give a file of the record byte for byte, and the name under which it came.

    Parameters
    ----------
    record, actor
        The record, and who asks.
    sha256 : str
        Hash of the file.

    Raises
    ------
    RecordNotFoundError
        Where the record holds none; also where a customer asks for what is not on a statement of theirs, so
        that a guess tells nothing.
    """
    if not _HASH.fullmatch(sha256):
        raise RecordNotFoundError("this is not the SHA-256 of a file: 64 digits from 0 to f are needed")
    with record.reading() as reading:
        if actor.customer or not actor.may("runs.see"):
            return _issued_to(reading, actor, sha256), reading.file(sha256)
        require(actor, "runs.see")
        return _name(reading, sha256), reading.file(sha256)


def _issued_to(reading: Reading, actor: Actor, sha256: str) -> str:
    if not actor.may("statements.see"):
        raise PermissionRefusedError(f"{actor.name} may not see files of the record")
    own: dict[str, Any] = {"customer": actor.customer} if actor.customer else {}
    for kept in reading.find(Statement, **own):
        for name, held in kept.value.files.items():
            if held == sha256 and was_issued(kept.value):
                return name
    raise RecordNotFoundError("the record holds no such file for you")


def _name(reading: Reading, sha256: str) -> str:
    runs = reading.find(Run, file=sha256, limit=1)
    if runs:
        return runs[0].value.file_name
    ageings = reading.find(Conditioning, file=sha256, limit=1)
    return ageings[0].value.file_name if ageings else f"{sha256[:12]}.dat"
