"""Nouns of the laboratory's record as typed tables: CSV for spreadsheets, Parquet for programs."""

from __future__ import annotations

import csv
import types
from collections.abc import Iterable, Iterator
from dataclasses import asdict, dataclass, fields, is_dataclass
from enum import Enum
from itertools import islice
from pathlib import Path
from typing import Any, get_args, get_type_hints

import orjson

from resile.records.register import Kept

_FORMULA = ("=", "+", "-", "@", "\t", "\r")
_LOT = 10_000
_KEPT = {"key": "text", "revision": "whole", "seq": "whole", "at": "text", "by": "text", "reason": "text"}


@dataclass(frozen=True, slots=True)
class TableColumns:
    """Columns of the table of one kind.

    Attributes
    ----------
    types : dict of str to str
        Name of each column and its type: text, number, whole, truth.
    """

    types: dict[str, str]

    @classmethod
    def of(cls, noun: type) -> TableColumns:
        """Give the columns of a kind of noun."""
        return cls(_KEPT | dict(_columns(noun, "")))

    def row(self, kept: Kept[Any]) -> dict[str, Any]:
        """Give one noun as a row."""
        about = {name: getattr(kept, name) for name in _KEPT}
        return about | dict(_values(kept.value, ""))


def _columns(noun: type, before: str) -> Iterator[tuple[str, str]]:
    hints = get_type_hints(noun)
    for field in fields(noun):
        kind = hints[field.name]
        if is_dataclass(kind) and isinstance(kind, type):
            yield from _columns(kind, f"{before}{field.name}_")
        else:
            yield f"{before}{field.name}", _type_of(kind)


def _type_of(kind: Any) -> str:
    inner = [part for part in get_args(kind) if part is not types.NoneType]
    if isinstance(kind, types.UnionType) and len(inner) == 1:
        kind = inner[0]
    return {float: "number", int: "whole", bool: "truth"}.get(kind, "text")


def _values(noun: Any, before: str) -> Iterator[tuple[str, Any]]:
    for field in fields(noun):
        value, name = getattr(noun, field.name), f"{before}{field.name}"
        if is_dataclass(value):
            yield from _values(value, f"{name}_")
        elif isinstance(value, Enum):
            yield name, value.value
        elif isinstance(value, tuple | list | dict):
            yield name, orjson.dumps(value, option=orjson.OPT_SORT_KEYS).decode() if value else ""
        else:
            yield name, value


def result_lines(results: Iterable[Kept[Any]]) -> Iterator[dict[str, Any]]:
    """Give every value of every result as a row of its own."""
    for kept in results:
        for line in kept.value.lines:
            yield {"result": kept.key, "run": kept.value.run, "sample": kept.value.sample, **asdict(line)}


RESULT_LINES = {
    "result": "text",
    "run": "text",
    "sample": "text",
    "quantity": "text",
    "value": "number",
    "unit": "text",
    "temperature_c": "number",
    "stress_kpa": "number",
}
"""Columns of `result_lines`."""


def cell(value: Any) -> Any:
    """Give a value as a cell of a CSV table: what a spreadsheet would take for a formula stays text.

    Parameters
    ----------
    value : object
        Text, number, truth or None.

    Returns
    -------
    object
        A text that begins like a formula stands behind an apostrophe.
    """
    if value is None:
        return ""
    if isinstance(value, bool):
        return "true" if value else "false"
    return f"'{value}" if isinstance(value, str) and value.startswith(_FORMULA) else value


def write_table(
    target: Path, columns: dict[str, str], rows: Iterable[dict[str, Any]], *, parquet: bool
) -> int:
    """Write a table as CSV, and as Parquet beside it.

    Parameters
    ----------
    target : Path
        Name of the file without its ending.
    columns : dict of str to str
        Name and type of each column.
    rows : iterable of dict
        The rows.
    parquet : bool
        Whether pyarrow is there.

    Returns
    -------
    int
        How many rows.
    """
    count, going = 0, iter(rows)
    typed = _ParquetFile(target.with_suffix(".parquet"), columns) if parquet else None
    with target.with_suffix(".csv").open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file)
        writer.writerow(columns)
        while lot := list(islice(going, _LOT)):
            writer.writerows([cell(row[name]) for name in columns] for row in lot)
            if typed:
                typed.write(lot)
            count += len(lot)
    if typed:
        typed.close()
    return count


class _ParquetFile:
    def __init__(self, path: Path, columns: dict[str, str]) -> None:
        import pyarrow as pa
        from pyarrow import parquet

        types_of = {"text": pa.string(), "number": pa.float64(), "whole": pa.int64(), "truth": pa.bool_()}
        self._arrow = pa
        self._schema = pa.schema([(name, types_of[kind]) for name, kind in columns.items()])
        self._writer = parquet.ParquetWriter(path, self._schema)

    def write(self, rows: list[dict[str, Any]]) -> None:
        self._writer.write_table(self._arrow.Table.from_pylist(rows, schema=self._schema))

    def close(self) -> None:
        self._writer.close()
