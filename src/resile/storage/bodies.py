"""Nouns to canonical JSON and back, and the hash that chains entries."""

from __future__ import annotations

import hashlib
from functools import cache
from typing import Any

import orjson

from resile.errors import InputError, RecordDamagedError
from resile.storage.shelves import BY_KIND

GENESIS = "0" * 64
"""What the first entry of a log is chained to."""


def body_of(noun: object) -> str:
    """Give a noun as canonical JSON: its attributes in their order, keys of a table sorted, numbers in full.

    Raises
    ------
    InputError
        Where a text in it is not Unicode.
    """
    try:
        return orjson.dumps(noun, option=orjson.OPT_SORT_KEYS).decode()
    except TypeError as error:
        raise InputError(f"this cannot be kept: {error}; write the text anew") from None


def noun_of(kind: str, body: str) -> Any:
    """Give the noun back.

    Raises
    ------
    RecordDamagedError
        Where the body is not one of this kind.
    """
    from pydantic import ValidationError

    try:
        return _adapter(kind).validate_json(body)
    except ValidationError as error:
        raise RecordDamagedError(
            f"the record holds a {kind} that cannot be read: {error.errors()[0]['msg']}"
        ) from None


@cache
def _adapter(kind: str) -> Any:
    from pydantic import TypeAdapter

    return TypeAdapter(BY_KIND[kind].noun)


def chained_hash(
    seq: int, at: str, by: str, kind: str, key: str, revision: int, reason: str, body: str, previous: str
) -> str:
    """Give the hash of an entry: SHA-256 of a JSON array of its fields and of the hash before."""
    return hashlib.sha256(
        orjson.dumps([seq, at, by, kind, key, revision, reason, body, previous])
    ).hexdigest()
