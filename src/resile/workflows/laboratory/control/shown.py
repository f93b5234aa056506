"""A kept chart with the results of the record on it, and where it stands in words."""

from __future__ import annotations

from collections.abc import Hashable, Sequence, Set
from dataclasses import dataclass

from resile.errors import ResileError
from resile.records.control.chart import ChartSignal, ControlChart
from resile.records.register import Actor, ControlWatch, Kept, Product
from resile.storage.laboratory_record import LaboratoryRecord
from resile.storage.lists.production import ProducedValue, produced_values, state_of_values
from resile.storage.reading import Reading
from resile.workflows.control.watching import REMEMBERING, watch
from resile.workflows.laboratory.access.permissions import require
from resile.workflows.laboratory.control.produced import (
    WatchedResults,
    property_title,
    results_of,
    watched_property,
)
from resile.workflows.laboratory.control.remembered import remembered
from resile.workflows.laboratory.control.watches import watches_of

_FEWEST_ON_A_CHART = 2
BEGUN, CALM, LOOK, ENDED, REFUSED = "begun", "calm", "look", "ended", "refused"


@dataclass(frozen=True, slots=True, kw_only=True)
class SeenChart:
    """A kept chart as it stands.

    Attributes
    ----------
    kept : Kept of ControlWatch
        How the property is watched.
    product : str
        Name of the product.
    title : str
        The property in words.
    results : WatchedResults
        What is on the chart, and what an invalid finding keeps off it.
    chart : ControlChart or None
        None where it cannot be drawn yet.
    refusal : str
        Why not.
    state, words : str
        ``begun``, ``calm``, ``look``, ``ended`` or ``refused``; and in words.
    open : tuple of ChartSignal
        Signals of the watched lots that nobody has answered yet, the first one first.
    open_beside : tuple of ChartSignal
        The same of the chart of the scatter.
    """

    kept: Kept[ControlWatch]
    product: str
    title: str
    results: WatchedResults
    chart: ControlChart | None
    refusal: str
    state: str
    words: str
    open: tuple[ChartSignal, ...] = ()
    open_beside: tuple[ChartSignal, ...] = ()

    @property
    def open_lots(self) -> tuple[str, ...]:
        """Lots with an open signal, in order."""
        beside = self.chart.beside if self.chart else None
        return _ordered(self.chart, self.open, beside, self.open_beside)

    @property
    def heading(self) -> str:
        """The property as it begins a line; a symbol keeps its letter."""
        word = self.title.split(" ")[0].rstrip(",")
        plain = word.isalpha() and len(word) > 2
        return f"{self.title[:1].upper()}{self.title[1:]}" if plain else self.title

    @property
    def answered(self) -> str:
        """Lot up to which signals were looked into; empty for none."""
        return self.kept.value.answers[-1].lot if self.kept.value.answers else ""


def see_chart(record: LaboratoryRecord, actor: Actor, key: str, revision: int | None = None) -> SeenChart:
    """Give a kept chart with its results.

    Parameters
    ----------
    record, actor
        Where to look; who asks.
    key : str
        Key of the chart.
    revision : int or None
        Which revision of it; None for the newest.
    """
    require(actor, "runs.see")
    with record.reading() as reading:
        kept = reading.get(ControlWatch, key, revision)
        return charts_of_product(reading, kept.value.product, (kept,)).seen[0]


def see_charts(
    record: LaboratoryRecord, actor: Actor, *, product: str = "", until: str = ""
) -> list[SeenChart]:
    """Give every kept chart that goes on, with its results: by product, what is to be looked at first.

    Parameters
    ----------
    record, actor
        Where to look; who asks.
    product : str
        Key of a product; empty for all.
    until : str
        Last day of sampling that counts; empty for all.
    """
    require(actor, "runs.see")
    with record.reading() as reading:
        return charts_that_go_on(reading, product=product, until=until)


def charts_that_go_on(reading: Reading, *, product: str = "", until: str = "") -> list[SeenChart]:
    """Give every kept chart that goes on, within a transaction; see `see_charts`."""
    kept: dict[str, list[Kept[ControlWatch]]] = {}
    for one in watches_of(reading, product):
        if not one.value.ended:
            kept.setdefault(one.value.product, []).append(one)
    seen = [
        one
        for key, watches in kept.items()
        for one in charts_of_product(reading, key, watches, until=until).seen
    ]
    order = (LOOK, REFUSED, BEGUN, CALM)
    return sorted(seen, key=lambda one: (one.product, order.index(one.state), one.kept.key))


@dataclass(frozen=True, slots=True)
class ProductCharts:
    """Charts of one product as they stand.

    Attributes
    ----------
    state : tuple
        Everything they follow from: equal only where they are equal.
    product : str
        Name of the product.
    values : tuple of ProducedValue
        What was measured of it.
    seen : tuple of SeenChart
        The charts, in the order in which they were asked for.
    """

    state: tuple[Hashable, ...]
    product: str
    values: tuple[ProducedValue, ...]
    seen: tuple[SeenChart, ...]


def charts_of_product(
    reading: Reading, product: str, kept: Sequence[Kept[ControlWatch]], *, until: str = ""
) -> ProductCharts:
    """Put the results of a product on its charts; computed once for each state of the record.

    Parameters
    ----------
    reading : Reading
        The record, inside a transaction.
    product : str
        Key of the product.
    kept : sequence of Kept of ControlWatch
        Which of its charts.
    until : str
        Last day of sampling that counts; empty for all.
    """
    name = reading.get(Product, product).value.name
    values_state = (product, until, *state_of_values(reading, product))
    state = (values_state, name, tuple(kept))

    def compute() -> ProductCharts:
        values = remembered(
            ("values", values_state), lambda: tuple(produced_values(reading, product, until=until))
        )
        return ProductCharts(state, name, values, tuple(seen_of(one, name, values) for one in kept))

    return remembered(("charts", state), compute)


def seen_of(kept: Kept[ControlWatch], product: str, values: Sequence[ProducedValue]) -> SeenChart:
    """Put the results of a product on a kept chart; see `see_chart`."""
    held = kept.value
    watched = watched_property(held, product)
    results = results_of(values, held)
    title = property_title(held.quantity, held.condition, held.temperature_c)
    present = {one.key for one in results.results}
    chart, refusal = None, ""
    try:
        chart = watch(
            results.results,
            watched,
            chart=held.chart,
            run_rules=held.run_rules,
            baseline_since=held.baseline_since,
            baseline_until=held.baseline_until,
            excluded={one.result: one.reason for one in held.excluded if one.result in present},
            anew_after=_looked_into(held, {one.lot for one in results.results}),
        )
    except ResileError as error:
        refusal = str(error)
    open_, beside = _open(held, chart), _open(held, chart.beside if chart else None)
    lots_so_far = len({one.lot for one in results.results})
    state, words = _state(held, chart, refusal, open_, beside, lots_so_far)
    return SeenChart(
        kept=kept,
        product=product,
        title=title,
        results=results,
        chart=chart,
        refusal=refusal,
        state=state,
        words=words,
        open=open_,
        open_beside=beside,
    )


def _looked_into(held: ControlWatch, lots: Set[str]) -> tuple[str, ...]:
    """Give the lots behind which a chart that remembers begins anew: what it had gathered is explained."""
    if held.chart not in REMEMBERING:
        return ()
    return tuple(dict.fromkeys(one.lot for one in held.answers if one.lot in lots))


def lots_of_signals(chart: ControlChart | None, signals: Sequence[ChartSignal]) -> tuple[str, ...]:
    """Give the lots at which signals were raised, in order, each once."""
    if chart is None:
        return ()
    return tuple(chart.points[place].label for place in sorted({one.index for one in signals}))


def said_of(chart: ControlChart, signal: ChartSignal) -> str:
    """Give what a signal saw, without the lot and day that stand beside it."""
    point = chart.points[signal.index]
    said = signal.text.removeprefix(f"Lot {point.label} ({point.when}): ")
    return said[:1].upper() + said[1:]


def _ordered(
    chart: ControlChart | None,
    open_: Sequence[ChartSignal],
    beside: ControlChart | None,
    open_beside: Sequence[ChartSignal],
) -> tuple[str, ...]:
    """Give the lots of open signals of a chart and of the one beside it, in the order of the chart."""
    raised = {*lots_of_signals(chart, open_), *lots_of_signals(beside, open_beside)}
    return tuple(one.label for one in chart.points if one.label in raised) if chart else ()


def _open(held: ControlWatch, chart: ControlChart | None) -> tuple[ChartSignal, ...]:
    """Give the signals behind the lot that was answered last."""
    if chart is None:
        return ()
    labels = [one.label for one in chart.points]
    answered = held.answers[-1].lot if held.answers else ""
    place = labels.index(answered) if answered in labels else -1
    return tuple(one for one in chart.signals if one.index > place)


def _state(
    held: ControlWatch,
    chart: ControlChart | None,
    refusal: str,
    open_: Sequence[ChartSignal],
    beside: Sequence[ChartSignal],
    lots_so_far: int,
) -> tuple[str, str]:
    if held.ended:
        return ENDED, f"ended on {held.ended}"
    if chart is None and lots_so_far < _FEWEST_ON_A_CHART:
        return BEGUN, f"being set up: {lots_so_far or 'no'} lot so far, two make a chart"
    if chart is None:
        return REFUSED, f"no chart yet: {refusal}"
    lots = _ordered(chart, open_, chart.beside, beside)
    if lots:
        many = "1 lot" if len(lots) == 1 else f"{len(lots)} lots"
        return LOOK, f"look: {many} with a signal, the newest {lots[-1]}"
    count = len(chart.points)
    if not held.baseline_until:
        return BEGUN, f"being set up: {count} lots so far, no signal"
    watched = sum(one.phase == "watched" for one in chart.points)
    return CALM, f"no open signal in {watched} watched lots"
