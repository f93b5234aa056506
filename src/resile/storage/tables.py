"""The tables of the record."""

from __future__ import annotations

from sqlalchemy import (
    BigInteger,
    Column,
    ForeignKey,
    Index,
    Integer,
    LargeBinary,
    MetaData,
    String,
    Table,
    Text,
    UniqueConstraint,
)

METADATA = MetaData(
    naming_convention={
        "ix": "ix_%(column_0_label)s",
        "uq": "uq_%(table_name)s_%(column_0_N_name)s",
        "fk": "fk_%(table_name)s_%(column_0_name)s",
        "pk": "pk_%(table_name)s",
    }
)

SEQ = BigInteger().with_variant(Integer(), "sqlite")


def line(length: int) -> String:
    """Give the type of one line of text: compared byte by byte on every database, whatever its language."""
    return String(length).with_variant(String(length, collation="C"), "postgresql")


def prose() -> Text:
    """Give the type of text of any length, compared byte by byte as well."""
    return Text().with_variant(Text(collation="C"), "postgresql")


KEY = line(16)
SHA256 = line(64)

ENTRY = Table(
    "entry",
    METADATA,
    Column("seq", SEQ, primary_key=True, autoincrement=False),
    Column("at", line(32), nullable=False),
    Column("by", KEY, nullable=False),
    Column("kind", line(32), nullable=False),
    Column("key", KEY, nullable=False),
    Column("revision", Integer, nullable=False),
    Column("reason", prose(), nullable=False),
    Column("body", prose(), nullable=False),
    Column("previous", SHA256, nullable=False),
    Column("hash", SHA256, nullable=False),
    UniqueConstraint("key", "revision"),
    Index("ix_entry_by", "by", "seq"),
)
"""The log. Triggers of the first migration refuse to change or delete a row."""

RAW_FILE = Table(
    "raw_file",
    METADATA,
    Column("sha256", SHA256, primary_key=True),
    Column("size", BigInteger, nullable=False),
    Column("packed", LargeBinary, nullable=False),
)
"""Files byte for byte, by hash, compressed. Triggers refuse to change or delete a row, as for the log."""

COUNTER = Table(
    "counter",
    METADATA,
    Column("kind", line(32), primary_key=True),
    Column("last", BigInteger, nullable=False),
)
"""The last number given to a key of a kind."""

CREDENTIAL = Table(
    "credential",
    METADATA,
    Column("person", KEY, primary_key=True),
    Column("secret", prose(), nullable=False),
    Column("changed", line(32), nullable=False),
)
"""What a password is checked against; outside the log, so that no old one is kept."""

TOKEN = Table(
    "token",
    METADATA,
    Column("digest", SHA256, primary_key=True),
    Column("person", KEY, nullable=False, index=True),
    Column("name", prose(), nullable=False),
    Column("made", line(32), nullable=False),
    Column("expires", line(32), nullable=False),
    Column("used", line(32), nullable=False),
)
"""Tokens of programs, by the digest of the secret."""

SESSION = Table(
    "session",
    METADATA,
    Column("digest", SHA256, primary_key=True),
    Column("person", KEY, nullable=False, index=True),
    Column("made", line(32), nullable=False),
    Column("seen", line(32), nullable=False),
    Column("expires", line(32), nullable=False, index=True),
    Column("body", prose(), nullable=False),
)
"""Who is signed in, by the digest of the secret in the cookie."""

INVITATION = Table(
    "invitation",
    METADATA,
    Column("person", KEY, primary_key=True),
    Column("digest", SHA256, nullable=False, unique=True),
    Column("expires", String(32), nullable=False),
)
"""Who may choose a password with a link that was shown once, by the digest of its secret; one a person."""

LAST_SIGN_IN = Table(
    "last_sign_in",
    METADATA,
    Column("person", KEY, primary_key=True),
    Column("at", String(32), nullable=False),
)
"""When each person last signed in; sessions are forgotten when they are over."""

ATTEMPT = Table(
    "attempt",
    METADATA,
    Column("id", SEQ, primary_key=True, autoincrement=True),
    Column("what", line(120), nullable=False),
    Column("at", line(32), nullable=False),
    Index("ix_attempt_what", "what", "at"),
)
"""Attempts to sign in, for the limit on their rate."""


def current_table(name: str, *columns: Column[object] | Index | UniqueConstraint) -> Table:
    """Make the current table of a kind: key, revision, place of its newest entry, what is searched by."""
    return Table(
        name,
        METADATA,
        Column("key", KEY, primary_key=True),
        Column("revision", Integer, nullable=False),
        Column("seq", SEQ, ForeignKey("entry.seq"), nullable=False),
        *columns,
    )
