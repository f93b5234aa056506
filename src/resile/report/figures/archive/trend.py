"""A property of a product month by month: mean, span, limit, and the share that fails."""

from __future__ import annotations

from resile.records.archive_answers import Trend
from resile.records.quantity import QUANTITIES
from resile.report.figures.style import (
    HAIRLINE,
    INK,
    MUTED,
    STAYS_BEHIND,
    STRAIN,
    WIDTH,
    Spec,
    chart,
    decade_ticks,
    empty_chart,
    number_axis,
)
from resile.report.numbers import three_figures

_PANEL = WIDTH - 90


def figure_trend(trend: Trend) -> Spec:
    """Draw the months of a trend.

    Parameters
    ----------
    trend : Trend
        As answered.

    Returns
    -------
    dict
        Mean as a line with marks, span of the month as a bar behind it, limit dashed; beneath, where a
        class was asked for, the share of samples that fail.
    """
    if not trend.months:
        return empty_chart("No result with a day fits the question.", width=WIDTH)
    failing = any(one.compared for one in trend.months)
    across: Spec = {"field": "month", "type": "temporal", "timeUnit": "utcyearmonth"}
    below = {"title": None, "format": "%Y-%m", "labelAngle": 0, "tickCount": 8, "grid": False}
    panels: list[Spec] = [_values(trend, {**across, "axis": None if failing else below})]
    if failing:
        panels.append(_shares(trend, {**across, "axis": below}))
    return chart(trend_in_words(trend), {"vconcat": panels, "spacing": 10})


def trend_in_words(trend: Trend) -> str:
    """Say what the picture of a trend shows.

    Parameters
    ----------
    trend : Trend
        With at least one month.

    Returns
    -------
    str
        First and last month, and the limit.
    """
    first, last = trend.months[0], trend.months[-1]
    unit = f" {trend.unit}" if trend.unit else ""
    title = QUANTITIES[trend.wanted.quantity].title
    said = f"{title[:1].upper()}{title[1:]}: mean of {first.month} {three_figures(first.mean)}{unit}"
    if last.month != first.month:
        said += f", of {last.month} {three_figures(last.mean)}{unit}"
    said += f"; {sum(one.results for one in trend.months)} results in {len(trend.months)} months"
    if trend.limit is not None:
        fails = sum(one.failing or 0 for one in trend.months)
        said += f"; limit of {trend.label} {trend.limit:g}{unit}, {fails} fail"
    return said + "."


def _values(trend: Trend, across: Spec) -> Spec:
    quantity = QUANTITIES[trend.wanted.quantity]
    unit = f" ({trend.unit})" if trend.unit else ""
    ends = [value for one in trend.months for value in (one.lowest, one.highest)]
    ends += [trend.limit] if trend.limit is not None else []
    low, high = min(ends), max(ends)
    axis = number_axis(f"{quantity.symbol or quantity.title}{unit}", minExtent=46, tickCount=6)
    if trend.scale == "log":
        low, high = low / 1.15, high * 1.15
        scale: Spec = {"type": "log", "domain": [low, high], "nice": False}
        axis["values"] = decade_ticks(low, high)
    else:
        room = 0.08 * (high - low) or abs(high) * 0.05 or 1.0
        scale = {"domain": [low - room, high + room], "zero": False, "nice": False}
    up: Spec = {"type": "quantitative", "scale": scale, "axis": axis}
    points = [
        {"month": f"{one.month}-01", "mean": one.mean, "low": one.lowest, "high": one.highest}
        for one in trend.months
    ]
    layers: list[Spec] = [
        {
            "mark": {"type": "rule", "color": HAIRLINE, "strokeWidth": 5},
            "encoding": {"x": across, "y": {**up, "field": "low"}, "y2": {"field": "high"}},
        },
        {
            "mark": {
                "type": "line",
                "color": STRAIN,
                "strokeWidth": 1.5,
                "point": {"filled": True, "color": STRAIN, "size": 36},
            },
            "encoding": {"x": across, "y": {**up, "field": "mean"}},
        },
    ]
    if trend.limit is not None:
        layers += [
            {
                "mark": {"type": "rule", "color": INK, "strokeDash": [5, 3]},
                "encoding": {"y": {"datum": trend.limit, **up}},
            },
            {
                "data": {"values": [{"month": points[0]["month"], "limit": trend.limit}]},
                "mark": {
                    "type": "text",
                    "text": f"limit of {trend.label}: {trend.limit:g} {trend.unit}".rstrip(),
                    "align": "left",
                    "dy": -8,
                    "color": INK,
                },
                "encoding": {"x": across, "y": {**up, "field": "limit"}},
            },
        ]
    return {"width": _PANEL, "height": 230, "data": {"values": points}, "layer": layers}


def _shares(trend: Trend, across: Spec) -> Spec:
    points = [
        {"month": f"{one.month}-01", "share": 100.0 * (one.failing or 0) / one.compared}
        for one in trend.months
        if one.compared
    ]
    highest = max(one["share"] for one in points if isinstance(one["share"], float))
    return {
        "width": _PANEL,
        "height": 70,
        "data": {"values": points},
        "layer": [
            {
                "mark": {"type": "rule", "color": STAYS_BEHIND, "strokeWidth": 5},
                "encoding": {
                    "x": across,
                    "y": {
                        "field": "share",
                        "type": "quantitative",
                        "scale": {"domain": [0.0, max(highest, 10.0)], "nice": True},
                        "axis": number_axis("failing (%)", minExtent=46, tickCount=3),
                    },
                    "y2": {"datum": 0.0},
                },
            },
            {
                "mark": {"type": "rule", "color": MUTED},
                "encoding": {"y": {"datum": 0.0, "type": "quantitative"}},
            },
        ],
    }
