"""The invented year under the charts: what was planted, when it was found, and what theory promised.

Theory comes twice. Average run lengths are those of `run_length_promise`, whose values are held to published
ones in the tests of their own. Percentiles, and run lengths where a level drifts, come from charts that are
drawn here with limits that are known; their averages are held to the former.
"""

import dataclasses
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from resile.records.control.chart import ChangePoint, ControlChart
from resile.records.control.production import ProductionResult, WatchedProperty
from resile.workflows.control.promises import run_length_promise
from resile.workflows.control.watching import MeasuredProperty, changes, suggest_causes, watch
from resile.workflows.demonstration.production import (
    InventedLot,
    InventedProduct,
    PlantedEvent,
    read_year,
    results_of_year,
)

CHARTS = ("individuals", "cumulative-sum", "weighted-average")
HIGH = 95
"""Percentile of the run length within which an event is to be found."""
_DRAWN = 20_000


@dataclass(frozen=True)
class FoundEvent:
    """A planted event, and what the charts made of it; places count results from the first touched one."""

    event: PlantedEvent
    planted_day: str
    found_day: str
    place: int
    promised: float
    high: float
    suggested: tuple[str, ...]
    change: ChangePoint | None
    false_alarms: int


def product_of(event: PlantedEvent) -> InventedProduct:
    return next(product for product in read_year().products if product.short == event.product)


def watched_of(product: InventedProduct, quantity: str) -> WatchedProperty:
    """The property with the mean of its set-up as centre: a laboratory does not know the true level."""
    return dataclasses.replace(product.property_named(quantity).watched, target=None)


def results_for(
    lots: Sequence[InventedLot], event: PlantedEvent, quantity: str, *, since: int = 1
) -> list[ProductionResult]:
    """Results up to the end of an event, of those alone who tested what it touched."""
    set_up = read_year().set_up_lots
    touched = {
        lot.lot
        for lot in lots
        if event.touches(lot) and lot.number <= event.last and (lot.number <= set_up or lot.number >= since)
    }
    return [one for one in results_of_year(tuple(lots), event.product, quantity) if one.lot in touched]


def lots_explained_before(lots: Sequence[InventedLot], event: PlantedEvent) -> dict[str, str]:
    """Lots of events of which the cause was found by then, left out with that reason."""
    earlier = [one for one in read_year().events if one.product == event.product and one.last < event.first]
    return {
        lot.lot: f"explained: {one.name}"
        for one in earlier
        for lot in lots
        if one.product == lot.product and one.first <= lot.number <= one.last and event.touches(lot)
    }


def chart_of(
    lots: Sequence[InventedLot], event: PlantedEvent, quantity: str, chart: str, *, since: int = 1
) -> ControlChart:
    explained = lots_explained_before(lots, event)
    last = next(
        lot.taken for lot in lots if lot.product == event.product and lot.number == read_year().set_up_lots
    )
    results = results_for(lots, event, quantity, since=since)
    named = {one.lot for one in results}
    return watch(
        results,
        watched_of(product_of(event), quantity),
        chart=chart,
        baseline_until=last,
        excluded={lot: why for lot, why in explained.items() if lot in named},
    )


def touched_path(lots: Sequence[InventedLot], event: PlantedEvent) -> NDArray[np.float64]:
    """Shift of each touched result in turn, in standard deviations, upwards."""
    move = abs(event.moves[event.watched])
    return np.array([move * event.share(lot.number) for lot in lots if event.touches(lot)])[
        [event.share(lot.number) > 0.0 for lot in lots if event.touches(lot)]
    ]


def drawn_run_lengths(
    chart: str, shifts: NDArray[np.float64], *, seed: int, charts: int = _DRAWN
) -> NDArray[np.int_]:
    """Run lengths of charts with known limits under a course of shifts that stays at its last value."""
    settings = run_length_promise(chart=chart, shifts=()).parameters
    draws = np.random.default_rng(seed)
    lengths = np.zeros(charts, dtype=int)
    running = np.arange(charts)
    up, down = np.zeros(charts), np.zeros(charts)
    step = 0
    while running.size:
        values = draws.standard_normal(running.size) + shifts[min(step, len(shifts) - 1)]
        step += 1
        if chart == "individuals":
            signals = np.abs(values) > 3.0
        elif chart == "cumulative-sum":
            up = np.maximum(0.0, up + values - settings["slack"])
            down = np.maximum(0.0, down - values - settings["slack"])
            signals = (up > settings["interval"]) | (down > settings["interval"])
        else:
            weight = settings["weight"]
            up = (1.0 - weight) * up + weight * values
            half = np.sqrt(weight / (2.0 - weight) * (1.0 - (1.0 - weight) ** (2 * step)))
            signals = np.abs(up) > settings["width"] * half
        lengths[running[signals]] = step
        running, up, down = running[~signals], up[~signals], down[~signals]
    return lengths


def promised(lots: Sequence[InventedLot], event: PlantedEvent) -> tuple[float, float]:
    """Average run length that theory gives, and its high percentile."""
    path = touched_path(lots, event)
    drawn = drawn_run_lengths(event.chart, path, seed=7)
    average = float(drawn.mean())
    if not event.drift:
        average = run_length_promise(chart=event.chart, shifts=(float(path[0]),)).lengths[1]
    return average, float(np.percentile(drawn, HIGH))


def found_at(chart: ControlChart, lots: Sequence[InventedLot], event: PlantedEvent) -> tuple[int, int]:
    """Place of the first signal after the event began (0 for none), and false alarms while watched before."""
    numbers = {lot.lot: lot.number for lot in lots}
    places = [numbers[point.label] for point in chart.points]
    touched = [index for index, number in enumerate(places) if number >= event.first]
    signals = {signal.index for signal in chart.signals}
    hits = [index for index in touched if index in signals]
    early = [index for index in signals if read_year().set_up_lots < places[index] < event.first]
    return (touched.index(hits[0]) + 1 if hits else 0), len(early)


def lots_until(lots: Sequence[InventedLot], event: PlantedEvent) -> set[str]:
    """Lots of everybody up to the end of an event."""
    return {lot.lot for lot in lots if lot.product == event.product and lot.number <= event.last}


def find_event(lots: Sequence[InventedLot], event: PlantedEvent) -> FoundEvent:
    """Watch for an event as a laboratory would, and ask for its likely cause."""
    chart = chart_of(lots, event, event.watched, event.chart)
    place, early = found_at(chart, lots, event)
    touched = [lot for lot in lots if event.touches(lot) and event.share(lot.number) > 0.0]
    product = product_of(event)
    dated = {
        one.watched.quantity: changes(chart_of(lots, event, one.watched.quantity, "individuals"))
        for one in product.properties
    }
    explained = lots_explained_before(lots, event)
    everybody = [
        one
        for one in results_of_year(tuple(lots), event.product, event.watched)
        if one.lot not in explained and one.lot in lots_until(lots, event)
    ]
    told = suggest_causes(
        dated,
        results=results_for(lots, event, event.watched),
        measured={event.watched: MeasuredProperty(watched_of(product, event.watched), everybody)},
    )[event.watched]
    newest = told[-1] if told else None
    average, high = promised(lots, event)
    return FoundEvent(
        event=event,
        planted_day=touched[0].taken,
        found_day=touched[place - 1].taken if place else "",
        place=place,
        promised=average,
        high=high,
        suggested=tuple(one.kind for one in newest.suggestions) if newest else (),
        change=newest,
        false_alarms=early,
    )
