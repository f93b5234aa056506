"""What keeping nouns changes in the current tables: their own rows, and those of others."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from sqlalchemy import Connection, insert, update
from sqlalchemy.exc import IntegrityError

from resile.errors import ConflictError
from resile.records import register
from resile.records.register import Kept, SampleStage, StatementState
from resile.storage.shelves import BY_KIND, STAGES, Shelf


def stand_on_shelf(connection: Connection, shelf: Shelf, kept: Sequence[Kept[Any]]) -> None:
    """Bring the current tables up to date after nouns were kept: first revisions of one kind, or one later.

    Raises
    ------
    ConflictError
        Where a value that may stand once stands already.
    """
    rows = [
        {"key": one.key, "revision": one.revision, "seq": one.seq, **shelf.row(one.value)} for one in kept
    ]
    try:
        if kept[0].revision == 1:
            connection.execute(insert(shelf.table), [row | shelf.followed for row in rows])
        else:
            own = shelf.table.c.key == kept[0].key
            connection.execute(update(shelf.table).where(own).values(rows[0]))
    except IntegrityError as error:
        raise ConflictError(
            shelf.once or f"this {shelf.said} conflicts with one that is kept already"
        ) from error
    for one in kept:
        follow(connection, one)


def follow(connection: Connection, kept: Kept[Any]) -> None:
    """Bring the current tables of other nouns up to date after one was kept."""
    noun = kept.value
    if isinstance(noun, register.Result):
        table = BY_KIND["run"].table
        row = {"result": kept.key, "worst": noun.worst, "reduced": kept.at}
        connection.execute(update(table).where(table.c.key == noun.run).values(row))
        _reach(connection, noun.sample, SampleStage.TESTED)
    elif isinstance(noun, register.Verdict):
        _reach(connection, noun.sample, SampleStage.GRADED)
    elif isinstance(noun, register.Statement) and noun.state is StatementState.ISSUED:
        _reach(connection, noun.sample, SampleStage.STATED)
    elif isinstance(noun, register.Disposal):
        table = BY_KIND["retention"].table
        connection.execute(update(table).where(table.c.key == noun.retention).values(ended=True))
        _reach(connection, noun.sample, SampleStage.DISPOSED)


def _reach(connection: Connection, sample: str, stage: SampleStage) -> None:
    """Move a sample on to a stage, never back."""
    table = BY_KIND["sample"].table
    earlier = STAGES[: STAGES.index(stage.value)]
    if sample:
        reached = update(table).where(table.c.key == sample, table.c.stage.in_(earlier))
        connection.execute(reached.values(stage=stage.value))
