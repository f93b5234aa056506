"""How migrations write tables, one way for all of them.

Never change what it writes: a released migration is history. It repeats `resile.storage.tables` on
purpose: the tables of today may change, what a migration made may not.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import sqlalchemy as sa
from alembic import op


def line(length: int) -> sa.String:
    """Give the type of one line of text, compared byte by byte."""
    return sa.String(length).with_variant(sa.String(length, collation="C"), "postgresql")


def prose() -> sa.Text:
    """Give the type of text of any length, compared byte by byte."""
    return sa.Text().with_variant(sa.Text(collation="C"), "postgresql")


def place() -> sa.BigInteger:
    """Give the type of a place in the log."""
    return sa.BigInteger().with_variant(sa.Integer(), "sqlite")


def key(name: str) -> sa.Column[Any]:
    """Give a column for the key of a noun."""
    return text(name, 16)


def text(name: str, length: int = 200) -> sa.Column[Any]:
    """Give a column for one line of text."""
    return sa.Column(name, line(length), nullable=False)


def number(name: str) -> sa.Column[Any]:
    """Give a column for a number that need not be known."""
    return sa.Column(name, sa.Float(), nullable=True)


def truth(name: str) -> sa.Column[Any]:
    """Give a column for yes or no."""
    return sa.Column(name, sa.Boolean(), nullable=False)


def make_current_table(
    name: str,
    *columns: sa.Column[Any],
    unique: Sequence[str] = (),
    sought: Sequence[str | Sequence[str]] = (),
) -> None:
    """Make the current table of a kind of noun: key, revision, place of its newest entry, its own columns.

    Parameters
    ----------
    name : str
        The kind.
    *columns : Column
        What is its own.
    unique : sequence of str
        Columns that together may stand only once.
    sought : sequence of str or of sequence of str
        Columns it is searched by, each with an index, or several with an index together.
    """
    constraints: list[sa.Constraint] = [
        sa.ForeignKeyConstraint(["seq"], ["entry.seq"], name=op.f(f"fk_{name}_seq")),
        sa.PrimaryKeyConstraint("key", name=op.f(f"pk_{name}")),
    ]
    if unique:
        constraints.append(sa.UniqueConstraint(*unique, name=op.f(f"uq_{name}_{'_'.join(unique)}")))
    op.create_table(
        name,
        key("key"),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("seq", place(), nullable=False),
        *columns,
        *constraints,
    )
    for one in sought:
        make_index(name, [one] if isinstance(one, str) else list(one))


def make_index(table: str, columns: Sequence[str], *, name: str = "") -> None:
    """Make an index, named after its table and columns unless it has a name of its own."""
    op.create_index(op.f(name or f"ix_{table}_{'_'.join(columns)}"), table, list(columns), unique=False)
