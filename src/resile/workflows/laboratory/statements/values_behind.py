"""From a value of a verdict down to the run and the file it hangs on."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import PurePosixPath
from typing import Any

from resile.records.determination import Condition
from resile.records.register import TYPED_RESULTS, Kept, Run, Specimen
from resile.report.numbers import shown
from resile.report.words import CONDITION_WORDS, symbol_of
from resile.storage.reading import Reading


@dataclass(frozen=True, slots=True)
class ValueBehind:
    """One single value of a verdict.

    Attributes
    ----------
    quantity, condition, at, value : str
        What it is, in words.
    place : str
        Specimen, or line of a table, as the verdict names it.
    address : str
        Page of its run; that of its file where no single run gave it.
    file, sha256 : str
        Name and hash of the file.
    """

    quantity: str
    condition: str
    at: str
    value: str
    place: str
    address: str
    file: str
    sha256: str


def values_behind(reading: Reading, sample: str, content: dict[str, Any]) -> tuple[ValueBehind, ...]:
    """Name the run and the file behind every single value of a verdict.

    Parameters
    ----------
    reading : Reading
        The record, inside a transaction.
    sample : str
        Key of the sample.
    content : dict
        The verdict as it was kept.
    """
    runs = reading.find(Run, sample=sample)
    numbers = {one.key: one.value.number for one in reading.find(Specimen, sample=sample)}
    return tuple(
        _behind(result, single, runs, numbers)
        for result in content.get("results", ())
        for single in result["determinations"]
        if single["source"]
    )


def _behind(
    result: dict[str, Any], single: dict[str, Any], runs: list[Kept[Run]], numbers: dict[str, str]
) -> ValueBehind:
    condition, sha256 = Condition(result["condition"]), single["source"]["sha256"]
    of_file = [run for run in runs if run.value.file == sha256 and run.value.test != TYPED_RESULTS]
    fitting = [run for run in of_file if run.value.condition is condition]
    named = [run for run in fitting if numbers.get(run.value.specimen) == single["replicate"]]
    found = named if len(named) == 1 else fitting
    temperature = result["temperature_c"]
    return ValueBehind(
        quantity=symbol_of(result["quantity"]),
        condition=CONDITION_WORDS[condition],
        at="" if temperature is None else f"{temperature:.1f} °C",
        value=f"{shown(single['value'], result['quantity'])} {result['unit']}".strip(),
        place=single["place"],
        address=f"/runs/{found[0].key}" if len(found) == 1 else f"/drop/{sha256}",
        file=PurePosixPath(single["source"]["path"]).name,
        sha256=sha256,
    )
