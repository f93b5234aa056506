"""A control chart small enough to stand among others: the newest lots, limits, and where to look."""

from __future__ import annotations

import math
from collections.abc import Iterable

from resile.records.control.chart import ControlChart
from resile.report.figures.style import HAIRLINE, INK, MUTED, STAYS_BEHIND, STRAIN, Spec, chart, number_axis

_WIDTH, _WIDE, _HEIGHT = 360, 560, 110
_NEWEST = 60
"""Lots shown: further back stands on the page of the chart."""


def figure_small_chart(control: ControlChart, *, open_lots: Iterable[str] = (), wide: bool = False) -> Spec:
    """Draw the newest lots of a chart, small.

    Parameters
    ----------
    control : ControlChart
        The chart.
    open_lots : iterable of str
        Lots with a signal that is still to be looked into: drawn as filled diamonds.
    wide : bool
        True for a sheet of paper: half as wide again.

    Returns
    -------
    dict
        Points in order of the lots, limits as thin lines; a log scale keeps its unit on the axis.
    """
    log = control.property.scale == "log" and control.kind in ("individuals", "mean-and-range")
    points = control.points[-_NEWEST:]
    marked = set(open_lots)
    rows = [
        {
            "at": place,
            "lot": one.label,
            "value": _shown(one.plotted, log=log),
            "lower": _shown(one.lower, log=log),
            "upper": _shown(one.upper, log=log),
            "centre": _shown(one.centre, log=log),
            "look": "look" if one.label in marked else ("left out" if one.excluded else ""),
        }
        for place, one in enumerate(points)
    ]
    across: Spec = {"field": "at", "type": "quantitative", "axis": None, "scale": {"nice": False}}
    scale: Spec = {"type": "log", "nice": False, "padding": 6} if log else {"zero": False}
    axis = number_axis(control.unit or control.property.unit, tickCount=4, grid=False)
    up: Spec = {"type": "quantitative", "scale": scale, "axis": axis}
    lines: list[Spec] = [
        {
            "mark": {"type": "line", "color": colour, "strokeWidth": 1, "strokeDash": dash},
            "encoding": {"x": across, "y": {"field": name, **up}},
        }
        for name, colour, dash in (
            ("lower", MUTED, [4, 3]),
            ("upper", MUTED, [4, 3]),
            ("centre", HAIRLINE, [1, 0]),
        )
        if any(row[name] is not None for row in rows)
    ]
    marks: list[Spec] = [
        {
            "mark": {"type": "line", "color": STRAIN, "strokeWidth": 1.2, "opacity": 0.6},
            "encoding": {"x": across, "y": {"field": "value", **up}},
        },
        {
            "transform": [{"filter": "datum.look == ''"}],
            "mark": {"type": "point", "filled": True, "size": 22, "color": STRAIN, "opacity": 1},
            "encoding": {"x": across, "y": {"field": "value", **up}},
        },
        {
            "transform": [{"filter": "datum.look == 'left out'"}],
            "mark": {"type": "point", "filled": False, "size": 40, "shape": "cross", "color": INK},
            "encoding": {"x": across, "y": {"field": "value", **up}},
        },
        {
            "transform": [{"filter": "datum.look == 'look'"}],
            "mark": {
                "type": "point",
                "filled": True,
                "size": 75,
                "shape": "diamond",
                "color": STAYS_BEHIND,
                "opacity": 1,
            },
            "encoding": {"x": across, "y": {"field": "value", **up}},
        },
    ]
    return chart(
        small_chart_in_words(control, open_lots=marked),
        {
            "width": _WIDE if wide else _WIDTH,
            "height": _HEIGHT,
            "data": {"values": rows},
            "layer": [*lines, *marks],
        },
    )


def small_chart_in_words(control: ControlChart, *, open_lots: Iterable[str] = ()) -> str:
    """Say what the picture shows.

    Parameters
    ----------
    control, open_lots
        As in `figure_small_chart`.
    """
    marked = [one.label for one in control.points if one.label in set(open_lots)]
    said = f"{control.title}: {len(control.points)} lots, the newest {control.points[-1].label}. "
    return said + (f"To be looked into: {', '.join(marked[-6:])}." if marked else "No signal is open.")


def _shown(value: float, *, log: bool) -> float | None:
    if not math.isfinite(value):
        return None
    return float(10.0**value) if log else value
