"""One chart in a month: its newest lots as drawn, signals by their numbers, and the month before."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from datetime import date, timedelta

from resile.records.control.chart import ChangePoint, ControlChart, ControlPoint
from resile.records.control.month import MonthChart, MonthLevel, MonthSignal
from resile.records.register import ControlWatch, Kept
from resile.storage.reading import Reading
from resile.workflows.laboratory.control.margins import SeenMargin
from resile.workflows.laboratory.control.moved import leads_back
from resile.workflows.laboratory.control.pictures import numbered_signals, single_values
from resile.workflows.laboratory.control.settled import settled
from resile.workflows.laboratory.control.shown import SeenChart, said_of


def month_chart(
    reading: Reading,
    seen: SeenChart,
    margin: SeenMargin,
    changes: Sequence[ChangePoint],
    days: tuple[str, str],
) -> MonthChart:
    """Tell of one chart in a month.

    Parameters
    ----------
    reading : Reading
        The record, inside a transaction.
    seen : SeenChart
        The chart, with the lots until the end of the month.
    margin : SeenMargin
        Capability and target.
    changes : sequence of ChangePoint
        Changes of level on it.
    days : tuple of (str, str)
        First and last day of the month.
    """
    first, last = days
    points = seen.chart.points if seen.chart else ()
    values = single_values(seen) or seen.chart
    if values and seen.chart:  # the signals of the scatter are drawn beside the values
        values = replace(values, beside=seen.chart.beside)
    drawn = newest_lots(values, first) if values else None
    history = reading.history(ControlWatch, seen.kept.key)
    return MonthChart(
        key=seen.kept.key,
        title=seen.title,
        state=seen.words,
        chart=drawn,
        changed=month_level(values, days) if values else None,
        answered=seen.answered,
        open_lots=seen.open_lots,
        lots=sum(first <= one.when[:10] <= last for one in points),
        signals=_signals(seen, drawn, days),
        changes=tuple(one for one in changes if first <= one.when[:10] <= last),
        back=tuple(one.when for one in changes if values and leads_back(one, values)),
        settings=tuple(
            one.reason or "the chart was begun" for one in history if first <= one.at[:10] <= last
        ),
        capability=margin.capability,
        target=margin.target,
    )


def newest_lots(chart: ControlChart, first: str) -> ControlChart:
    """Give the newest lots of a chart: those of a month and the two before, never fewer than a picture needs.

    Parameters
    ----------
    chart : ControlChart
        All of it.
    first : str
        First day of the month, ISO 8601.

    Returns
    -------
    ControlChart
        Signals of lots further back are gone; the chart of the scatter stays where it has one of the month.
    """
    since = _two_months_before(first)
    fewest: int = settled()["month_fewest_lots"]
    begin = next(
        (place for place, one in enumerate(chart.points) if one.when[:10] >= since), len(chart.points)
    )
    begin = max(min(begin, len(chart.points) - fewest), 0)
    labels = {one.label for one in chart.points[begin:]}
    beside = _cut(chart.beside, labels) if chart.beside else None
    raised = beside is not None and any(beside.points[one.index].when >= first for one in beside.signals)
    return replace(_cut(chart, labels), beside=beside if raised else None)


def _cut(chart: ControlChart, labels: set[str]) -> ControlChart:
    kept = [place for place, one in enumerate(chart.points) if one.label in labels]
    new = {old: place for place, old in enumerate(kept)}
    signals = tuple(
        replace(one, index=new[one.index], since=new.get(one.since, 0))
        for one in chart.signals
        if one.index in new
    )
    return replace(chart, points=tuple(chart.points[place] for place in kept), signals=signals)


def month_level(chart: ControlChart, days: tuple[str, str]) -> MonthLevel:
    """Say where a property stood in a month, beside the month before.

    Parameters
    ----------
    chart : ControlChart
        Single values or means of lots.
    days : tuple of (str, str)
        First and last day of the month.

    Returns
    -------
    MonthLevel
        A difference counts where it is larger than a multiple of its standard error, which follows from the
        scatter of the set-up; a habit of practice, no test of a hypothesis.
    """
    first, last = days
    before_last = (date.fromisoformat(first) - timedelta(days=1)).isoformat()
    now = _plotted(chart.points, first, last)
    before = _plotted(chart.points, before_last[:8] + "01", before_last)
    moved = ""
    if now and before and chart.standard_deviation > 0.0:
        shift = _mean(now) - _mean(before)
        error = chart.standard_deviation * math.sqrt(1.0 / len(now) + 1.0 / len(before))
        if abs(shift) > settled()["month_shift"] * error:
            moved = "up" if shift > 0.0 else "down"
    log = chart.property.scale == "log"
    level, level_before = (
        (10.0 ** _mean(some) if log else _mean(some)) if some else None for some in (now, before)
    )
    return MonthLevel(level=level, before=level_before, lots=len(now), lots_before=len(before), moved=moved)


def _plotted(points: Sequence[ControlPoint], first: str, last: str) -> list[float]:
    return [one.plotted for one in points if first <= one.when[:10] <= last and not one.excluded]


def _mean(values: Sequence[float]) -> float:
    return math.fsum(values) / len(values)


def _signals(seen: SeenChart, drawn: ControlChart | None, days: tuple[str, str]) -> tuple[MonthSignal, ...]:
    """Give the signals of the month; those that are drawn have the number of the picture."""
    first, last = days
    marks = {(one.point.label, one.signal.text): one.mark for one in numbered_signals(drawn)}
    labels = [one.label for one in seen.chart.points] if seen.chart else []
    found = [
        MonthSignal(
            lot=one.point.label,
            day=one.point.when[:10],
            text=said_of(one.chart, one.signal),
            mark=marks.get((one.point.label, one.signal.text), ""),
            answer=_answer(seen.kept, labels, one.point.label),
        )
        for one in reversed(numbered_signals(seen.chart))
        if first <= one.point.when[:10] <= last
    ]
    return tuple(sorted(found, key=lambda one: one.day))


def _answer(kept: Kept[ControlWatch], labels: Sequence[str], lot: str) -> str:
    """Give what was found when the signals up to a lot, or a later one, were looked into."""
    places = {label: place for place, label in enumerate(labels)}
    for one in kept.value.answers:
        if places.get(one.lot, -1) >= places.get(lot, 0):
            return one.found
    return ""


def _two_months_before(first: str) -> str:
    """Give the first day of the month two months before."""
    year, month = int(first[:4]), int(first[5:7]) - 2
    return f"{year:04d}-{month:02d}-01" if month > 0 else f"{year - 1:04d}-{month + 12:02d}-01"
