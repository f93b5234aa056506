"""What keeping one noun changes in the current tables of others."""

from __future__ import annotations

from typing import Any

from sqlalchemy import Connection, update

from resile.records import register
from resile.records.register import Kept, SampleStage, StatementState
from resile.storage.shelves import BY_KIND, STAGES


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
