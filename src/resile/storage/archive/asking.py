"""Questions to an archive, answered by DuckDB over its Parquet files: read-only, memory bounded, no network.

`asked` opens an archive; inside it the views ``files``, ``results`` and ``verdicts`` stand for its tables.
The questions themselves are in `asking_questions` and `asking_samples`; what a person typed is always bound
to a place holder, never put into the text of a question.

What the engine may do is cut down before the first question: it reads the three files of the archive and
nothing else on the machine, loads no extension, opens no address, sees no variable of the program, and its
settings can no longer be changed. `Asking.free` adds to this that only one SELECT is accepted, and how
many rows and seconds it may take.
"""

from __future__ import annotations

import tempfile
import threading
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from resile.errors import InputError, RecordNotFoundError
from resile.records.archive_answers import AnswerTable
from resile.storage.archive.engine import MEMORY_MB, duckdb
from resile.storage.archive.schema import FILES, RESULTS, VERDICTS, ArchiveStatement, read_archive_statement

MOST_ROWS = 10_000
LONGEST_S = 60.0


class Asking:
    """An opened archive.

    Parameters
    ----------
    archive : Path
        Its folder.
    statement : ArchiveStatement
        What it says of itself.
    connection : DuckDBPyConnection
        With the views of the archive, cut down to reading them.
    """

    def __init__(self, archive: Path, statement: ArchiveStatement, connection: Any) -> None:
        self.archive = archive
        self.statement = statement
        self._connection = connection

    def rows(self, question: str, values: Sequence[Any] = ()) -> list[tuple[Any, ...]]:
        """Give the rows of a question of ours.

        Parameters
        ----------
        question : str
            Written here in `storage`, with ``?`` for every value.
        values : sequence
            What stands in the places.
        """
        with _told(self.archive):
            return list(self._connection.execute(question, list(values)).fetchall())

    def table(self, question: str, values: Sequence[Any] = (), *, most: int = 0) -> AnswerTable:
        """Give the answer as a table, cut after `most` rows where that is given."""
        with _told(self.archive):
            going = self._connection.execute(question, list(values))
            names = tuple(str(column[0]) for column in going.description)
            found = going.fetchmany(most + 1) if most else going.fetchall()
        rows = tuple(tuple(row) for row in found)
        return AnswerTable(names, rows[:most] if most else rows, bool(most) and len(rows) > most)

    def batches(self, question: str, values: Sequence[Any] = (), *, rows: int) -> Iterator[Any]:
        """Give the answer as Arrow batches of about so many rows, one in memory at a time."""
        with _told(self.archive):
            yield from self._connection.sql(question, params=list(values)).to_arrow_reader(rows)

    def free(self, question: str, *, most: int = MOST_ROWS, longest_s: float = LONGEST_S) -> AnswerTable:
        """Answer a question that a person wrote.

        Parameters
        ----------
        question : str
            One SELECT over ``files``, ``results`` and ``verdicts``.
        most : int
            Rows that are given.
        longest_s : float
            After this time the question is stopped [s].

        Raises
        ------
        InputError
            Where it is no single SELECT, is wrong, takes too long, or asks for something outside the archive.
        """
        _refuse_all_but_one_select(self._connection, question)
        stop = threading.Timer(longest_s, self._connection.interrupt)
        stop.start()
        try:
            return self.table(question, most=most)
        except _interruption() as error:
            raise InputError(
                f"the question took longer than {longest_s:g} s and was stopped; ask for less at once, "
                "for example one "
                "product or one year"
            ) from error
        finally:
            stop.cancel()


@contextmanager
def asked(archive: Path, *, memory_mb: int = MEMORY_MB, threads: int = 2) -> Iterator[Asking]:
    """Open an archive for questions.

    Parameters
    ----------
    archive : Path
        Its folder.
    memory_mb : int
        What the engine may hold in memory [MB].
    threads : int
        What it may work with at once.

    Yields
    ------
    Asking
        Until the block ends.

    Raises
    ------
    RecordNotFoundError
        Where the folder holds no archive, or one without its tables.
    InputError
        Where its statement or a table cannot be read.
    MissingDependencyError
        Where DuckDB is not installed.
    """
    library = duckdb()
    statement = read_archive_statement(archive)
    paths = {table.name: table.path(archive).absolute() for table in (FILES, RESULTS, VERDICTS)}
    missing = [path.name for path in paths.values() if not path.is_file()]
    if missing:
        raise RecordNotFoundError(
            f"{archive}: the archive is not whole, {' and '.join(missing)} missing; was the batch stopped? "
            "resile batch goes on where it was"
        )
    with tempfile.TemporaryDirectory(prefix="resile-archive-") as beside:
        connection = library.connect(
            ":memory:",
            config={
                "memory_limit": f"{memory_mb}MB",
                "threads": threads,
                "temp_directory": beside,
                "autoinstall_known_extensions": False,
                "autoload_known_extensions": False,
                "allow_community_extensions": False,
                "python_enable_replacements": False,
            },
        )
        try:
            with _told(archive):
                for name, path in paths.items():
                    connection.read_parquet(str(path)).create_view(name)
                connection.execute("SET enable_progress_bar = false")
                connection.execute("SET allowed_paths = ?", [[str(path) for path in paths.values()]])
                connection.execute("SET enable_external_access = false")
                connection.execute("SET lock_configuration = true")
            yield Asking(archive, statement, connection)
        finally:
            connection.close()


def _interruption() -> type[Exception]:
    found: type[Exception] = duckdb().InterruptException
    return found


def _refuse_all_but_one_select(connection: Any, question: str) -> None:
    library = duckdb()
    try:
        statements = connection.extract_statements(question)
    except library.Error as error:
        raise InputError(f"the question cannot be read: {_first_line(error)}") from error
    if len(statements) != 1 or statements[0].type != library.StatementType.SELECT:
        found = (
            f"{len(statements)} statements"
            if len(statements) != 1
            else str(statements[0].type).rpartition(".")[2]
        )
        raise InputError(f"a question to an archive is one SELECT and changes nothing; found {found}")


@contextmanager
def _told(archive: Path) -> Iterator[None]:
    """Turn what the engine says into one sentence; a stopped question is told by who stopped it."""
    library = duckdb()
    try:
        yield
    except library.InterruptException:
        raise
    except library.OutOfMemoryException as error:
        raise InputError(
            f"{archive}: the question needs more memory than it may take; ask for less at once, for "
            "example one product"
        ) from error
    except library.PermissionException as error:
        raise InputError(
            "a question reads the tables files, results and verdicts of the archive and nothing else on "
            "this machine "
            f"({_first_line(error)})"
        ) from error
    except (library.IOException, library.InvalidInputException) as error:
        raise InputError(
            f"{archive}: a table of the archive cannot be read ({_first_line(error)})"
        ) from error
    except (library.CatalogException, library.BinderException) as error:
        raise InputError(
            f"the question cannot be answered: {_first_line(error)} The tables are files, results and "
            "verdicts; SELECT * FROM results LIMIT 1 shows what stands in one"
        ) from error
    except library.Error as error:
        raise InputError(f"the question cannot be answered: {_first_line(error)}") from error


def _first_line(error: Exception) -> str:
    return str(error).strip().splitlines()[0] if str(error).strip() else type(error).__name__
