"""Bringing the tables of a record up to date."""

from __future__ import annotations

from pathlib import Path

from sqlalchemy import Engine, inspect, text

from resile.errors import StorageError

NEWEST = "0002"
"""The migration that this version of resile works with."""

_SCRIPTS = Path(__file__).parent / "migrations"


def bring_up_to_date(engine: Engine) -> None:
    """Run the migrations that a record has not had yet.

    Raises
    ------
    StorageError
        Where the record was made by a newer resile.
    """
    had = revision_of(engine)
    if had == NEWEST:
        return
    known = {path.name.partition("_")[0] for path in (_SCRIPTS / "versions").glob("0*.py")}
    if had is not None and had not in known:
        raise StorageError(
            f"{engine.url.render_as_string()}: a newer resile made this record (its tables are at {had}, "
            f"this version knows {NEWEST}); install the newer resile"
        )
    from alembic import command
    from alembic.config import Config

    config = Config()
    config.set_main_option("script_location", str(_SCRIPTS))
    with engine.connect().execution_options(resile_writes=True) as connection, connection.begin():
        if engine.dialect.name == "postgresql":
            connection.execute(text("SELECT pg_advisory_xact_lock(7243511)"))
        config.attributes["connection"] = connection
        command.upgrade(config, "head")


def revision_of(engine: Engine) -> str | None:
    """Give the migration that a record has had; None for an empty database."""
    with engine.connect() as connection:
        if not inspect(connection).has_table("alembic_version"):
            return None
        return connection.execute(text("SELECT version_num FROM alembic_version")).scalar()
