"""The sheet of comparison rounds: what was reported, what was assigned, and by which deviation it is
scored.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from resile.errors import FileFormatError
from resile.readers.conditions import read_condition
from resile.readers.named_rows import NamedRow, read_named_rows
from resile.readers.rounds.days import with_iso_days
from resile.readers.rounds.headings import MOST_BYTES, headings_of, says_nothing, why_no_number
from resile.readers.summaries.names import name_quantity, take_apart
from resile.readers.summaries.values import Conversion, find_conversion
from resile.records.determination import Condition
from resile.records.reading import HeldFile
from resile.records.register.laboratories import RoundResult

_AMOUNTS = ("value", "assigned")
_SPREADS = ("assigned_standard", "deviation", "own_standard")


def read_round_sheet(
    path: Path | HeldFile, *, scheme: str = "", quantity: str = ""
) -> tuple[tuple[RoundResult, ...], tuple[str, ...]]:
    """Read a sheet of comparison rounds, one property of one material a row.

    Parameters
    ----------
    path : Path or HeldFile
        Separated text or a workbook (.xlsx).
    scheme : str
        Who runs the rounds, where no column says so.
    quantity : str
        Name from the glossary, where no column names the property.

    Returns
    -------
    tuple of RoundResult, tuple of str
        Results in the unit of the glossary, in the order of the file, and how the sheet was read: spellings
        and units taken, columns that were not used.

    Raises
    ------
    RecordNotFoundError
        No such file.
    FileFormatError
        No such headings; a property, a unit, a residue or a number that cannot be read, with its place.
    AmbiguousFileError
        The decimal mark can be read in two ways.
    """
    needed = ("round", "value") if quantity else ("round", "quantity", "value")
    table, source = read_named_rows(
        path,
        headings_of("round"),
        needed=needed,
        one_of=("assigned",),
        what="sheet of comparison rounds (.csv, .xlsx)",
        max_bytes=MOST_BYTES,
    )
    table = with_iso_days(table, "day", str(path))
    remarks = [f"column '{heading}' is not used" for heading in table.unused]
    results = []
    for row in table.rows:
        if says_nothing(row.text("value")):
            remarks.append(f"{row.place}: no result, left out")
            continue
        one, said = _result(f"{path}, {row.place}", row, table.brackets, scheme, quantity, source.sha256)
        results.append(one)
        remarks += said
    if not results:
        raise FileFormatError(f"{path}: the sheet has headings and no result")
    return tuple(results), tuple(dict.fromkeys(remarks))


def _result(
    where: str, row: NamedRow, brackets: Mapping[str, str], scheme: str, quantity: str, sha256: str
) -> tuple[RoundResult, list[str]]:
    title = take_apart(row.text("quantity") or quantity)
    named = name_quantity(title.quantity_text)
    if isinstance(named, str):
        raise FileFormatError(f"{where}: {named}")
    unit = row.text("unit") or brackets.get("value", "") or named.unit_text
    conversion = find_conversion(named.quantity, unit)
    if isinstance(conversion, str):
        raise FileFormatError(f"{where}: {conversion}")
    condition, said = _condition(where, row.text("condition"), title.condition)
    given: dict[str, Any] = {name: _amount(where, row, name, conversion) for name in (*_AMOUNTS, *_SPREADS)}
    if given["value"] is None or not math.isfinite(given["value"]):
        raise FileFormatError(f"{where}: '{row.text('value')}' is no result")
    if given["deviation"] is not None and given["deviation"] <= 0.0:
        raise FileFormatError(f"{where}: standard deviation {given['deviation']:g}; above zero is needed")
    count = _number(where, row, "laboratories")
    result = RoundResult(
        **given,
        scheme=row.text("scheme") or scheme,
        round=row.text("round"),
        material=row.text("material"),
        quantity=named.quantity,
        day=row.text("day"),
        condition=condition,
        temperature_c=_temperature(where, row, title.temperature_c),
        laboratories=None if count is None else int(count),
        file=sha256,
        note=row.text("note"),
    )
    return result, [remark for remark in (named.remark, conversion.remark, said) if remark]


def _condition(where: str, text: str, titled: Condition) -> tuple[Condition, str]:
    """Give the residue: as the column says, else as the title does, else original and said so."""
    if not text:
        if titled is not Condition.UNKNOWN:
            return titled, ""
        return Condition.ORIGINAL, "no residue is named: taken as original binder"
    condition, said = read_condition(text)
    if condition is Condition.UNKNOWN:
        raise FileFormatError(f"{where}: {said}")
    return condition, said


def _number(where: str, row: NamedRow, name: str) -> float | None:
    text = row.text(name)
    if says_nothing(text):
        return None
    number = row.numbers.get(name)
    if number is None or not math.isfinite(number):
        raise FileFormatError(f"{where}: '{text}' under {name} {why_no_number(text)}")
    return number


def _amount(where: str, row: NamedRow, name: str, conversion: Conversion) -> float | None:
    number = _number(where, row, name)
    if number is None:
        return None
    if name in _AMOUNTS:
        return conversion.apply(number)
    return conversion.apply(number) - conversion.apply(0.0)  # a spread has no zero of its own


def _temperature(where: str, row: NamedRow, titled: float | None) -> float | None:
    number = _number(where, row, "temperature_c")
    return titled if number is None else number
