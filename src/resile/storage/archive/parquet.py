"""Tables of an archive as Parquet: rows in, rows out, in bounded memory."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import islice
from pathlib import Path
from typing import Any

from resile.errors import InputError, MissingDependencyError, RecordNotFoundError
from resile.storage.archive.schema import Table

ROWS_A_GROUP = 32_768
"""Rows of a row group: what is held in memory at once while a table is written."""
_CODE = {"compression": "zstd", "compression_level": 3, "write_statistics": True}

Row = tuple[Any, ...]


def arrow() -> Any:
    """Give pyarrow with its Parquet module.

    Returns
    -------
    module
        ``pyarrow``; ``pyarrow.parquet`` is loaded.

    Raises
    ------
    MissingDependencyError
        Where it is not installed.
    """
    try:
        import pyarrow
        import pyarrow.parquet
    except ImportError as error:
        raise MissingDependencyError(
            "an archive needs the libraries pyarrow, fsspec and duckdb; install them with: "
            "pip install 'resile[archive]'"
        ) from error
    return pyarrow


def arrow_schema(table: Table) -> Any:
    """Give the Arrow schema of a table.

    Parameters
    ----------
    table : Table
        One of the tables of an archive.

    Returns
    -------
    pyarrow.Schema
        Columns in order; only numbers may be null.
    """
    pa = arrow()
    kinds = {
        "text": pa.string(),
        "number": pa.float64(),
        "whole": pa.int64(),
        "texts": pa.list_(pa.field("item", pa.string(), nullable=False)),
    }
    return pa.schema(
        [pa.field(one.name, kinds[one.kind], nullable=one.kind == "number") for one in table.columns]
    )


def write_rows(path: Path, table: Table, rows: Iterable[Sequence[Any]]) -> int:
    """Write rows as one Parquet file, whole or not at all; the same rows give the same bytes.

    Parameters
    ----------
    path : Path
        File to write or replace.
    table : Table
        Which columns.
    rows : iterable of sequence
        Values in the order of the columns, sorted already; taken as they come, a row group at a time.

    Returns
    -------
    int
        How many rows.
    """
    pa, schema = arrow(), arrow_schema(table)
    new = path.with_name(f".{path.name}.new")
    going, count = iter(rows), 0
    with pa.parquet.ParquetWriter(new, schema, **_CODE) as writer:
        while lot := list(islice(going, ROWS_A_GROUP)):
            columns = [
                pa.array(values, type=kind.type)
                for values, kind in zip(zip(*lot, strict=True), schema, strict=True)
            ]
            writer.write_table(pa.Table.from_arrays(columns, schema=schema), row_group_size=ROWS_A_GROUP)
            count += len(lot)
    new.replace(path)
    return count


def read_rows(path: Path, table: Table, *, columns: Sequence[str] = (), batch: int = 4096) -> Iterator[Row]:
    """Read the rows of a Parquet file one after another, a batch in memory at a time.

    Parameters
    ----------
    path : Path
        File of the table.
    table : Table
        Which columns it must have.
    columns : sequence of str
        The ones to read, in order; all where not given.
    batch : int
        Rows to hold at once.

    Yields
    ------
    tuple
        Values in the order of the columns.

    Raises
    ------
    RecordNotFoundError
        Where there is no such file.
    InputError
        Where it is damaged, or has other columns.
    """
    pa = arrow()
    wanted = list(columns) or list(table.names)
    if not path.is_file():
        raise RecordNotFoundError(f"{path}: the archive holds no table {table.name}")
    try:
        with pa.parquet.ParquetFile(path) as file:
            if tuple(file.schema_arrow.names) != table.names:
                raise InputError(f"{path}: the columns are not those of the table {table.name} of an archive")
            for part in file.iter_batches(batch_size=batch, columns=wanted):
                values = [part.column(name).to_pylist() for name in wanted]
                yield from zip(*values, strict=True)
    except (pa.ArrowException, OSError) as error:
        raise InputError(
            f"{path}: the table is damaged ({error}); resile batch --again makes it anew"
        ) from error
