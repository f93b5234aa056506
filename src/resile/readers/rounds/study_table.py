"""The table of an interlaboratory study: one result a row, or laboratories against materials."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from resile.errors import FileFormatError
from resile.readers.candidate_grids import candidate_grids
from resile.readers.grids.cells import Cell, cell_text
from resile.readers.grids.grid import Grid, read_details
from resile.readers.layout import Layout
from resile.readers.rounds.headings import (
    MOST_BYTES,
    in_brackets,
    is_headed,
    numbers_reader,
    says_nothing,
    why_no_number,
    without_brackets,
)
from resile.readers.source_file import read_source
from resile.records.laboratories import StudyTable
from resile.records.reading import HeldFile

_ROWS_SEARCHED = 30
_NUMBERED = re.compile(r"^(.*?)[\s_.:#-]*\(?(\d{1,2})\)?$")
_NEEDED = (
    "needed is a row of headings that begins with the laboratory and has one column for each material "
    "(several for replicates), or headings for laboratory, material and value"
)
Read = Callable[[Cell], list[float] | str]


@dataclass(frozen=True, slots=True)
class _Heads:
    """Where the headings stand and what they say.

    `materials` gives the material of each column of results; in a long table there is one such column and
    `material` is the column that names it. `across` is true where the laboratories head the columns.
    """

    row: int
    first_data: int
    laboratory: int
    materials: dict[int, str]
    material: int | None = None
    across: bool = False
    unit: str = ""
    remarks: tuple[str, ...] = ()


def read_study_table(path: Path | HeldFile, *, layout: Layout | None = None) -> StudyTable:
    """Read the results of an interlaboratory study.

    Parameters
    ----------
    path : Path or HeldFile
        Separated text or a workbook. Replicates may stand side by side (``A``, ``A`` or ``A 1``, ``A 2``), in
        rows below one another, or in one cell apart by blanks.
    layout : Layout or None
        What the user said of the file: sheet, separator, decimal mark.

    Returns
    -------
    StudyTable
        Laboratories and materials in the order of the file; an empty cell for no result.

    Raises
    ------
    RecordNotFoundError
        No such file or sheet.
    FileFormatError
        No such headings, a cell that is no number, or a row without a laboratory.
    AmbiguousFileError
        The decimal mark can be read in two ways.
    """
    given = layout or Layout()
    data, source = read_source(path, "table of a study (.csv, .xlsx)", MOST_BYTES)
    if not data.strip():
        raise FileFormatError(f"{path}: the file is empty; {_NEEDED}")
    for _, grid in candidate_grids(data, str(path), layout=given).grids:
        heads = _find_heads(grid)
        if heads is not None:
            return _table(grid, heads, str(path), given.decimal_mark, source.sha256)
    raise FileFormatError(f"{path}: no table of a study was found; {_NEEDED}")


def _find_heads(grid: Grid) -> _Heads | None:
    for index, row in enumerate(grid.rows[:_ROWS_SEARCHED]):
        laboratory = _place(row, "laboratory")
        material = _place(row, "material")
        value = _place(row, "value")
        if laboratory is not None and material is not None and value is not None:
            unit = in_brackets(cell_text(row[value]))
            return _Heads(index, index + 1, laboratory, {value: ""}, material, unit=unit)
        if laboratory is None and material is None:
            continue
        first = laboratory if laboratory is not None else material
        assert first is not None  # one of them is there
        heads = _wide(grid, index, first, across=laboratory is None)
        if heads is not None:
            return heads
    return None


def _place(row: Sequence[Cell], name: str) -> int | None:
    return next((place for place, cell in enumerate(row) if is_headed(cell, "study", name)), None)


def _wide(grid: Grid, index: int, first: int, *, across: bool) -> _Heads | None:
    """Take the cells right of the first heading as names; a blank one repeats the name on its left."""
    row = grid.rows[index]
    names: dict[int, str] = {}
    name = ""
    for place in range(first + 1, max(len(one) for one in grid.rows)):
        cell = row[place] if place < len(row) else None
        text = cell_text(cell).strip()
        if is_headed(cell, "study", "replicate"):
            name = ""
            continue
        name = text or name
        if name and any(place < len(one) and cell_text(one[place]).strip() for one in grid.rows[index + 1 :]):
            names[place] = name
    if not names:
        return None
    units = {in_brackets(text) for text in names.values()}
    plain = {place: without_brackets(text) for place, text in names.items()}
    first_data = index + 1
    below = grid.rows[first_data] if first_data < len(grid.rows) else []
    if _numbers_replicates(below, first, names):
        first_data += 1
    joined = _joined(plain)
    return _Heads(
        index,
        first_data,
        first,
        joined,
        across=across,
        unit=units.pop() if len(units) == 1 else "",
        remarks=tuple(
            f"column '{plain[place]}' taken as replicates of {name}"
            for place, name in joined.items()
            if plain[place] != name
        ),
    )


def _numbers_replicates(row: Sequence[Cell], first: int, names: dict[int, str]) -> bool:
    """Tell a row of replicate numbers, or of units, below merged headings: it names no laboratory."""
    if first < len(row) and cell_text(row[first]).strip():
        return False
    texts = [cell_text(row[place]).strip() for place in names if place < len(row)]
    numbered = [text.rstrip(".").removesuffix(".0") for text in texts if text]
    counted = bool(numbered) and all(text.isdigit() and len(text) < 3 for text in numbered)
    return counted or (bool(texts) and not any(re.search(r"\d", text) for text in texts) and any(texts))


def _joined(names: dict[int, str]) -> dict[int, str]:
    """Take ``A 1`` and ``A 2`` for two columns of A, where more than one column has that stem."""
    stems: dict[str, list[int]] = {}
    for place, text in names.items():
        found = _NUMBERED.match(text)
        if found and found[1].strip():
            stems.setdefault(found[1].strip(), []).append(place)
    several = {
        place: stem
        for stem, places in stems.items()
        if len(places) > 1 and _starts_again(stem, places, names, len(stems))
        for place in places
    }
    return {place: several.get(place, text) for place, text in names.items()}


def _starts_again(stem: str, places: Sequence[int], names: dict[int, str], stems: int) -> bool:
    """Tell replicates from names that merely end in a number: ``Binder 1``, ``Binder 2`` alone are
    materials.
    """
    return stems > 1 or any(names[place] == stem for place in names) or len(places) < len(names)


def _table(grid: Grid, heads: _Heads, path: str, decimal_mark: str, sha256: str) -> StudyTable:
    body = grid.rows[heads.first_data :]
    read = numbers_reader(
        (row[place] for row in body for place in heads.materials if place < len(row)), path, decimal_mark
    )
    cells: dict[tuple[str, str], list[float]] = {}
    name = ""
    rows: Counter[str] = Counter()
    for offset, row in enumerate(body):
        if not any(cell_text(cell).strip() for cell in row):
            continue
        where = f"{path}, {grid.place(heads.first_data + offset)}"
        name = _text(row, heads.laboratory) or name
        if not name:
            raise FileFormatError(f"{where}: no {'material' if heads.across else 'laboratory'} is named")
        rows[name] += 1
        for place, heading in heads.materials.items():
            other = _text(row, heads.material) if heads.material is not None else heading
            _take(cells, name, other, row, place, read, where, heads.across)
    details, title = read_details(grid.rows[: heads.row])
    if heads.material is None:
        heads = replace(heads, remarks=(*heads.remarks, *_several_rows(rows)))
    return _assembled(cells, title or next(iter(details.values()), ""), heads, sha256, path)


def _several_rows(rows: Counter[str]) -> list[str]:
    """Tell names with more rows than the others: replicates, or one that stands there twice."""
    fewest = min(rows.values(), default=1)
    return [
        f"'{name}' has {count} rows where others have {fewest}: taken as its replicates; is it there twice?"
        for name, count in rows.items()
        if count > fewest
    ]


def _text(row: Sequence[Cell], place: int) -> str:
    text = cell_text(row[place]).strip() if place < len(row) else ""
    return text.removesuffix(".0") if text.removesuffix(".0").isdigit() else text


def _take(
    cells: dict[tuple[str, str], list[float]],
    name: str,
    other: str,
    row: Sequence[Cell],
    place: int,
    read: Read,
    where: str,
    across: bool,
) -> None:
    cell = row[place] if place < len(row) else None
    laboratory, material = (other, name) if across else (name, other)
    found = read(cell)
    if isinstance(found, str):
        raise FileFormatError(
            f"{where}: '{found}' for laboratory {laboratory}, material {material} {why_no_number(found)}"
        )
    if found and not material:
        raise FileFormatError(f"{where}: no material is named beside a result")
    cells.setdefault((laboratory, material), []).extend(found)


def _assembled(
    cells: dict[tuple[str, str], list[float]], title: str, heads: _Heads, sha256: str, path: str
) -> StudyTable:
    laboratories = tuple(dict.fromkeys(laboratory for laboratory, _ in cells))
    materials = tuple(dict.fromkeys(material for _, material in cells if not says_nothing(material)))
    if not any(cells.values()):
        raise FileFormatError(f"{path}: the table has headings and no result; {_NEEDED}")
    return StudyTable(
        laboratories=laboratories,
        materials=materials,
        results=tuple(
            tuple(tuple(cells.get((laboratory, material), ())) for laboratory in laboratories)
            for material in materials
        ),
        title=title,
        unit=heads.unit,
        file=sha256,
        remarks=heads.remarks,
    )
