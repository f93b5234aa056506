"""Folding: pieces and what the archive holds become its new tables, the same for any number of workers.

What a file gives depends on its bytes and on what is told of it, and on nothing else, so it does not matter
in which piece it stands. The newest sight of a path counts; bytes at several paths are one file, told of by
its first path. New tables are made in ``next`` and moved at the end: `commit` can be ended at any moment and
done again.
"""

from __future__ import annotations

import shutil
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Any

from resile.storage.archive.counting import AS_MADE, GROUP, counted_results
from resile.storage.archive.engine import write_query
from resile.storage.archive.pieces import (
    FILE_PIECES,
    JUDGED,
    JUDGED_PIECES,
    RESULT_PIECES,
    VERDICT_PIECES,
    Pieces,
)
from resile.storage.archive.schema import (
    FILES,
    PATHS,
    PIECES,
    REFUSED,
    RESULTS,
    STATEMENT,
    SUMMARY,
    VERDICTS,
    Table,
    write_whole,
)

NEXT = "next"
_COMPLETE = "complete"
_PARTS = (
    *(f"{table.name}.parquet" for table in (FILES, RESULTS, VERDICTS, PATHS)),
    REFUSED,
    SUMMARY,
    STATEMENT,
)

_GROUP = GROUP.format(sha256="sha256")
_GROUP_OF_VERDICT = GROUP.format(sha256="sha256[1]")
_NUMBER = r"regexp_extract(filename, '([0-9]+)\.[a-z]+\.parquet$', 1)::INT AS piece"


def next_folder(archive: Path) -> Path:
    """Make an empty folder for the next tables of an archive."""
    folder = archive / NEXT
    shutil.rmtree(folder, ignore_errors=True)
    folder.mkdir()
    return folder


def fold_records(connection: Any, archive: Path, pieces: Pieces, into: Path) -> None:
    """Make the next tables of paths, files and results.

    Parameters
    ----------
    connection : duckdb.DuckDBPyConnection
        As `engine.engine` gives it.
    archive : Path
        What the archive holds already.
    pieces : Pieces
        What was done since.
    into : Path
        Folder of the next tables.
    """
    _name_sources(connection, archive, pieces)
    for step in _STEPS:
        connection.execute(step)
    write_query(
        connection, "SELECT path, sha256, size, told FROM place ORDER BY path", into / "paths.parquet", PATHS
    )
    files = ", ".join(f"o.{name}" for name in FILES.names)
    write_query(connection, f"SELECT {files} FROM owner o ORDER BY {_order(FILES)}", FILES.path(into), FILES)
    results = ", ".join(f"r.{name}" for name in RESULTS.names)
    write_query(
        connection,
        f"SELECT {results} FROM given r JOIN owner o ON o.sha256 = r.sha256 AND o.piece = r.piece AND "
        f"o.reduced_told = r.told WHERE r.sha256 <> '' ORDER BY {_order(RESULTS, 'r.')}",
        RESULTS.path(into),
        RESULTS,
    )


_STEPS = (
    # The newest sight of a path counts.
    """CREATE TEMP TABLE place AS SELECT path, newest.sha256 AS sha256, newest.size AS size,
        newest.told AS told FROM (SELECT path, arg_max({'sha256': sha256, 'size': size, 'told': told}, piece)
        AS newest FROM seen GROUP BY path)""",
    # Equal bytes are one file, told of by the first of their paths; what could not be read is one a path.
    """CREATE TEMP TABLE chosen AS SELECT CASE WHEN sha256 = '' THEN path ELSE sha256 END AS bytes, sha256,
        min(path) AS path, arg_min(told, path) AS told, arg_min(size, path) AS size,
        list(path ORDER BY path)[2:] AS other_paths FROM place GROUP BY ALL""",
    """CREATE TEMP TABLE owner AS SELECT DISTINCT ON (c.bytes) c.sha256, c.path, c.other_paths, c.size,
        r.test, r.runs, r.refusal, r.exit_code, r.software, r.piece, r.told AS reduced_told
        FROM chosen c JOIN reduced r ON r.bytes = c.bytes
        ORDER BY c.bytes, (r.told = c.told) DESC, r.piece DESC""",
)


def _name_sources(connection: Any, archive: Path, pieces: Pieces) -> None:
    """Give pieces and the archive's own tables one form; the archive itself is piece 0."""
    whole = all(t.path(archive).is_file() for t in (FILES, RESULTS, PATHS))
    seen, reduced, given = [], [], []
    if pieces.numbers:
        seen.append(f"SELECT path, sha256, size, told, {_NUMBER} FROM {_files(pieces.files(PATHS))}")
        reduced.append(f"SELECT * EXCLUDE (filename), {_NUMBER} FROM {_files(pieces.files(FILE_PIECES))}")
        given.append(f"SELECT * EXCLUDE (filename), {_NUMBER} FROM {_files(pieces.files(RESULT_PIECES))}")
    if whole or not pieces.numbers:
        paths, files, results = (_own(table, archive, whole) for table in (PATHS, FILES, RESULTS))
        seen.append(f"SELECT path, sha256, size, told, 0 AS piece FROM {paths}")
        reduced.append(f"SELECT f.*, p.told, 0 AS piece FROM {files} f JOIN {paths} p ON p.path = f.path")
        given.append(
            f"SELECT r.*, p.told, 0 AS piece FROM {results} r JOIN {files} f ON f.sha256 = r.sha256 "
            f"JOIN {paths} p ON p.path = f.path"
        )
    bytes_ = "CASE WHEN sha256 = '' THEN path ELSE sha256 END AS bytes"
    connection.execute(f"CREATE TEMP VIEW seen AS {' UNION ALL BY NAME '.join(seen)}")
    connection.execute(
        f"CREATE TEMP VIEW reduced AS SELECT *, {bytes_} FROM ({' UNION ALL BY NAME '.join(reduced)})"
    )
    connection.execute(f"CREATE TEMP VIEW given AS {' UNION ALL BY NAME '.join(given)}")


def groups_to_judge(connection: Any, archive: Path, into: Path, judged: Pieces, *, everything: bool) -> None:
    """Name the groups whose results are others than before: the table ``touched``, and those left to judge.

    Parameters
    ----------
    connection : duckdb.DuckDBPyConnection
        As `engine.engine` gives it.
    archive, into : Path
        The archive as it is, and its next tables.
    judged : Pieces
        Verdicts that an unfinished batch has made by the same rules.
    everything : bool
        Judge all of them, because they were judged by other rules, or not at all.
    """
    new, old = _file(RESULTS.path(into)), _file(RESULTS.path(archive))
    everything = everything or not RESULTS.path(archive).is_file() or not VERDICTS.path(archive).is_file()
    # A group is known by the number of its results and a sum of their hashes: the order does not matter.
    content = (
        f"SELECT {_GROUP} AS bundle, count(*) || ' ' || sum(hash(r)) AS mark FROM {{}} r GROUP BY bundle"
    )
    before = f" EXCEPT {content.format(old)}" if not everything else ""
    kept = (
        "SELECT NULL AS bundle WHERE false"
        if everything
        else f"SELECT DISTINCT {_GROUP} AS bundle FROM {new}"
    )
    done = (
        f"SELECT bundle, mark, {_NUMBER} FROM {_files(judged.files(JUDGED_PIECES))}"
        if judged.numbers
        else "SELECT NULL AS bundle, NULL AS mark, 0 AS piece WHERE false"
    )
    for name, query in (
        ("touched", f"{content.format(new)}{before}"),
        ("untouched", f"SELECT bundle FROM ({kept}) WHERE bundle NOT IN (SELECT bundle FROM touched)"),
        (
            "todo",
            f"SELECT * FROM touched ANTI JOIN ({done}) USING (bundle, mark)",
        ),
    ):
        connection.execute(f"CREATE OR REPLACE TEMP TABLE {name} AS {query}")


def groups_counted(connection: Any) -> tuple[int, int]:
    """Tell how many groups are to be judged in all, and how many of them are left to judge."""
    counts = connection.execute("SELECT (SELECT count(*) FROM touched), (SELECT count(*) FROM todo)")
    every, left = counts.fetchall()[0]
    return int(every), int(left)


def rows_to_judge(connection: Any, into: Path, *, as_made: bool = False) -> Iterator[tuple[Any, ...]]:
    """Give the results that count of the groups to judge, group by group; behind each, its name and mark.

    Parameters
    ----------
    connection : duckdb.DuckDBPyConnection
        With the tables of `groups_to_judge`.
    into : Path
        The next tables.
    as_made : bool
        Within a group in the order of day and path, and not of the table: the rule asks for the first ones.

    Yields
    ------
    tuple
        Columns of ``results``, bundle, mark.
    """
    columns = ", ".join(f"r.{name}" for name in RESULTS.names)
    counted = counted_results(_file(RESULTS.path(into)))
    paths, order = "", _order(RESULTS, "r.")
    if as_made:
        paths = f"LEFT JOIN {_file(FILES.path(into))} f ON f.sha256 = r.sha256 AND r.sha256 <> ''"
        order = AS_MADE.format(r="r.", f="f.")
    reader = connection.sql(
        f"SELECT {columns}, r.bundle, t.mark FROM (SELECT *, {_GROUP} AS bundle FROM ({counted})) r "
        f"JOIN todo t ON t.bundle = r.bundle {paths} ORDER BY r.bundle, {order}"
    ).to_arrow_reader(4096)
    for batch in reader:
        yield from zip(*(column.to_pylist() for column in batch.columns), strict=True)


def fold_verdicts(connection: Any, archive: Path, judged: Pieces | None, into: Path) -> None:
    """Make the next table of verdicts: new ones, and the old ones of groups that stayed as they were.

    Parameters
    ----------
    connection : duckdb.DuckDBPyConnection
        With the tables of `groups_to_judge`.
    archive, into : Path
        The archive as it is, and its next tables.
    judged : Pieces or None
        New verdicts; those on results that have changed since are left out. None where nothing is judged.
    """
    names = ", ".join(f'"{name}"' for name in VERDICTS.names)
    sources = []
    if judged is not None and judged.numbers:
        valid = (
            f"SELECT bundle, max(piece) AS piece FROM (SELECT bundle, mark, {_NUMBER} FROM "
            f"{_files(judged.files(JUDGED_PIECES))}) SEMI JOIN touched USING (bundle, mark) GROUP BY bundle"
        )
        given = f"SELECT *, {_NUMBER} FROM {_files(judged.files(VERDICT_PIECES))}"
        sources.append(f"SELECT {names} FROM ({given}) SEMI JOIN ({valid}) USING (bundle, piece)")
    if judged is not None and VERDICTS.path(archive).is_file():
        sources.append(
            f"SELECT {names} FROM {_file(VERDICTS.path(archive))} "
            f"WHERE {_GROUP_OF_VERDICT} IN (SELECT bundle FROM untouched)"
        )
    together = " UNION ALL ".join(sources) or f"SELECT {names} FROM {_nothing(VERDICTS)}"
    write_query(
        connection,
        f"SELECT {names} FROM ({together}) ORDER BY {_order(VERDICTS)}",
        VERDICTS.path(into),
        VERDICTS,
    )


def commit(archive: Path, pieces: Pieces) -> None:
    """Move the next tables to their places and drop the pieces they were made of."""
    write_whole(archive / NEXT / _COMPLETE, "")
    finish_commit(archive, pieces)


def finish_commit(archive: Path, pieces: Pieces | None = None) -> None:
    """End what was begun: nothing where the next tables were never complete."""
    folder = archive / NEXT
    if not (folder / _COMPLETE).is_file():
        return
    for name in _PARTS:
        if (folder / name).is_file():
            (folder / name).replace(archive / name)
    (pieces or Pieces(archive)).drop()
    shutil.rmtree(archive / JUDGED, ignore_errors=True)
    shutil.rmtree(folder, ignore_errors=True)


def clear(archive: Path) -> None:
    """Take everything of an archive away that a batch made."""
    for name in _PARTS:
        (archive / name).unlink(missing_ok=True)
    for folder in (NEXT, PIECES, JUDGED):
        shutil.rmtree(archive / folder, ignore_errors=True)


def _order(table: Table, before: str = "") -> str:
    return ", ".join(f'{before}"{name}" ASC NULLS FIRST' for name in table.order)


def _own(table: Table, archive: Path, there: bool) -> str:
    return _file(table.path(archive)) if there else _nothing(table)


_SQL_TYPES = {"text": "VARCHAR", "number": "DOUBLE", "whole": "BIGINT", "texts": "VARCHAR[]"}


def _nothing(table: Table) -> str:
    columns = ", ".join(f'NULL::{_SQL_TYPES[one.kind]} AS "{one.name}"' for one in table.columns)
    return f"(SELECT {columns} WHERE false)"


def _file(path: Path) -> str:
    return f"read_parquet({_text(path)})"


def _files(paths: Iterable[Path]) -> str:
    return f"read_parquet([{', '.join(_text(path) for path in paths)}], filename = true)"


def _text(path: Path) -> str:
    return "'" + str(path).replace("'", "''") + "'"
