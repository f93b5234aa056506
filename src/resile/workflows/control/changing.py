"""Changes of level with their dates, and what may have caused them."""

from __future__ import annotations

import datetime
import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import groupby, pairwise

import numpy as np

from resile.compute.statistics.control.changes import Ramp, change_interval, level_changes, ramp_between
from resile.judge.control.causes import suggest
from resile.judge.wording import number_words, property_words
from resile.records.control.cause_pattern import SeenMove
from resile.records.control.chart import (
    CauseSuggestion,
    ChangePoint,
    ChartSignal,
    ControlChart,
    ControlPoint,
)
from resile.records.control.production import ProductionResult, WatchedProperty
from resile.records.quantity import QUANTITIES
from resile.specifications.control import load_cause_patterns
from resile.workflows.control.lots import off_scale, on_scale
from resile.workflows.control.setting_up import Floats

SHORTEST = 3
"""Fewest lots of one level: one odd lot, or two, are the chart's own business."""
_PENALTY = 3.0
"""A change must save this many natural logarithms of the number of lots in squares."""
_FEWEST = 2 * SHORTEST
_SHORTEST_DRIFT = 5
_DRIFT_FREE = 3.25
"""A ramp has two places and a level of its own; the quarter keeps steps from passing for drifts (drawn:
one step in 70 of three to four and a half standard deviations)."""
_SAME_DAYS = 10
"""Changes of two properties within so many days count as one event where their intervals do not meet."""


def changes(chart: ControlChart, *, confidence: float = 0.95) -> tuple[ChangePoint, ...]:
    """Find changes of level in the lots of a chart, with the days between which each lies.

    Parameters
    ----------
    chart : ControlChart
        Any kind for one property; lots left out take no part.
    confidence : float
        Of the days.

    Returns
    -------
    tuple of ChangePoint
        In order of time; empty where one level fits, or fewer than six lots are there.

    Notes
    -----
    Means of lots on the watched scale are split by `level_changes` with the standard deviation of the chart;
    for charts of replicates, whose standard deviation is that of the test alone, that of the moving ranges.
    Neighbouring steps the same way are one slow drift where a straight line between two levels fits better,
    each free number counted with the natural logarithm of the number of lots (Bayesian information
    criterion).
    """
    places = [index for index, point in enumerate(chart.points) if not point.excluded]
    if chart.kind == "joint" or len(places) < _FEWEST:
        return ()
    points = [chart.points[index] for index in places]
    values = np.array([_mean(point, chart.property) for point in points])
    deviation = _deviation(chart, values)
    if deviation <= 0.0:
        return ()
    penalty = _PENALTY * math.log(len(values))
    starts = level_changes(values, standard_deviation=deviation, penalty=penalty, shortest=SHORTEST)
    series = _Series(points, values, deviation, confidence, chart.property, tuple(places))
    return tuple(change for group in _same_way(values, starts) for change in series.of_group(group))


def suggest_causes(
    found: Mapping[str, Sequence[ChangePoint]], *, results: Sequence[ProductionResult] = ()
) -> dict[str, tuple[ChangePoint, ...]]:
    """Put beside each change the causes that fit what the other properties did about that day.

    Parameters
    ----------
    found : mapping of str to sequence of ChangePoint
        Changes of every watched property by its name; a property without a change is there with none, and
        counts as unchanged.
    results : sequence of ProductionResult, optional
        From which it is known whether the tank changed.

    Returns
    -------
    dict of str to tuple of ChangePoint
        The same changes with suggestions.
    """
    patterns = load_cause_patterns()
    return {
        quantity: tuple(
            replace(
                change,
                suggestions=suggest(
                    patterns,
                    [_move(name, change, others) for name, others in found.items()],
                    change=change.kind,
                    tank_changed=_tank_changed(results, change.when),
                ),
            )
            for change in one
        )
        for quantity, one in found.items()
    }


def suggest_for_lot(
    charts: Sequence[ControlChart], lot: str, *, results: Sequence[ProductionResult] = ()
) -> tuple[CauseSuggestion, ...]:
    """Give the causes that fit the signals of one lot on the charts of several properties.

    Parameters
    ----------
    charts : sequence of ControlChart
        One for each property, all of single values or means.
    lot : str
        Label of the lot.
    results : sequence of ProductionResult, optional
        From which it is known whether the tank changed.

    Returns
    -------
    tuple of CauseSuggestion
        Empty where no pattern fits, or the lot raises no signal.
    """
    moves, when, any_signal = [], "", False
    for chart in charts:
        for index, point in enumerate(chart.points):
            if point.label != lot or point.excluded:
                continue
            when = point.when
            signals = [signal for signal in chart.signals if signal.index == index]
            any_signal = any_signal or bool(signals)
            moves.append(_move_of_lot(chart, point, signals))
    if not any_signal:
        return ()
    changed = _tank_changed(results, when)
    return suggest(load_cause_patterns(), moves, change="", tank_changed=changed)


def _move_of_lot(chart: ControlChart, point: ControlPoint, signals: Sequence[ChartSignal]) -> SeenMove:
    words = property_words(chart.property.quantity)
    if not signals:
        return SeenMove(
            quantity=chart.property.quantity, moved="unchanged", text=f"{words} within its limits"
        )
    way = "up" if point.plotted > point.centre else "down"
    side = "high" if way == "up" else "low"
    return SeenMove(quantity=chart.property.quantity, moved=way, text=f"{words} signals {side}")


@dataclass(frozen=True, slots=True)
class _Series:
    """The lots that count, with their means on the watched scale."""

    points: Sequence[ControlPoint]
    values: Floats
    deviation: float
    confidence: float
    watched: WatchedProperty
    places: tuple[int, ...]

    def of_group(self, group: Sequence[tuple[int, int, int]]) -> Iterator[ChangePoint]:
        """Give steps that go one way as they are, or as one drift."""
        first, last = group[0][0], group[-1][2]
        window = self.values[first:last]
        ramp = ramp_between(window, standard_deviation=self.deviation, confidence=self.confidence)
        free = math.log(len(self.values))
        edges = [first, *(start for _, start, _ in group), last]
        steps = sum(self._squares(a, b) for a, b in pairwise(edges))
        long_enough = ramp.last - ramp.first >= _SHORTEST_DRIFT
        # A step has a place and a level more.
        if long_enough and ramp.cost + _DRIFT_FREE * free < steps + 2.0 * free * len(group):
            yield self._drift(ramp, first)
            return
        for before, start, after in group:
            yield self._step(before, start, after)

    def _squares(self, start: int, end: int) -> float:
        part = self.values[start:end] / self.deviation
        return float(((part - part.mean()) ** 2).sum())

    def _step(self, before: int, start: int, after: int) -> ChangePoint:
        early, likely, late = change_interval(
            self.values[before:after], standard_deviation=self.deviation, confidence=self.confidence
        )
        place = before + likely
        return self._made(
            place,
            before + early,
            before + late,
            float(self.values[before:place].mean()),
            float(self.values[place:after].mean()),
            "step",
        )

    def _drift(self, ramp: Ramp, first: int) -> ChangePoint:
        return self._made(
            min(first + ramp.first + 1, len(self.points) - 1),
            first + ramp.earliest,
            min(first + ramp.latest + 1, len(self.points) - 1),
            ramp.before,
            ramp.after,
            "drift",
        )

    def _made(self, place: int, early: int, late: int, before: float, after: float, kind: str) -> ChangePoint:
        return ChangePoint(
            index=self.places[place],
            when=self.points[place].when,
            # The change lies between a lot and the one before it.
            earliest=self.points[max(early - 1, 0)].when,
            latest=self.points[late].when,
            before=off_scale(before, self.watched),
            after=off_scale(after, self.watched),
            confidence=self.confidence,
            kind=kind,
        )


def _mean(point: ControlPoint, watched: WatchedProperty) -> float:
    return math.fsum(on_scale(value, watched) for value in point.values) / len(point.values)


def _deviation(chart: ControlChart, values: Floats) -> float:
    if not chart.kind.startswith("mean-and-"):
        return chart.standard_deviation
    return float(np.mean(np.abs(np.diff(values)))) * math.sqrt(math.pi) / 2.0


def _same_way(values: Floats, starts: Sequence[int]) -> list[list[tuple[int, int, int]]]:
    """Group neighbouring changes that go the same way; each as start of the old level, change, end."""
    edges = [0, *starts, len(values)]
    levels = [float(values[a:b].mean()) for a, b in pairwise(edges)]
    spans = [(edges[i], edges[i + 1], edges[i + 2]) for i in range(len(starts))]
    ways = [levels[i + 1] > levels[i] for i in range(len(starts))]
    grouped = groupby(zip(spans, ways, strict=True), key=lambda pair: pair[1])
    return [[span for span, _ in group] for _, group in grouped]


def _move(quantity: str, change: ChangePoint, others: Sequence[ChangePoint]) -> SeenMove:
    """Say how a property moved about the day of a change."""
    words = property_words(quantity) if quantity in QUANTITIES else quantity
    for other in others:
        if _meet(change, other):
            way = "up" if other.after > other.before else "down"
            numbers = (
                f"{number_words(other.before, other.after)} to {number_words(other.after, other.before)}"
            )
            return SeenMove(quantity=quantity, moved=way, text=f"{words} {way}, {numbers}")
    return SeenMove(quantity=quantity, moved="unchanged", text=f"{words} unchanged")


def _meet(one: ChangePoint, other: ChangePoint) -> bool:
    """Tell whether two changes may be one event: their days overlap, or lie close together."""
    if one.earliest <= other.latest and other.earliest <= one.latest:
        return True
    days = [_day(change.when) for change in (one, other)]
    return None not in days and abs((days[0] or 0) - (days[1] or 0)) <= _SAME_DAYS


def _day(when: str) -> int | None:
    try:
        return datetime.date.fromisoformat(when[:10]).toordinal()
    except ValueError:
        return None


def _tank_changed(results: Sequence[ProductionResult], when: str) -> bool | None:
    """Tell whether the first results from a day on came from another tank than those before."""
    known = sorted((result for result in results if result.tank), key=lambda result: result.taken)
    before = [result.tank for result in known if result.taken < when]
    after = [result.tank for result in known if result.taken >= when]
    if not before or not after:
        return None
    return before[-1] != after[0]
