"""Axes of watched properties: a logarithmic one where the logarithm is watched."""

from __future__ import annotations

import math
from collections.abc import Sequence

from resile.records.control.production import WatchedProperty
from resile.report.figures.style import Spec, decade_ticks, number_axis
from resile.report.words import CONDITION_WORDS, symbol_of

_DECADE = 10.0


def property_title(watched: WatchedProperty) -> str:
    """Give symbol and unit of a watched property, as on an axis."""
    return f"{symbol_of(watched.quantity)}{f' ({watched.unit})' if watched.unit else ''}"


def property_words(watched: WatchedProperty) -> str:
    """Give a watched property in words: symbol, with residue and temperature in brackets."""
    at = "" if watched.temperature_c is None else f", {watched.temperature_c:g} °C"
    return f"{symbol_of(watched.quantity)} ({CONDITION_WORDS[watched.condition]}{at})"


def limit_words(watched: WatchedProperty) -> str:
    """Give the limit in words; empty where there is none."""
    if watched.limit is None:
        return ""
    least = "at most" if watched.limit_is == "at_most" else "at least"
    return f"{least} {watched.limit:g}{f' {watched.unit}' if watched.unit else ''}"


def axis_ends(
    values: Sequence[float], watched: WatchedProperty, *, room: float = 0.04
) -> tuple[float, float]:
    """Give the ends of an axis with room around the values, in the unit of the glossary."""
    low, high = min(values), max(values)
    if watched.scale == "log":
        first, last = math.log10(low), math.log10(high)
        span = (last - first) or 0.1
        return 10.0 ** (first - room * span), 10.0 ** (last + room * span)
    span = (high - low) or abs(high) or 1.0
    return low - room * span, high + room * span


def property_axis(
    field: str, watched: WatchedProperty, ends: tuple[float, float], *, title: str = "", grid: bool = True
) -> Spec:
    """Give the encoding of a watched property along one axis."""
    words = title or property_title(watched)
    if watched.scale == "log":
        scale: Spec = {"type": "log", "domain": list(ends), "nice": False}
        axis = number_axis(words, values=_log_ticks(*ends), grid=grid)
    else:
        scale = {"type": "linear", "domain": list(ends), "nice": False, "zero": False}
        axis = number_axis(words, tickCount=7, grid=grid)
    return {"field": field, "type": "quantitative", "scale": scale, "axis": axis}


def _log_ticks(low: float, high: float) -> list[float]:
    """Give places to label: the lots of one product seldom span a decade, and then need more than 1, 2, 5."""
    if high / low >= _DECADE:
        return decade_ticks(low, high)
    first = math.floor(math.log10(low))
    steps = (1.0, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0)
    places = [float(f"{step * 10.0**power:.6g}") for power in (first, first + 1) for step in steps]
    inside = [place for place in places if low <= place <= high]
    return inside if len(inside) > 1 else decade_ticks(low, high)
