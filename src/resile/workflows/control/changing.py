"""Changes of level with their dates: at once, slowly, or either."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby, pairwise

import numpy as np

from resile.compute.statistics.control.changes import Ramp, change_interval, level_changes, ramp_between
from resile.compute.statistics.control.step_or_drift import step_probability
from resile.records.control.chart import CHANGES_SOUGHT_IN, ChangePoint, ControlChart, ControlPoint
from resile.records.control.production import WatchedProperty
from resile.specifications.watching import least_odds_of_a_kind
from resile.workflows.control.lots import off_scale, on_scale
from resile.workflows.control.setting_up import Floats

SHORTEST = 3
"""Fewest lots of one level: one odd lot, or two, are the chart's own business."""
_PENALTY = 3.0
"""A change must save this many natural logarithms of the number of lots in squares."""
_FEWEST = 2 * SHORTEST
_SHORTEST_DRIFT = 5


def changes(chart: ControlChart, *, confidence: float = 0.95) -> tuple[ChangePoint, ...]:
    """Find changes of level in the lots of a chart, with the days between which each lies.

    Parameters
    ----------
    chart : ControlChart
        Any kind for one property; lots left out take no part, nor any before the newest `CHANGES_SOUGHT_IN`.
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
    Each change, and neighbouring steps the same way together, is weighed against one slow drift by
    `step_probability`; where the odds for neither reach what the files say (`least_odds_of_a_kind`), the
    kind is ``either``.
    """
    places = [index for index, point in enumerate(chart.points) if not point.excluded]
    places = places[-CHANGES_SOUGHT_IN:]
    if chart.kind == "joint" or len(places) < _FEWEST:
        return ()
    points = [chart.points[index] for index in places]
    values = np.array([_mean(point, chart.property) for point in points])
    deviation = _deviation(chart, values)
    if deviation <= 0.0:
        return ()
    penalty = _PENALTY * math.log(len(values))
    starts = level_changes(values, standard_deviation=deviation, penalty=penalty, shortest=SHORTEST)
    series = _Series(
        points, values, deviation, confidence, chart.property, tuple(places), least_odds_of_a_kind()
    )
    return tuple(change for group in _same_way(values, starts) for change in series.of_group(group))


@dataclass(frozen=True, slots=True)
class _Series:
    """The lots that count, with their means on the watched scale."""

    points: Sequence[ControlPoint]
    values: Floats
    deviation: float
    confidence: float
    watched: WatchedProperty
    places: tuple[int, ...]
    least_odds: float

    def of_group(self, group: Sequence[tuple[int, int, int]]) -> Iterator[ChangePoint]:
        """Give steps that go one way as they are, or as one drift."""
        first, last = group[0][0], group[-1][2]
        window = self.values[first:last]
        probability = step_probability(window, shortest_drift=_SHORTEST_DRIFT, steps=len(group))
        told = self.least_odds / (1.0 + self.least_odds)
        if probability <= 1.0 - told:
            ramp = ramp_between(window, standard_deviation=self.deviation, confidence=self.confidence)
            yield self._drift(ramp, first, probability)
            return
        for before, start, after in group:
            kind = "step" if probability >= told else "either"
            yield self._step(before, start, after, kind, probability)

    def _step(self, before: int, start: int, after: int, kind: str, probability: float) -> ChangePoint:
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
            kind,
            probability,
        )

    def _drift(self, ramp: Ramp, first: int, probability: float) -> ChangePoint:
        return self._made(
            min(first + ramp.first + 1, len(self.points) - 1),
            first + ramp.earliest,
            min(first + ramp.latest + 1, len(self.points) - 1),
            ramp.before,
            ramp.after,
            "drift",
            probability,
        )

    def _made(
        self,
        place: int,
        early: int,
        late: int,
        before: float,
        after: float,
        kind: str,
        probability: float,
    ) -> ChangePoint:
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
            step_probability=probability,
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
