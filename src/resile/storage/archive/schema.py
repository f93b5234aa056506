"""What stands in an archive: its files, its tables and their columns, and the statement ``archive.json``.

The names here are the one source of the column names: what writes an archive (a batch, an export of the
record) and what asks it use these tables. A value that is not known is empty text or null, never a guess.
"""

from __future__ import annotations

import json
import os
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from resile.errors import InputError, RecordNotFoundError

FORMAT = "resile archive"
VERSION = 1
STATEMENT = "archive.json"
REFUSED = "refused.csv"
SUMMARY = "summary.json"
PIECES = "pieces"
TYPED = "typed_results"
"""Kind of test of a result that was typed or exported, without a raw record."""
AGED = "ageing"
"""Kind of test of what an ageing record says."""


@dataclass(frozen=True, slots=True)
class Column:
    """One column of a table of an archive.

    Attributes
    ----------
    name : str
        As in the glossary.
    kind : str
        ``"text"`` (never null), ``"number"`` (null where not known), ``"whole"`` (a whole number, never null)
        or ``"texts"`` (a list of texts, perhaps empty).
    meaning : str
        For a person.
    """

    name: str
    kind: str
    meaning: str


@dataclass(frozen=True, slots=True)
class Table:
    """One table of an archive: a Parquet file.

    Attributes
    ----------
    name : str
        ``files``, ``results`` or ``verdicts``.
    columns : tuple of Column
        In the order they stand in the file.
    order : tuple of str
        Columns that the rows are sorted by, so that the same records give the same bytes.
    """

    name: str
    columns: tuple[Column, ...]
    order: tuple[str, ...]

    @property
    def names(self) -> tuple[str, ...]:
        """Names of the columns."""
        return tuple(column.name for column in self.columns)

    def path(self, archive: Path) -> Path:
        """Give the file of this table in an archive."""
        return archive / f"{self.name}.parquet"

    def place(self, row: Sequence[Any]) -> tuple[Any, ...]:
        """Give what a row is sorted by; a null stands before every number."""
        values = [row[self.names.index(name)] for name in self.order]
        return tuple((value is not None, value if value is not None else 0.0) for value in values)


_SAMPLE = Column("sample", "text", "name of the sample, as the record, its folder or a register says")
_LOT = Column("lot", "text", "lot of the product it was taken from")
_PRODUCT = Column("product", "text", "name of the product")
_TESTED = Column("tested", "text", "day of the test, YYYY-MM-DD")
_TEST = Column(
    "test",
    "text",
    "creep_recovery, oscillation, bending_beam, rotational_viscosity, ageing or typed_results",
)
_CONDITION = Column("condition", "text", "state of the binder that was tested")
_QUANTITY = Column("quantity", "text", "name of the quantity, from the glossary")
_TEMPERATURE = Column("temperature_c", "number", "test temperature [°C]")
_SOFTWARE = Column("software", "text", "version of resile that made the row")

FILES = Table(
    "files",
    (
        Column("sha256", "text", "SHA-256 of the bytes: the same bytes are one file"),
        Column(
            "path",
            "text",
            "where it was found; the first by name where the same bytes stood in several places",
        ),
        Column("other_paths", "texts", "where else the same bytes stood, sorted"),
        Column("size", "whole", "length [bytes]"),
        _TEST,
        Column("runs", "whole", "runs that it gave; 0 where it was refused"),
        Column("refusal", "text", "why nothing could be reduced; empty where it was"),
        Column("exit_code", "whole", "exit code that resile reduce gives for it"),
        _SOFTWARE,
    ),
    ("path", "sha256"),
)

RESULTS = Table(
    "results",
    (
        Column("sha256", "text", "file that the result hangs on; empty for a typed result of a record"),
        Column("part", "text", "which run of the file; the method of an ageing record"),
        _SAMPLE,
        _LOT,
        _PRODUCT,
        _TESTED,
        _TEST,
        _CONDITION,
        _QUANTITY,
        _TEMPERATURE,
        Column("stress_kpa", "number", "stress level of a creep-recovery result [kPa]"),
        Column("value", "number", "value in `unit`"),
        Column("unit", "text", "unit of the glossary"),
        Column("worst", "text", "gravest finding: note, caution, invalid; empty where there is none"),
        Column("findings", "texts", "codes of the findings, sorted"),
        _SOFTWARE,
        Column("laboratory", "text", "another laboratory that made the test; empty for one's own"),
    ),
    ("sample", "lot", "sha256", "part", "condition", "quantity", "temperature_c", "stress_kpa", "value"),
)

VERDICTS = Table(
    "verdicts",
    (
        _SAMPLE,
        _LOT,
        _PRODUCT,
        Column("tested", "text", "day of the newest of the tests it rests on, YYYY-MM-DD"),
        Column("specification", "text", "name of the specification"),
        Column("edition", "text", "its edition"),
        Column("decision_rule", "text", "name of the decision rule"),
        Column("label", "text", "class at its temperature, for example 64V"),
        Column("requirement", "text", "name of the line of the specification"),
        _QUANTITY,
        _CONDITION,
        Column("temperature_c", "number", "temperature that the requirement asks for [°C]"),
        Column("limit", "number", "limit that applied, in the unit of the requirement"),
        Column("value", "number", "value that was compared"),
        Column("outcome", "text", "pass, conditional pass, conditional fail, fail, not tested or waived"),
        Column("margin", "number", "distance to the limit, positive on the good side"),
        Column("standard", "number", "standard uncertainty of the value, in its unit"),
        Column("probability", "number", "probability that the true value satisfies the limit"),
        Column("sha256", "texts", "files that the value rests on, sorted"),
    ),
    (
        "sample",
        "lot",
        "specification",
        "edition",
        "decision_rule",
        "temperature_c",
        "label",
        "requirement",
        "sha256",
    ),
)

TABLES: tuple[Table, ...] = (FILES, RESULTS, VERDICTS)
"""Every table of an archive that questions are asked of."""

PATHS = Table(
    "paths",
    (
        Column("path", "text", "where bytes were found"),
        Column("sha256", "text", "SHA-256 of the bytes; empty where they could not be read"),
        Column("size", "whole", "length [bytes]"),
        Column("told", "text", "what register and folders say of it, as JSON; empty where nothing"),
    ),
    ("path",),
)
"""Every place a batch looked at: what makes a second batch quick. Only an archive of record files has it."""


@dataclass(frozen=True, slots=True)
class ArchiveStatement:
    """What an archive says of itself: ``archive.json``.

    Attributes
    ----------
    software : str
        Version of resile that wrote it.
    made_from : str
        ``"record files"`` or ``"laboratory record"``.
    options : mapping of str to object
        What was asked for: specification, edition, decision rule, pattern of folders, layout.
    """

    software: str
    made_from: str
    options: Mapping[str, Any] = field(default_factory=dict)


def write_archive_statement(archive: Path, statement: ArchiveStatement) -> None:
    """Write ``archive.json``, whole or not at all.

    Parameters
    ----------
    archive : Path
        Folder; made where it is not there.
    statement : ArchiveStatement
        What the archive says of itself.
    """
    archive.mkdir(parents=True, exist_ok=True)
    body = {
        "format": FORMAT,
        "version": VERSION,
        "software": statement.software,
        "made_from": statement.made_from,
        "options": dict(statement.options),
    }
    write_whole(archive / STATEMENT, json.dumps(body, indent=2, sort_keys=True, ensure_ascii=False) + "\n")


def read_archive_statement(archive: Path) -> ArchiveStatement:
    """Read ``archive.json``.

    Parameters
    ----------
    archive : Path
        Folder of an archive.

    Returns
    -------
    ArchiveStatement
        What the archive says of itself.

    Raises
    ------
    RecordNotFoundError
        Where the folder holds no archive.
    InputError
        Where the statement cannot be read, or is of a version that is not known here.
    """
    path = archive / STATEMENT
    try:
        body = json.loads(path.read_text(encoding="utf-8"))
    except FileNotFoundError:
        raise RecordNotFoundError(
            f"{archive}: no archive stands here ({STATEMENT} is missing); resile batch makes one"
        ) from None
    except (OSError, ValueError) as error:
        raise InputError(f"{path}: the statement of the archive cannot be read ({error})") from error
    if not isinstance(body, dict) or body.get("format") != FORMAT:
        raise InputError(f"{path}: this is not the statement of an archive (format '{FORMAT}' is needed)")
    if body.get("version") != VERSION:
        raise InputError(
            f"{path}: the archive is of version {body.get('version')}; this resile reads version {VERSION}. "
            "Use the resile that made it, or make it anew elsewhere"
        )
    return ArchiveStatement(
        str(body.get("software", "")), str(body.get("made_from", "")), dict(body.get("options") or {})
    )


def write_whole(path: Path, text: str | bytes) -> None:
    """Write a file so that a reader finds the old one or the new one, whatever happens in between.

    Parameters
    ----------
    path : Path
        File to write or replace.
    text : str or bytes
        Its content; text is written as UTF-8.
    """
    _write(path, text.encode("utf-8") if isinstance(text, str) else text, to_disk=True)


def write_piece(path: Path, data: bytes) -> None:
    """Write one of many files whole or not at all, without waiting for the disk.

    Parameters
    ----------
    path : Path
        File to write or replace.
    data : bytes
        Its content. A loss of power may damage it; whoever reads it can tell, and makes it again.
    """
    _write(path, data, to_disk=False)


def _write(path: Path, data: bytes, *, to_disk: bool) -> None:
    new = path.with_name(f".{path.name}.new")
    with new.open("wb") as file:
        file.write(data)
        if to_disk:
            file.flush()
            os.fsync(file.fileno())
    new.replace(path)
