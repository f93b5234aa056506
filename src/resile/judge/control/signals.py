"""Signals of a control chart in sentences: where a rule began to hold."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from resile.records.control.chart import ChartSignal, ControlPoint
from resile.records.control.run_rule import RunRule

Words = Callable[[float, float], str]


def signals_of_rule(
    points: Sequence[ControlPoint], rule: RunRule, marks: Sequence[int], places: Sequence[int], shown: Words
) -> tuple[ChartSignal, ...]:
    """Give the signals of one rule.

    Parameters
    ----------
    points : sequence of ControlPoint
        All points of the chart.
    rule : RunRule
        What was looked for.
    marks : sequence of int
        At each place: 1 where the rule holds above or rising, -1 below or falling, 0 where it does not.
    places : sequence of int
        Indices of the points that took part, in order of time: lots left out do not.
    shown : callable
        Gives a plotted value in words with its unit, told apart from another one beside it.

    Returns
    -------
    tuple of ChartSignal
        A rule about single points signals at each of them; a rule about a run signals once, where it begins
        to hold, and again only after it had ceased.
    """
    signals = []
    before = 0
    for place, mark in enumerate(marks):
        if mark and (rule.of == 1 or mark != before):
            index = places[place]
            since = index if rule.of == 1 else places[max(0, place - rule.of + 1)]
            signals.append(
                ChartSignal(
                    index=index,
                    rule=rule.name,
                    text=_sentence(points, rule, mark, index, since, shown),
                    source=rule.source,
                    since=since,
                )
            )
        before = mark
    return tuple(signals)


def _sentence(
    points: Sequence[ControlPoint], rule: RunRule, mark: int, index: int, since: int, shown: Words
) -> str:
    point = points[index]
    lot = f"Lot {point.label} ({point.when})"
    if rule.of == 1:
        side, limit = ("above", point.upper) if mark > 0 else ("below", point.lower)
        which = "upper" if mark > 0 else "lower"
        if rule.kind == "beyond" and _is_limit(point, rule, mark):
            value, beside = shown(point.plotted, limit), shown(limit, point.plotted)
            return f"{lot}: {value} lies {side} the {which} control limit {beside}."
        return f"{lot}: {shown(point.plotted, limit)} lies {side} the line of the rule: {rule.sentence}."
    direction = ""
    if rule.kind == "beyond":
        direction = " (above the centre line)" if mark > 0 else " (below the centre line)"
    elif rule.kind == "trend":
        direction = " (rising)" if mark > 0 else " (falling)"
    return f"{lot}: {rule.sentence}{direction}, from lot {points[since].label} ({points[since].when}) on."


def _is_limit(point: ControlPoint, rule: RunRule, mark: int) -> bool:
    """Tell whether the line of the rule is the control limit drawn at the point."""
    limit = point.upper if mark > 0 else point.lower
    return (point.plotted - limit) * mark > 0 and rule.distance >= 3.0 - 1e-9


def signals_beyond(
    points: Sequence[ControlPoint],
    *,
    rule: str,
    source: str,
    sinces: Sequence[int],
    shown: Words,
    what: str = "",
    reason: Callable[[int], str] | None = None,
    each: bool = True,
) -> tuple[ChartSignal, ...]:
    """Give the signals of a chart whose points hold their own history: beyond a limit.

    Parameters
    ----------
    points : sequence of ControlPoint
        All points; those left out are passed over.
    rule, source : str
        Name of the rule and where it comes from.
    sinces : sequence of int
        For each point the index at which what it shows began.
    shown : callable
        Gives a plotted value in words with its unit, told apart from another one beside it.
    what : str
        What is plotted, in words.
    reason : callable, optional
        Gives what else is to be said of the point of an index.
    each : bool
        True for a signal at every point beyond; False for the first of a run of them. What began behind the
        point before is a run of its own.

    Returns
    -------
    tuple of ChartSignal
        In order of time.
    """
    signals = []
    before, last = 0, -1
    for index, point in enumerate(points):
        if point.excluded:
            continue
        mark = int(point.plotted > point.upper) - int(point.plotted < point.lower)
        if mark and (each or mark != before or sinces[index] > last):
            side, limit = ("above", point.upper) if mark > 0 else ("below", point.lower)
            value = f"{what} {shown(point.plotted, limit)}".strip()
            beside = shown(limit, point.plotted)
            text = f"Lot {point.label} ({point.when}): {value} lies {side} the limit {beside}"
            since = sinces[index]
            if since < index:
                text += f"; it has been building up since lot {points[since].label} ({points[since].when})"
            if reason is not None and reason(index):
                text += f"; {reason(index)}"
            signals.append(ChartSignal(index=index, rule=rule, text=f"{text}.", source=source, since=since))
        before, last = mark, index
    return tuple(signals)
