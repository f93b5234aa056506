"""Chart of single values (or means of lots) with the chart of their moving ranges beside it."""

from __future__ import annotations

from resile.records.control.chart import ControlChart
from resile.workflows.control.doubts import doubts_of_chart
from resile.workflows.control.promises import false_alarm_every
from resile.workflows.control.setting_up import (
    WIDTH,
    ChartRequest,
    moving_range_chart,
    point_of,
    signals_of_rules,
    title_of,
)


def chart_individuals(request: ChartRequest) -> ControlChart:
    """Put one value a lot on a chart with limits from the moving ranges of the set-up.

    Parameters
    ----------
    request : ChartRequest
        Lots, and what is watched.

    Returns
    -------
    ControlChart
        With the chart of moving ranges beside it.
    """
    request.setting({})
    level, values = request.level(), request.means
    centre, deviation = request.centre(level.centre), level.standard_deviation
    points = tuple(
        point_of(lot, value, centre - WIDTH * deviation, centre, centre + WIDTH * deviation)
        for lot, value in zip(request.lots, values, strict=True)
    )
    signals = signals_of_rules(points, (values - centre) / deviation, request.run_rules, request.shown)
    every = false_alarm_every("individuals", request.run_rules, {})
    return ControlChart(
        kind="individuals",
        property=request.watched,
        title=title_of(request.watched),
        unit=request.watched.unit,
        points=points,
        centre=centre,
        standard_deviation=deviation,
        basis=f"{request.centre_words()}; mean moving range over 1.1284 of {level.count} lots",
        signals=signals,
        beside=moving_range_chart(request, level),
        parameters={"width": WIDTH},
        false_alarm_every=every,
        findings=doubts_of_chart(request, level, signals, every),
    )
