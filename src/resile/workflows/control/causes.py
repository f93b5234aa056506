"""What may lie behind a change of level or a lot that signals: suggestions, never verdicts."""

from __future__ import annotations

import datetime
from collections.abc import Mapping, Sequence
from dataclasses import replace

from resile.judge.control.causes import SeenAbout, suggest
from resile.judge.wording import number_words, property_words
from resile.records.control.cause_pattern import SeenMove
from resile.records.control.chart import (
    CauseSuggestion,
    ChangePoint,
    ChartSignal,
    ControlChart,
    ControlPoint,
)
from resile.records.control.production import ProductionResult
from resile.records.quantity import QUANTITIES
from resile.specifications.control import load_cause_patterns
from resile.workflows.control.who_tested import MeasuredProperty, who_tested

_BACK = 0.5
"""A level is back where it is nearer than this share of the change to the one before it; own rule."""
_SAME_DAYS = 10
"""Changes of two properties within so many days count as one event where their intervals do not meet."""


def suggest_causes(
    found: Mapping[str, Sequence[ChangePoint]],
    *,
    results: Sequence[ProductionResult] = (),
    measured: Mapping[str, MeasuredProperty] | None = None,
) -> dict[str, tuple[ChangePoint, ...]]:
    """Put beside each change the causes that fit what the other properties did about that day.

    Parameters
    ----------
    found : mapping of str to sequence of ChangePoint
        Changes of every watched property by its name; a property without a change is there with none, and
        counts as unchanged.
    results : sequence of ProductionResult, optional
        From which it is known whether the tank changed.
    measured : mapping of str to MeasuredProperty, optional
        Results by property, from which it is known whether a change goes with an operator, an instrument, or
        results under a doubt of their own: such causes come first.

    Returns
    -------
    dict of str to tuple of ChangePoint
        The same changes with suggestions.
    """
    patterns = load_cause_patterns()
    who = {quantity: who_tested(one, (measured or {}).get(quantity)) for quantity, one in found.items()}
    return {
        quantity: tuple(
            replace(
                change,
                suggestions=suggest(
                    patterns,
                    [_move(name, change, others) for name, others in found.items()],
                    change="" if change.kind == "either" else change.kind,
                    about=SeenAbout(
                        tank_changed=_tank_changed(results, change.when),
                        back=_back_words(change, one),
                        **beside,
                    ),
                ),
            )
            for change, beside in zip(one, who[quantity], strict=True)
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
    about = SeenAbout(tank_changed=_tank_changed(results, when))
    return suggest(load_cause_patterns(), moves, change="", about=about)


def _move_of_lot(chart: ControlChart, point: ControlPoint, signals: Sequence[ChartSignal]) -> SeenMove:
    words = property_words(chart.property.quantity)
    if not signals:
        return SeenMove(
            quantity=chart.property.quantity, moved="unchanged", text=f"{words} within its limits"
        )
    way = "up" if point.plotted > point.centre else "down"
    side = "high" if way == "up" else "low"
    return SeenMove(quantity=chart.property.quantity, moved=way, text=f"{words} signals {side}")


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


def _back_words(change: ChangePoint, others: Sequence[ChangePoint]) -> str:
    """Say that the level is back where it was before the change before; empty where it is not."""
    earlier = [one for one in others if one.when < change.when]
    if not earlier:
        return ""
    was = earlier[-1]
    if abs(change.after - was.before) > _BACK * abs(was.after - was.before):
        return ""
    level = number_words(was.before, change.after)
    return f"back to {number_words(change.after, was.before)}, after {level} before {was.when}"


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
