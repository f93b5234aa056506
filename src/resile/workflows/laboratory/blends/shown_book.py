"""A kept blend book as its page shows it: trial blends with their shares and results."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from statistics import fmean

from resile.records.blending.book import Component, TrialBlend
from resile.records.blending.limit import Response
from resile.records.determination import Condition
from resile.records.quantity import QUANTITIES
from resile.report.numbers import shown
from resile.report.words import CONDITION_WORDS, symbol_of, title_of
from resile.workflows.laboratory.blends.kept_blends import KeptBlend

_MOST_RESPONSES = 60


@dataclass(frozen=True, slots=True)
class ShownTrial:
    """A component or trial blend with its results.

    Attributes
    ----------
    name : str
        Its name.
    percent : tuple of float or None
        Share of each component [%], in the order of the book; None for a component itself.
    values : tuple of str
        Result for each property of the table; the mean where there are several, with their number.
    storage : str
        Hot storage before the test, in words; empty where none is stated.
    """

    name: str
    percent: tuple[float, ...] | None
    values: tuple[str, ...]
    storage: str = ""


@dataclass(frozen=True, slots=True)
class ShownGroup:
    """Properties of one residue, which stand side by side in a table.

    Attributes
    ----------
    residue : str
        Original binder, or how it was aged.
    first : int
        Place of the first of them among the values of a trial.
    titles : tuple of str
        Their headings, with unit.
    """

    residue: str
    first: int
    titles: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class ShownBook:
    """The tables of trial blends.

    Attributes
    ----------
    responses : tuple of Response
        Their properties: by residue, then in the order in which they were met.
    groups : tuple of ShownGroup
        The same, residue by residue.
    trials : tuple of ShownTrial
        Trial blends, then components that were tested by themselves.
    """

    responses: tuple[Response, ...]
    groups: tuple[ShownGroup, ...]
    trials: tuple[ShownTrial, ...]


def shown_book(kept: KeptBlend) -> ShownBook:
    """Give the table of trial blends of a book.

    Parameters
    ----------
    kept : KeptBlend
        The book.
    """
    book = kept.book
    made: list[TrialBlend | Component] = [
        *book.trials,
        *(one for one in book.components if one.determinations),
    ]
    met = list(dict.fromkeys(_responses(made)))[:_MOST_RESPONSES]
    responses = tuple(sorted(met, key=lambda one: list(Condition).index(one.condition)))
    names = [one.name for one in book.components]
    return ShownBook(
        responses=responses,
        groups=_groups(responses),
        trials=tuple(_shown_trial(one, names, responses) for one in made),
    )


def responses_to_test(kept: KeptBlend) -> tuple[Response, ...]:
    """Give the properties that a trial blend of a book is tested for: those of its limits and its trials.

    Parameters
    ----------
    kept : KeptBlend
        The book.
    """
    own = (limit.response for limit in kept.book.aim.limits)
    return tuple(dict.fromkeys([*own, *_responses(kept.book.trials)]))


def _groups(responses: tuple[Response, ...]) -> tuple[ShownGroup, ...]:
    found = []
    for condition in dict.fromkeys(one.condition for one in responses):
        titles = [response_title(one, residue=False) for one in responses if one.condition is condition]
        first = next(place for place, one in enumerate(responses) if one.condition is condition)
        found.append(ShownGroup(_residue(condition), first, tuple(titles)))
    return tuple(found)


def _residue(condition: Condition) -> str:
    if condition is Condition.UNKNOWN:
        return "a residue that is not stated"
    words = CONDITION_WORDS[condition]
    return words if "binder" in words else f"{words} binder"


def response_title(response: Response, *, in_full: bool = False, residue: bool = True) -> str:
    """Give a property in words: what, on which residue, at which temperature, in which unit.

    Parameters
    ----------
    response : Response
        The property.
    in_full : bool
        Its name in place of its symbol.
    residue : bool
        With the residue, where it is aged.
    """
    parts = [title_of(response.quantity) if in_full else symbol_of(response.quantity)]
    if residue and response.condition is not Condition.ORIGINAL:
        parts.append(CONDITION_WORDS[response.condition])
    if response.temperature_c is not None:
        parts.append(f"{response.temperature_c:g} °C".replace("-", "\N{MINUS SIGN}"))
    unit = QUANTITIES[response.quantity].unit
    return ", ".join(parts) + (f" [{unit}]" if unit else "")


def _responses(made: Iterable[TrialBlend | Component]) -> list[Response]:
    return [
        Response(one.quantity, one.condition, one.temperature_c)
        for blend in made
        for one in blend.determinations
        if one.value is not None
    ]


def _shown_trial(
    made: TrialBlend | Component, names: list[str], responses: tuple[Response, ...]
) -> ShownTrial:
    values: dict[Response, list[float]] = {}
    for one in made.determinations:
        if one.value is not None:
            key = Response(one.quantity, one.condition, one.temperature_c)
            values.setdefault(key, []).append(one.value)
    trial = made if isinstance(made, TrialBlend) else None
    return ShownTrial(
        name=made.name,
        percent=tuple(trial.percent.get(name, 0.0) for name in names) if trial else None,
        values=tuple(_value(values, one) for one in responses),
        storage=_storage(trial) if trial else "",
    )


def _value(values: Mapping[Response, list[float]], response: Response) -> str:
    found = values.get(response)
    if not found:
        return ""
    text = shown(fmean(found), response.quantity)
    return f"{text} ({len(found)}×)" if len(found) > 1 else text


def _storage(trial: TrialBlend) -> str:
    hours = "" if trial.storage_h is None else f"{trial.storage_h:g} h"
    celsius = "" if trial.storage_c is None else f"{trial.storage_c:g} °C"
    return " at ".join(part for part in (hours, celsius) if part)
