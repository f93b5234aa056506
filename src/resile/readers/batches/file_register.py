"""A register of files: a table that says which sample, lot and product each file is of."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from resile.errors import FileFormatError
from resile.readers.batches.details import condition_told, words
from resile.readers.named_rows import NamedRow, read_named_rows
from resile.readers.weather.dates import read_dates
from resile.records.batch import FileTold, FoundFile
from resile.records.reading import SourceFile

_MOST_BYTES = 64_000_000


@dataclass(frozen=True, slots=True)
class FileRegister:
    """What a register says, by file.

    Attributes
    ----------
    rows : dict of str to FileTold
        By the file as the register writes it, with ``/`` between folders.
    source : SourceFile
        The register itself.
    """

    rows: dict[str, FileTold]
    source: SourceFile

    def told(self, file: FoundFile) -> FileTold:
        """Give what it says of a file: by full path, path below the folder named, or name alone."""
        name = file.below.rpartition("/")[2]
        for written in (file.path.replace("\\", "/"), file.below, name):
            if written in self.rows:
                return self.rows[written]
        return FileTold()


def read_file_register(path: Path) -> FileRegister:
    """Read a register of files.

    Parameters
    ----------
    path : Path
        Separated text or a workbook with a column ``file`` and any of ``sample``, ``lot``, ``product``,
        ``tested`` and ``condition``.

    Returns
    -------
    FileRegister
        One entry a file.

    Raises
    ------
    RecordNotFoundError, FileFormatError
        No such file, no such headings, a file that stands twice with differing entries, a word that names no
        condition, or a day that is none.
    AmbiguousFileError
        Day and month can be read both ways in every row.
    """
    spelt = words()
    others = [name for name in spelt if name != "file"]
    table, source = read_named_rows(
        path,
        spelt,
        needed=["file"],
        one_of=others,
        what="register of files",
        max_bytes=_MOST_BYTES,
        thousands=False,
    )
    days = _days(table.rows, path)
    found: dict[str, FileTold] = {}
    for row, day in zip(table.rows, days, strict=True):
        file = row.text("file").strip().replace("\\", "/").removeprefix("./")
        if not file:
            raise FileFormatError(f"{path}, {row.place}: the row names no file")
        told = FileTold(
            sample=row.text("sample").strip(),
            lot=row.text("lot").strip(),
            product=row.text("product").strip(),
            tested=day,
            condition=_condition(row, path),
        )
        if found.setdefault(file, told) != told:
            raise FileFormatError(
                f"{path}, {row.place}: '{file}' stands twice, told of in two ways; one row a file is needed"
            )
    return FileRegister(found, source)


def _days(rows: Sequence[NamedRow], path: Path) -> list[str]:
    days = read_dates([row.text("tested") for row in rows], str(path))
    for row, day in zip(rows, days, strict=True):
        if day is None and row.text("tested").strip():
            raise FileFormatError(
                f"{path}, {row.place}: '{row.text('tested')}' is no day; write it as YYYY-MM-DD"
            )
    return [day.isoformat() if day is not None else "" for day in days]


def _condition(row: NamedRow, path: Path) -> str:
    text = row.text("condition").strip()
    condition = condition_told(text)
    if text and not condition and text.casefold() != "unknown":
        raise FileFormatError(
            f"{path}, {row.place}: '{text}' names no state of the binder; write original, short_term_aged, "
            "long_term_aged or recovered"
        )
    return condition
