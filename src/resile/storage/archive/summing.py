"""What an archive holds, in numbers, and the list of what it refused."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

from resile.storage.archive.parquet import Row, read_rows
from resile.storage.archive.schema import FILES, PATHS, RESULTS, VERDICTS

_PER_TEST = "SELECT test, count(*), sum(runs) FROM {files} WHERE runs > 0 GROUP BY test ORDER BY test"
_DIFFERING = (
    "SELECT count(*) FROM (SELECT sha256 FROM {paths} SEMI JOIN (SELECT sha256 FROM {files} WHERE runs > 0) "
    "USING (sha256) GROUP BY sha256 HAVING count(DISTINCT told) > 1)"
)
_COUNTED = {
    "files": "SELECT count(*) FROM {paths}",
    "distinct_files": "SELECT count(*) FROM {files}",
    "refused": "SELECT count(*) FROM {files} WHERE refusal <> ''",
    "results": "SELECT count(*) FROM {results}",
    "samples": "SELECT count(DISTINCT (sample, lot)) FROM {results} WHERE sample <> ''",
    "files_without_sample": "SELECT count(DISTINCT sha256) FROM {results} WHERE sample = ''",
    "told_in_two_ways": _DIFFERING,
    "verdicts": "SELECT count(*) FROM {verdicts}",
}
_GROUPED = {
    "conditions": "SELECT condition, count(*) FROM {results} GROUP BY condition ORDER BY condition",
    "findings": "SELECT code, count(*) FROM (SELECT DISTINCT sha256, part, unnest(findings) AS code "
    "FROM {results}) GROUP BY code ORDER BY code",
    "outcomes": "SELECT outcome, count(*) FROM {verdicts} GROUP BY outcome ORDER BY outcome",
}


def count_archive(connection: Any, archive: Path) -> dict[str, Any]:
    """Count what an archive holds.

    Parameters
    ----------
    connection : duckdb.DuckDBPyConnection
        As `engine.engine` gives it.
    archive : Path
        Folder with the tables.

    Returns
    -------
    dict
        Numbers by name; ``tests`` holds files and runs by test, ``conditions`` results by state of the
        binder, ``findings`` runs by code, ``outcomes`` verdicts by outcome.
    """
    tables = {
        table.name: "read_parquet('{}')".format(str(table.path(archive)).replace("'", "''"))
        for table in (PATHS, FILES, RESULTS, VERDICTS)
    }

    def rows(query: str) -> list[Row]:
        found: list[Row] = connection.execute(query.format(**tables)).fetchall()
        return found

    counted: dict[str, Any] = {name: rows(query)[0][0] for name, query in _COUNTED.items()}
    counted["tests"] = {test: {"files": files, "runs": int(runs)} for test, files, runs in rows(_PER_TEST)}
    counted |= {name: dict(rows(query)) for name, query in _GROUPED.items()}
    return counted


def refused_files(archive: Path) -> Iterator[Row]:
    """Give path, hash, length, exit code and reason of what was refused, sorted by path.

    Parameters
    ----------
    archive : Path
        Folder with the tables.

    Yields
    ------
    tuple of (str, str, int, int, str)
    """
    columns = ["path", "sha256", "size", "exit_code", "refusal"]
    for row in read_rows(FILES.path(archive), FILES, columns=columns):
        if row[-1]:
            yield row
