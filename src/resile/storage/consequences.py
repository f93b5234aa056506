"""What keeping nouns changes in the current tables: their own rows, and those of others."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from sqlalchemy import Connection, bindparam, insert, or_, update
from sqlalchemy.exc import IntegrityError

from resile.errors import ConflictError
from resile.records import register
from resile.records.register import Kept, SampleStage, StatementState
from resile.storage.shelves import BY_KIND
from resile.storage.shelves.samples import STAGES
from resile.storage.shelves.shelf import Shelf


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
    follow(connection, kept)


def follow(connection: Connection, kept: Sequence[Kept[Any]]) -> None:
    """Bring the current tables of other nouns up to date after nouns of one kind were kept."""
    first = kept[0].value
    if isinstance(first, register.Result):
        run = BY_KIND["run"].table
        reduced = update(run).where(run.c.key == bindparam("of"))
        rows = [
            {"of": one.value.run, "result": one.key, "worst": one.value.worst, "reduced": one.at}
            for one in kept
        ]
        connection.execute(reduced, rows)
        _reach(connection, [one.value.sample for one in kept], SampleStage.TESTED)
    elif isinstance(first, register.Verdict):
        _reach(connection, [one.value.sample for one in kept], SampleStage.GRADED)
    elif isinstance(first, register.Statement):
        issued = [one.value.sample for one in kept if one.value.state is StatementState.ISSUED]
        _reach(connection, issued, SampleStage.STATED)
    elif isinstance(first, register.Disposal):
        retention = BY_KIND["retention"].table
        ended = update(retention).where(retention.c.key == bindparam("of")).values(ended=True)
        connection.execute(ended, [{"of": one.value.retention} for one in kept])
        _reach(connection, [one.value.sample for one in kept], SampleStage.DISPOSED)


def _reach(connection: Connection, samples: Sequence[str], stage: SampleStage) -> None:
    """Move samples on to a stage, never back."""
    sample = BY_KIND["sample"].table
    earlier = STAGES[: STAGES.index(stage.value)]
    rows = [{"of": key} for key in dict.fromkeys(samples) if key]
    if rows:
        reached = update(sample).where(
            sample.c.key == bindparam("of"), or_(*(sample.c.stage == one for one in earlier))
        )
        connection.execute(reached.values(stage=stage.value), rows)
