"""Answers of an archive in words: what a person reads on a page, a terminal and in a workbook.

CSV, Parquet and JSON keep the names of the glossary; here headings get words with units, and names of
properties, states of the binder, tests and lines of a specification become what a laboratory calls them.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from resile.records.archive_answers import AnswerTable, Trend
from resile.records.determination import Condition
from resile.records.quantity import QUANTITIES
from resile.report.words import CONDITION_WORDS, METHOD_TITLES

TEST_TITLES = METHOD_TITLES | {"typed_results": "Table of results", "ageing": "Ageing record"}
"""Kinds of test of an archive in words."""

_HEADS = {
    "tested": "Tested",
    "condition": "Binder",
    "quantity": "Property",
    "temperature_c": "Test temperature (°C)",
    "low_temperature_c": "Low temperature (°C)",
    "stress_kpa": "Stress (kPa)",
    "worst": "Gravest finding",
    "part": "Run",
    "path": "File",
    "sha256": "SHA-256 of the file",
    "software": "Made with resile",
    "label": "Class",
    "requirement": "Line",
    "title": "Line in words",
    "compared": "Compared",
    "fails": "Failed",
    "failing": "Failed",
    "conditional": "Conditional",
    "sd": "Standard deviation",
    "p05": "5 % lie below",
    "p25": "25 % lie below",
    "p75": "75 % lie below",
    "p95": "95 % lie below",
    "first": "First",
    "last": "Last",
    "before": "Class before",
    "after": "Class after",
    "direction": "Stands",
    "probability": "Probability of conformity",
    "probability_before": "Probability of conformity before",
    "probability_after": "Probability of conformity after",
    "within_uncertainty": "Within the uncertainty",
    "standard": "Standard uncertainty",
}
_IN_UNIT = frozenset(
    ("value", "mean", "sd", "lowest", "highest", "p05", "p25", "median", "p75", "p95", "nearest_margin")
)
"""Columns whose numbers have the unit of the property."""
_BRIEF = {
    "temperature_c": "°C",
    "worst": "Gravest",
    "sd": "Scatter",
    "p05": "5 %",
    "p25": "25 %",
    "p75": "75 %",
    "p95": "95 %",
}
"""Headings where there is little room; the table says beneath what they mean."""
_TOLD_ONCE = {
    "specification": ", {}",
    "edition": " ({})",
    "decision_rule": ", {} rule",
    "label": ", class {}",
}
"""Columns that stand in the title where all rows say the same."""
BRIEF_NOTES = {
    "sd": "Scatter: standard deviation of the results.",
    "p05": "5 % to 95 %: so many of the results lie below.",
}
_DIRECTIONS = {"worse": "lower", "better": "higher", "other": "otherwise"}


def titled(words: str) -> str:
    """Give words with a capital in front: symbols such as ``m-value`` keep their own letters."""
    return words[:1].upper() + words[1:] if words[:2].isalpha() else words


def property_title(quantity: str, *, unit: bool = True) -> str:
    """Give a property in words, for example ``Creep stiffness after 60 s of loading (MPa)``.

    Parameters
    ----------
    quantity : str
        Name of the glossary; another name is given back as it is.
    unit : bool
        Whether the unit stands behind.
    """
    known = QUANTITIES.get(quantity)
    if known is None:
        return quantity
    return titled(known.title) + (f" ({known.unit})" if unit and known.unit else "")


def condition_title(condition: str) -> str:
    """Give the state of the binder in words."""
    return CONDITION_WORDS[Condition(condition)] if condition in tuple(Condition) else condition


def test_titles(tests: str) -> str:
    """Give kinds of test in words; several are joined by commas."""
    names = [one.strip() for one in tests.split(",")]
    return ", ".join(TEST_TITLES.get(name, name) for name in names)


def trend_title(trend: Trend) -> str:
    """Say what a trend is of: property with unit, product, lot, state of the binder, temperature."""
    wanted = trend.wanted
    about = [wanted.product, f"lot {wanted.lot}" if wanted.lot else ""]
    about.append(condition_title(wanted.condition) if wanted.condition else "")
    about.append(f"{wanted.temperature_c:g} °C" if wanted.temperature_c is not None else "")
    said = ", ".join(one for one in about if one)
    return f"{property_title(wanted.quantity)} by month" + (f": {said}" if said else "")


def in_words(found: AnswerTable, *, brief: bool = False) -> AnswerTable:
    """Give an answer as a person reads it: headings and names in words, numbers in full.

    Parameters
    ----------
    found : AnswerTable
        By the names of the glossary.
    brief : bool
        For a terminal or a page: without columns that say nothing, and with short headings; what all rows
        share stands in the title.

    Returns
    -------
    AnswerTable
        A unit that all rows share stands in the headings, and its column is gone.
    """
    unit, left_out = _shared_unit(found)
    hidden = {left_out}
    title = found.title
    if brief and found.rows:
        shared = [name for name in _TOLD_ONCE if name in found.columns and len(_values(found, name)) == 1]
        hidden |= {*shared, *(name for name in found.columns if not any(_values(found, name)))}
        told = "".join(_TOLD_ONCE[name].format(*_values(found, name)) for name in shared)
        title = ": ".join(one for one in (title, told.lstrip(" ,")) if one)
    kept = [(place, name) for place, name in enumerate(found.columns) if name not in hidden]
    if not kept:  # nothing but empty cells: they are the answer
        kept = list(enumerate(found.columns))
    short = _BRIEF if brief else {}
    beside = "" if brief and unit and unit in title else unit
    columns = tuple(
        short.get(name) or _head(found.words.get(f"column {name}", ""), name, beside) for _, name in kept
    )
    rows = tuple(tuple(_cell(name, row[place], found) for place, name in kept) for row in found.rows)
    return replace(found, columns=columns, rows=rows, title=title)


def brief_notes(found: AnswerTable) -> str:
    """Say what short headings mean, where they stand."""
    return " ".join(words for name, words in BRIEF_NOTES.items() if name in found.columns)


def _values(found: AnswerTable, name: str) -> set[Any]:
    place = found.columns.index(name)
    return {tuple(row[place]) if isinstance(row[place], list) else row[place] for row in found.rows}


def _shared_unit(found: AnswerTable) -> tuple[str, str]:
    """Give the unit of all values, and the column that need not be shown for it."""
    if found.unit or "unit" not in found.columns:
        return found.unit, ""
    place = found.columns.index("unit")
    units = {row[place] for row in found.rows}
    return (units.pop(), "unit") if len(units) == 1 else ("", "")


def _head(said: str, name: str, unit: str) -> str:
    words = said or _HEADS.get(name) or titled(name.replace("_", " "))
    return f"{words} ({unit})" if unit and name in _IN_UNIT else words


def _cell(name: str, value: Any, found: AnswerTable) -> Any:
    if isinstance(value, Sequence) and not isinstance(value, str):
        return [_cell(name, one, found) for one in value]
    if not isinstance(value, str) or not value:
        return value
    if name == "quantity":
        return property_title(value)
    if name == "condition":
        return condition_title(value)
    if name == "test":
        return test_titles(value)
    if name == "direction":
        return _DIRECTIONS.get(value, value)
    return found.words.get(value, value) if name in ("requirement", "name") else value
