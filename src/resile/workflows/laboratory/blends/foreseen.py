"""Each trial blend beside what the others foresaw of it: how far the surfaces of a book can be trusted."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from resile.records.blending.book import BlendBook
from resile.records.blending.surface import Surface
from resile.report.numbers import decimals_of, fixed, rule_for
from resile.workflows.laboratory.blends.shown_book import response_title

_DECIMALS = 6
Shares = tuple[float, ...]


@dataclass(frozen=True, slots=True)
class ForeseenTrials:
    """The table of trial blends and what the others foresaw of them.

    Attributes
    ----------
    titles : tuple of str
        Properties, with unit.
    rows : tuple of (str, tuple of str)
        Name of a blend or component; for each property the tested value and the one foreseen without it,
        empty where it was not tested or could not be left out.
    """

    titles: tuple[str, ...]
    rows: tuple[tuple[str, tuple[str, ...]], ...]


def foreseen_trials(book: BlendBook, surfaces: Sequence[Surface]) -> ForeseenTrials:
    """Set each trial beside what the surfaces say of it when it is left out.

    Parameters
    ----------
    book : BlendBook
        Names the blends.
    surfaces : sequence of Surface
        As fitted, with their quality.

    Returns
    -------
    ForeseenTrials
        In the order of the book.
    """
    told = [surface for surface in surfaces if surface.quality is not None and surface.quality.left_out]
    cells = [_of_surface(book, surface) for surface in told]
    order = [*(trial.name for trial in book.trials), *(one.name for one in book.components)]
    names = dict.fromkeys(name for one in cells for name in one)
    ordered = sorted(names, key=lambda name: order.index(name.partition(", ")[0]))
    return ForeseenTrials(
        titles=tuple(response_title(surface.response) for surface in told),
        rows=tuple((name, tuple(one.get(name, "") for one in cells)) for name in ordered),
    )


def _of_surface(book: BlendBook, surface: Surface) -> dict[str, str]:
    assert surface.quality is not None
    names = _names(book, surface)
    rule = rule_for(surface.response.quantity)
    found = {}
    for name, observed, error in zip(names, surface.observed, surface.quality.left_out, strict=False):
        tested, foreseen = _value(surface, observed), _value(surface, observed - error)
        decimals = decimals_of(tested, rule)
        found[name] = f"{fixed(tested, decimals)} ({fixed(foreseen, decimals)})"
    return found


def _names(book: BlendBook, surface: Surface) -> list[str]:
    """Name the points of a surface: repeats in the order of the book, or together where they were pooled."""
    blends: dict[Shares, list[str]] = {}
    for trial in book.trials:
        total = math.fsum(trial.percent.values())
        shares = tuple(round(trial.percent.get(name, 0.0) / total, _DECIMALS) for name in surface.components)
        blends.setdefault(shares, []).append(trial.name)
    for place, name in enumerate(surface.components):
        alone = tuple(float(place == other) for other in range(len(surface.components)))
        blends.setdefault(alone, []).append(name)
    points = [tuple(round(share, _DECIMALS) for share in point) for point in surface.points]
    named: list[str] = []
    for point in points:
        known = blends.get(point, [])
        if len(known) == points.count(point):
            named.append(known[sum(other == point for other in points[: len(named)])])
        else:
            named.append(", ".join(known))
    return named


def _value(surface: Surface, scaled: float) -> float:
    return math.exp(scaled) if surface.scale == "logarithm" else scaled
