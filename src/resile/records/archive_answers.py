"""Answers of an archive: what is in it, a trend, a table."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any


@dataclass(frozen=True, slots=True, kw_only=True)
class ResultsWanted:
    """Which results a question means; what is empty or None does not count.

    Attributes
    ----------
    product, lot, sample : str
        Names.
    quantity : str
        Name from the glossary.
    condition : str
        State of the binder.
    temperature_c : float or None
        Test temperature, within 0.1 °C [°C].
    since, until : str
        First and last day of the test, YYYY-MM-DD; a result without a day lies in no span.
    """

    product: str = ""
    lot: str = ""
    sample: str = ""
    quantity: str = ""
    condition: str = ""
    temperature_c: float | None = None
    since: str = ""
    until: str = ""


@dataclass(frozen=True, slots=True)
class ArchiveContents:
    """What is in an archive.

    Attributes
    ----------
    archive : str
        Its folder.
    software, made_from : str
        Version of resile that wrote it; what it was made from.
    files, refused, results, samples, lots, verdicts : int
        Counts.
    first, last : str
        First and last day of a test; empty where none is known.
    products, quantities, labels : tuple of (str, int)
        Names, and the results (samples for labels) of each, the most frequent first.
    options : mapping
        What the archive was made with.
    """

    archive: str
    software: str
    made_from: str
    files: int
    refused: int
    results: int
    samples: int
    lots: int
    verdicts: int
    first: str
    last: str
    products: tuple[tuple[str, int], ...]
    quantities: tuple[tuple[str, int], ...]
    labels: tuple[tuple[str, int], ...]
    options: dict[str, Any]


@dataclass(frozen=True, slots=True)
class TrendMonth:
    """One month of a property of a product.

    Attributes
    ----------
    month : str
        YYYY-MM.
    results : int
        How many; invalid ones are left out.
    mean, lowest, highest : float
        In the unit of the property; the mean is geometric on the logarithmic scale.
    failing : int or None
        Samples of the month that fail the line of the class asked for; None where no class was.
    compared : int or None
        Samples that were compared with it.
    nearest_margin : float or None
        Smallest margin of the month, in the unit of the line; negative beyond the limit.
    """

    month: str
    results: int
    mean: float
    lowest: float
    highest: float
    failing: int | None = None
    compared: int | None = None
    nearest_margin: float | None = None


@dataclass(frozen=True, slots=True)
class Trend:
    """A property of a product month by month.

    Attributes
    ----------
    wanted : ResultsWanted
        What was asked.
    label : str
        Class whose line is meant; empty where none was asked for.
    scale : str
        ``log`` or ``linear``: how the mean is taken and the picture drawn.
    unit : str
        Unit of the property.
    limit : float or None
        Limit of the line; None where no class was asked for.
    months : tuple of TrendMonth
        Oldest first.
    undated : int
        Results that fit but have no day.
    """

    wanted: ResultsWanted
    label: str
    scale: str
    unit: str
    limit: float | None
    months: tuple[TrendMonth, ...]
    undated: int = 0


@dataclass(frozen=True, slots=True)
class AnswerTable:
    """A table that answers a question.

    Attributes
    ----------
    columns : tuple of str
        Names of the columns.
    rows : tuple of tuple
        Text, number, whole number, truth, list of texts or None.
    cut : bool
        True where there are more rows.
    title : str
        The question in words.
    unit : str
        Unit of all its values; empty where there is none, or a column says it row by row.
    words : mapping of str to str
        Names in its cells and what a person calls them; ``column NAME`` for a heading.
    """

    columns: tuple[str, ...]
    rows: tuple[tuple[Any, ...], ...]
    cut: bool = False
    title: str = ""
    unit: str = ""
    words: Mapping[str, str] = field(default_factory=dict)
