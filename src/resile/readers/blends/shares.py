"""The table of shares of a blend book: one trial blend a row, one component a column; %, ratios or masses."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from resile.errors import FileFormatError
from resile.readers.blends.problems import Problems, known_names
from resile.readers.grids.vocabulary import fold
from resile.readers.named_rows import NamedRow, NamedTable, read_named_rows
from resile.readers.word_lists import load_words
from resile.records.reading import HeldFile, SourceFile

MAX_BYTES = 5_000_000
WHAT = "table of shares (.csv, .xlsx)"
_BRACKETS = re.compile(r"[\[(][^\])]*[\])]")
_RATIO_TOLERANCE = 0.01
_OTHERS = ("blend", "storage_h", "storage_c")


@dataclass(frozen=True, slots=True)
class SharedBlend:
    """One row of a table of shares.

    Attributes
    ----------
    name : str
        Name of the blend.
    percent : mapping of str to float
        Its shares by mass [%], which add up to 100.
    place : str
        Where it stands.
    storage_h, storage_c : float or None
        Hot storage before the test [h], [°C].
    """

    name: str
    percent: Mapping[str, float]
    place: str
    storage_h: float | None = None
    storage_c: float | None = None


@dataclass(frozen=True, slots=True)
class ShareTable:
    """A table of shares as it was read.

    Attributes
    ----------
    blends : tuple of SharedBlend
        In the order of the table; each name once.
    source : SourceFile
        The file.
    remarks : tuple of str
        How it was understood.
    """

    blends: tuple[SharedBlend, ...]
    source: SourceFile
    remarks: tuple[str, ...] = ()


def read_shares(path: Path | HeldFile, components: Sequence[str], problems: Problems) -> ShareTable | None:
    """Read a table of shares.

    Parameters
    ----------
    path : Path or HeldFile
        Separated text or a workbook with a row of headings.
    components : sequence of str
        Names of the components.
    problems : Problems
        What cannot be used is added to it.

    Returns
    -------
    ShareTable or None
        None where no row of headings was found.
    """
    try:
        table, source = read_named_rows(
            path,
            _spellings(components),
            needed=("blend",),
            one_of=tuple(components),
            what=WHAT,
            max_bytes=MAX_BYTES,
            thousands=False,
        )
    except FileFormatError as error:
        problems.add("", str(error))
        return None
    unit = _unit(table, components, str(path), problems)
    blends, remarks = _blends(table, components, unit, str(path), problems)
    notes = [*table.notes, *remarks]
    missing = [name for name in components if not any(name in row.cells for row in table.rows)]
    if missing:
        notes.append(f"no column for {', '.join(missing)}: its share was taken as 0")
    if table.unused:
        notes.append(f"columns without shares: {', '.join(map(repr, table.unused))}")
    name = Path(str(path)).name
    return ShareTable(blends, source, tuple(f"{name}: {note}" for note in notes))


def _spellings(components: Sequence[str]) -> dict[str, list[str]]:
    """Give the spellings of each heading; a name with brackets is found by what stands before them."""
    words = load_words("resile.readers.blends", "words.toml")
    units = [unit for spellings in words["unit"].values() for unit in spellings if unit not in ("1", "-")]
    spelt: dict[str, list[str]] = {name: list(words["heading"][name]) for name in _OTHERS}
    bare = {name: _BRACKETS.sub("", name).strip() for name in components}
    for name in components:
        ways = [name] if list(bare.values()).count(bare[name]) > 1 or not bare[name] else [name, bare[name]]
        spelt[name] = [
            *ways,
            *(f"{way}{mark}{unit}" for way in ways for mark in (", ", " ") for unit in units),
        ]
    return spelt


def _unit(table: NamedTable, components: Sequence[str], path: str, problems: Problems) -> str:
    """Give ``percent``, ``ratio``, ``mass`` or, where nothing is printed, an empty text."""
    units = load_words("resile.readers.blends", "words.toml")["unit"]
    printed: dict[str, str] = {}
    for name in components:
        inside = fold(table.brackets.get(name, ""))
        for unit, spellings in units.items():
            if inside and inside in {fold(spelling) for spelling in spellings}:
                printed[unit] = table.brackets[name]
    if len(printed) > 1:
        found = ", ".join(printed.values())
        problems.add(
            path, f"the columns of shares print different units ({found}); give all of them one unit"
        )
    masses = {
        table.brackets[name]
        for name in components
        if fold(table.brackets.get(name, "")) in {fold(unit) for unit in units["mass"]}
    }
    if len(masses) > 1:
        problems.add(
            path, f"the columns print masses in {' and '.join(sorted(masses))}; give all of them one unit"
        )
    return next(iter(printed), "")


def _blends(
    table: NamedTable, components: Sequence[str], unit: str, path: str, problems: Problems
) -> tuple[tuple[SharedBlend, ...], list[str]]:
    read: dict[str, SharedBlend] = {}
    scaled: dict[str, list[str]] = {}
    for row in table.rows:
        place = f"{path}, {row.place}"
        name = row.text("blend")
        printed = {one: _number(row, one, place, problems) for one in components if row.text(one)}
        if not name:
            problems.add(place, "this row names no blend")
            continue
        if not printed:  # a further row of results of the same blend
            if fold(name) not in read:
                problems.add(place, f"blend {name!r} has no shares; give the share of each component")
            continue
        percent, remark = _as_percent(printed, unit, f"{place}, blend {name!r}", table.unused, problems)
        if remark:
            scaled.setdefault(remark, []).append(name)
        before = read.get(fold(name))
        if before is not None:
            if any(abs(before.percent.get(one, 0.0) - percent.get(one, 0.0)) > 1e-6 for one in components):
                problems.add(
                    place, f"blend {name!r} stands at {before.place} with other shares; name each blend once"
                )
            continue
        hours, celsius = (
            _number(row, key, place, problems) if row.text(key) else None for key in _OTHERS[1:]
        )
        read[fold(name)] = SharedBlend(name, percent, row.place, hours, celsius)
    return tuple(read.values()), [
        f"{remark}: {', '.join(dict.fromkeys(names))}" for remark, names in scaled.items()
    ]


def _number(row: NamedRow, name: str, place: str, problems: Problems) -> float:
    value = row.numbers.get(name)
    if value is None or not math.isfinite(value) or value < 0.0:
        problems.add(
            place, f"{row.text(name)!r} under {name}; needed is a number, not below zero, or nothing"
        )
        return 0.0
    return value


def _as_percent(
    printed: Mapping[str, float], unit: str, place: str, unused: Sequence[str], problems: Problems
) -> tuple[dict[str, float], str]:
    """Give shares that add up to 100, and how they were made so."""
    total = math.fsum(printed.values())
    if unit == "mass" and total > 0.0:
        return _shares_of(printed, total), "masses were divided by their sum"
    if unit == "ratio" or (not unit and abs(total - 1.0) <= _RATIO_TOLERANCE):
        return percent_of(
            {name: 100.0 * value for name, value in printed.items()},
            place,
            problems,
            ratio=True,
            unused=unused,
        )
    return percent_of(printed, place, problems, unused=unused)


def percent_of(
    given: Mapping[str, float],
    place: str,
    problems: Problems,
    *,
    ratio: bool = False,
    unused: Sequence[str] = (),
) -> tuple[dict[str, float], str]:
    """Give shares that add up to 100 % exactly, and a remark where they were scaled.

    Parameters
    ----------
    given : mapping of str to float
        Shares as printed [%].
    place : str
        For the message.
    problems : Problems
        Told where they add up to something else.
    ratio : bool
        Whether they were printed as ratios.
    unused : sequence of str
        Headings that are no component, which may be why.

    Returns
    -------
    tuple of (dict, str)
        The shares [%]; words for the remark, empty where nothing was done.
    """
    total = math.fsum(given.values())
    tolerance = load_words("resile.readers.blends", "words.toml")["adding_up"]["tolerance_percent"]
    said = "shares printed as ratios were multiplied by 100" if ratio else ""
    if abs(total - 100.0) > tolerance:
        if ratio:
            told = f"the ratios add up to {total / 100.0:.6g}; needed is 1"
        elif abs(total - 1.0) <= _RATIO_TOLERANCE:
            told = "the shares add up to 1; needed is percent by mass, which add up to 100"
        else:
            told = f"the shares add up to {total:.6g} %; needed is 100"
        columns = f" (columns that are no component: {', '.join(map(repr, unused))})" if unused else ""
        problems.add(place, told + columns)
    elif abs(total - 100.0) > 1e-9:
        said = said or f"shares that miss 100 by rounding (at most {tolerance:g}) were scaled to 100"
    return (_shares_of(given, total) if total > 0.0 else dict(given)), said


def _shares_of(given: Mapping[str, float], total: float) -> dict[str, float]:
    return {name: 100.0 * value / total for name, value in given.items() if value > 0.0}


def named_percent(
    given: Mapping[str, float], components: Sequence[str], place: str, problems: Problems
) -> tuple[dict[str, float], str]:
    """Give shares typed by name, under the names of the components.

    Parameters
    ----------
    given : mapping of str to float
        As typed [%].
    components : sequence of str
        Names of the components.
    place : str
        For the message.
    problems : Problems
        Told of names that are no component, numbers below zero, and sums that are not 100.

    Returns
    -------
    tuple of (dict, str)
        As `percent_of`.
    """
    spelt = {fold(name): name for name in components}
    found: dict[str, float] = {}
    for typed, value in given.items():
        name = spelt.get(fold(typed))
        if name is None:
            problems.add(place, f"there is no component {typed!r}{known_names(typed, components)}")
        elif value < 0.0:
            problems.add(place, f"{value:g} % of {typed!r}; needed is a number, not below zero")
        elif name in found:
            problems.add(place, f"the component {name!r} stands twice")
        else:
            found[name] = value
    if not given or len(found) < len(given):
        return found, ""
    return percent_of(found, place, problems)
