"""What tells the specimens of a summary table apart: name, ageing, storage in the bath."""

from __future__ import annotations

import re
from collections import defaultdict
from dataclasses import replace

from resile.readers.conditions import read_condition
from resile.readers.summaries.columns import Table
from resile.readers.summaries.ledger import Ledger
from resile.readers.summaries.values import Conversion
from resile.records.determination import BathStorage, Condition, Determination

Entry = tuple[Determination, Conversion]

_WAITING = ("-", "–", "—", "--", "n/a", "na", "#n/a")
_OSCILLATION = frozenset(
    {"complex_modulus", "phase_angle", "rutting_parameter", "fatigue_parameter", "glover_rowe_parameter"}
)
"""Quantities of one oscillation test: a temperature stated with one of them holds for all."""


def sample_name(table: Table, index: int) -> str:
    """Join the columns that name a sample; a bare number keeps its heading ("lane 3, Tank binder")."""
    parts = []
    for column in table.identity:
        text = table.text(index, column)
        if text in ("", *_WAITING):
            continue
        named = column.reading.quantity == "sample" or not text.replace(".", "").isdigit()
        parts.append(text if named else f"{column.reading.heading.replace('_', ' ')} {text}")
    return ", ".join(parts)


def words_apart(table: Table) -> frozenset[str]:
    """Give the words of a residue that differ in a number only: PAV20 and PAV40 are no replicates.

    Parameters
    ----------
    table : Table
        Headings and rows.

    Returns
    -------
    frozenset of str
        As printed; empty where every sample has one word a residue.
    """
    column = table.block.column_of("condition")
    found: dict[tuple[str, Condition], dict[str, str]] = defaultdict(dict)
    for index in range(len(table.block.row_numbers) if column is not None else 0):
        word = table.text(index, column)
        condition, _ = read_condition(word)
        numbers = " ".join(re.findall(r"\d+", word))
        if numbers and condition is not Condition.UNKNOWN:
            found[sample_name(table, index), condition][word] = numbers
    return frozenset(word for words in found.values() if len(set(words.values())) > 1 for word in words)


def storage_of(
    sample: str, hours: float | None, bath_temperature_c: float | None
) -> tuple[str, BathStorage] | None:
    """Give the name of a beam that was kept in the bath, and how; None where nothing is stated."""
    if hours is None:
        return None
    at = "" if bath_temperature_c is None else f" at {bath_temperature_c:g} °C".replace("-", "−")
    return f"{sample}, kept {hours:g} h{at}", BathStorage(sample, hours, bath_temperature_c)


def share_temperature(entries: list[Entry], ledger: Ledger) -> list[Entry]:
    """Give the values of one oscillation test the temperature that a heading beside them states.

    Parameters
    ----------
    entries : list of (Determination, Conversion)
        Of one row.
    ledger : Ledger
        Told what was taken.

    Returns
    -------
    list of (Determination, Conversion)
        The same, where no heading or more than one states a temperature.
    """
    stated = {d.temperature_c for d, _ in entries if d.quantity in _OSCILLATION} - {None}
    if len(stated) != 1:
        return entries
    celsius = stated.pop()
    shared = []
    for determination, conversion in entries:
        if determination.quantity in _OSCILLATION and determination.temperature_c is None:
            ledger.remark(f"{determination.quantity}: {celsius:g} °C taken from the heading beside it")
            determination = replace(determination, temperature_c=celsius)
        shared.append((determination, conversion))
    return shared
