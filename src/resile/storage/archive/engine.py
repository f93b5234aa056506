"""The engine that sorts, joins and asks the tables of an archive: DuckDB, within a stated memory."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from resile.errors import MissingDependencyError, StorageError
from resile.storage.archive.parquet import ROWS_A_GROUP, arrow, arrow_schema
from resile.storage.archive.schema import Table

MEMORY_MB = 512
"""What the engine may hold; it goes to the disk beyond that [MB]."""


def duckdb() -> Any:
    """Give DuckDB.

    Raises
    ------
    MissingDependencyError
        Where it is not installed.
    """
    try:
        import duckdb
    except ImportError as error:
        raise MissingDependencyError(
            "an archive needs the libraries pyarrow, fsspec and duckdb; install them with: "
            "pip install 'resile[archive]'"
        ) from error
    return duckdb


@contextmanager
def engine(workplace: Path) -> Iterator[Any]:
    """Open an engine for one task.

    Parameters
    ----------
    workplace : Path
        Folder for what does not fit into memory.

    Yields
    ------
    duckdb.DuckDBPyConnection

    Raises
    ------
    StorageError
        The disk is full, or a table cannot be read.
    """
    library = duckdb()
    connection = library.connect(
        config={
            "memory_limit": f"{MEMORY_MB}MB",
            "temp_directory": str(workplace / "duckdb"),
            "threads": 2,
            "autoinstall_known_extensions": False,
            "autoload_known_extensions": False,
        }
    )
    try:
        yield connection
    except library.Error as error:
        raise StorageError(
            f"{workplace.parent}: the tables of the archive cannot be worked on: {error}"
        ) from error
    finally:
        connection.close()


def write_query(connection: Any, query: str, path: Path, table: Table) -> int:
    """Write what a query gives as one table; the same rows in the same order give the same bytes.

    Parameters
    ----------
    connection : duckdb.DuckDBPyConnection
        As `engine` gives it.
    query : str
        Gives the columns of the table in order, sorted.
    path : Path
        File to write.
    table : Table
        Which columns.

    Returns
    -------
    int
        How many rows.
    """
    pa, schema = arrow(), arrow_schema(table)
    count = 0
    with pa.parquet.ParquetWriter(path, schema, compression="zstd", compression_level=3) as writer:
        for group in _groups(connection.sql(query).to_arrow_reader(ROWS_A_GROUP), pa):
            writer.write_table(group.cast(schema).combine_chunks(), row_group_size=ROWS_A_GROUP)
            count += len(group)
    return count


def _groups(reader: Any, pa: Any) -> Iterator[Any]:
    """Cut what comes into groups of one size: where the engine cuts depends on its threads."""
    held: list[Any] = []
    rows = 0
    for batch in reader:
        held.append(batch)
        rows += len(batch)
        while rows >= ROWS_A_GROUP:
            together = pa.Table.from_batches(held)
            yield together.slice(0, ROWS_A_GROUP)
            rest = together.slice(ROWS_A_GROUP)
            held, rows = rest.to_batches(), len(rest)
    if rows:
        yield pa.Table.from_batches(held)
