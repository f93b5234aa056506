"""Fixing how a file is read: its first rows, what a column may be, and what would come of it."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path

from resile.errors import InputError, RecordNotFoundError
from resile.readers.first_rows import FirstRows, read_first_rows
from resile.readers.layout import SEPARATORS, ColumnLayout, Layout, check_layout
from resile.records.reading import ColumnReading, HeldFile
from resile.records.register import Actor, Kept, Run
from resile.storage.laboratory_record import LaboratoryRecord
from resile.workflows.laboratory.access.permissions import require
from resile.workflows.laboratory.files.ingesting import belonging_of, of_file
from resile.workflows.laboratory.files.reading_files import ReadFile, read_file, with_settings
from resile.workflows.laboratory.files.reattaching import told_of
from resile.workflows.laboratory.files.remembering import layout_of

_BRACKETED = re.compile(r" \(--[a-z-]+[^)]*\)")
_OPTION = re.compile(r"--([a-z][a-z-]+)")
SEPARATOR_WORDS = tuple(SEPARATORS)
_MARKS = ((".", "point: 0.5"), (",", "comma: 0,5"))
QUESTIONS: dict[str, tuple[str, str, tuple[tuple[str, str], ...]]] = {
    "--separator": ("separator", "What separates the columns?", tuple((one, one) for one in SEPARATORS)),
    "--decimal-mark": ("decimal_mark", "What marks the decimals?", _MARKS),
    "--temperature": ("temperature_c", "At which temperature was it tested [°C]?", ()),
}
"""Questions that a file may raise: field of the layout, the words, and what may be answered."""


@dataclass(frozen=True, slots=True)
class ColumnWord:
    """What a column may be.

    Attributes
    ----------
    quantity, words : str
        Name from the glossary; for a person.
    units : tuple of str
        Units to choose from.
    """

    quantity: str
    words: str
    units: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class ColumnsOfFile:
    """A kept file, ready to be told what its columns are.

    Attributes
    ----------
    file, name : str
        Its SHA-256 and name.
    rows : FirstRows
        Its top.
    taken : tuple of ColumnReading
        How each column was understood; empty where it could not be read.
    layout : Layout
        How it is read now.
    read : ReadFile
        What it gives read this way.
    example : HeldFile
        The file itself, to remember its headings.
    """

    file: str
    name: str
    rows: FirstRows
    taken: tuple[ColumnReading, ...]
    layout: Layout
    read: ReadFile
    example: HeldFile


@cache
def column_words() -> tuple[ColumnWord, ...]:
    """Give what a column may be said to be, the most usual first."""
    content = tomllib.loads(Path(__file__).with_name("column_words.toml").read_text(encoding="utf-8"))
    return tuple(ColumnWord(one["quantity"], one["words"], tuple(one["units"])) for one in content["column"])


def columns_of_file(
    record: LaboratoryRecord, actor: Actor, file: str, layout: Layout | None = None
) -> ColumnsOfFile:
    """Show the top of a kept file and what it gives, read as it is kept or as a person proposes.

    Parameters
    ----------
    record : LaboratoryRecord
        Where it is kept.
    actor : Actor
        Who asks.
    file : str
        SHA-256 of the file.
    layout : Layout, optional
        How it should be read; as it is kept where not given.

    Raises
    ------
    PermissionRefusedError, RecordNotFoundError, InputError
        It may not be seen, or is not there.
    """
    require(actor, "runs.keep")
    with record.reading() as reading:
        run = _run_of(of_file(reading, file)[0])
        told = told_of(reading, run)
        belonging = belonging_of(reading, actor, told)
        data = reading.file(file)
        known = layout if layout is not None else layout_of(reading, run.layout) or Layout()
    settled = with_settings(known, sheet=known.sheet or run.sheet, temperature_c=run.temperature_c)
    read = read_file(data, run.file_name, layout=settled, lengths=belonging.lengths)
    account = read.parts[0].run.account if read.parts else None
    held = HeldFile(run.file_name, data)
    rows = read_first_rows(held, layout=settled)
    return ColumnsOfFile(file, run.file_name, rows, account.columns if account else (), known, read, held)


def proposed_layout(base: Layout, typed: Mapping[str, str]) -> Layout:
    """Make a layout of what a person chose on the page.

    Parameters
    ----------
    base : Layout
        As the file is read now.
    typed : mapping of str to str
        ``quantity-N`` and ``unit-N`` for column N, and fields of `Layout`; empty text for "find it yourself".

    Raises
    ------
    SpecificationError, InputError
        Where a value cannot be.
    """
    columns = tuple(
        ColumnLayout(name.removeprefix("quantity-"), quantity, typed.get(f"unit-{name[9:]}", ""))
        for name, quantity in typed.items()
        if name.startswith("quantity-") and quantity
    )
    chosen: dict[str, object] = {
        name: typed[name] for name in ("separator", "decimal_mark", "sheet", "encoding") if name in typed
    }
    chosen |= {
        name: _number(typed[name], name, whole=True)
        for name in ("heading_row", "units_row", "first_data_row")
        if name in typed
    }
    chosen |= {
        name: _number(typed[name], name)
        for name in ("plate_diameter_mm", "gap_mm", "temperature_c", "span_mm", "width_mm", "thickness_mm")
        if name in typed
    }
    if any(name.startswith("quantity-") for name in typed):
        chosen["columns"] = columns
    return check_layout(replace(base, **chosen), place="this page")  # type: ignore[arg-type]


def _number(text: str, name: str, *, whole: bool = False) -> float | int | None:
    if not text.strip():
        return None
    try:
        return int(text) if whole else float(text.replace(",", "."))
    except ValueError:
        raise InputError(f"{name}: '{text}' is no {'whole ' if whole else ''}number") from None


def for_a_page(sentence: str) -> str:
    """Give a refusal without the options of the command line that it names."""
    return _OPTION.sub(lambda found: found[1].replace("-", " "), _BRACKETED.sub("", sentence))


def _run_of(runs: list[Kept[Run]]) -> Run:
    if not runs:
        raise RecordNotFoundError("the record holds no run of this file")
    return runs[0].value
