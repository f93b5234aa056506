"""A control chart: points in order of time, limits, signals by shape and number, changes of level.

Filled circles are lots; a diamond with a number raises a signal, and the number is that of the list beneath;
a hollow circle is left out of the set-up. The set-up lies on a tinted ground.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from resile.records.control.chart import SETTING_UP, ChangePoint, ControlChart, ControlPoint
from resile.report.figures.style import (
    HAIRLINE,
    INK,
    MUTED,
    SPRINGS_BACK,
    SPRINGS_BACK_TINT,
    STAYS_BEHIND,
    STAYS_BEHIND_TINT,
    STRAIN,
    WIDTH,
    Spec,
    chart,
    decade_ticks,
    number_axis,
    rows,
)
from resile.report.numbers import three_figures
from resile.report.words import symbol_of

_WIDTH, _HEIGHT, _BESIDE_HEIGHT = WIDTH - 100, 230, 90
_LABELS = 7
_ON_SCALE = ("individuals", "mean-and-range", "mean-and-deviation", "weighted-average")
_BESIDE_TITLES = {
    "moving-range": "moving range",
    "range": "range",
    "deviation": "standard deviation",
}


def figure_control_chart(control: ControlChart, *, changes: Sequence[ChangePoint] = ()) -> Spec:
    """Draw a control chart, with the chart of the scatter below it.

    Parameters
    ----------
    control : ControlChart
        Points, limits, signals.
    changes : sequence of ChangePoint, optional
        Changes of level that are drawn over it.

    Returns
    -------
    dict
        Vega-Lite specification. Jnr stands on a logarithmic axis in 1/kPa; sums and joint distances have no
        unit.
    """
    upper = _panel(control, changes, _HEIGHT)
    if control.beside is None or not control.beside.points:
        return chart(_told(control, changes), upper)
    lower = _panel(control.beside, (), _BESIDE_HEIGHT, whole=control)
    return chart(_told(control, changes), {"vconcat": [upper, lower], "spacing": 10})


def _order(control: ControlChart) -> dict[str, int]:
    return {point.label: place for place, point in enumerate(control.points, 1)}


def _value(control: ControlChart, plotted: float) -> float:
    """Give what is drawn: the unit of the glossary where the axis is logarithmic."""
    return float(10.0**plotted) if _is_log(control) else plotted


def _is_log(control: ControlChart) -> bool:
    return control.property.scale == "log" and control.kind in _ON_SCALE


def _panel(
    control: ControlChart,
    changes: Sequence[ChangePoint],
    height: int,
    *,
    whole: ControlChart | None = None,
) -> Spec:
    order = _order(whole or control)
    lots = (whole or control).points
    x = {
        "field": "place",
        "type": "quantitative",
        "scale": {"domain": [0.4, len(order) + 0.6], "nice": False},
        "axis": _lots_axis(lots, quiet=control.beside is not None),
    }
    y = {"field": "value", "type": "quantitative", **_y_axis(control, changes)}
    layers = [
        *_grounds(whole or control, order, x, named=whole is None),
        *_sigma_lines(control, y),
        *_limits(control, order, x, y),
    ]
    layers += [*_changes(control, changes, x, y), *_series(control, order, x, y)]
    return {"width": _WIDTH, "height": height, "layer": layers}


def _lots_axis(lots: Sequence[ControlPoint], *, quiet: bool) -> Spec:
    """Label some lots, with their days; a panel with another one below it has ticks alone."""
    values = list(range(1, len(lots) + 1, max(1, math.ceil(len(lots) / _LABELS))))
    places = ", ".join(str(value) for value in values)
    at = f"[indexof([{places}], datum.value)]"
    labels = ", ".join(f"'{_safe(lots[value - 1].label)}'" for value in values)
    days = ", ".join(f"'{_safe(lots[value - 1].when[:10])}'" for value in values)
    return {
        "title": None if quiet else "lot and day",
        "values": values,
        "grid": False,
        "labelExpr": "''" if quiet else f"[[{labels}]{at}, [{days}]{at}]",
        "labelOverlap": False,
        "labelFlush": False,
    }


def _safe(text: str) -> str:
    return text.replace("\\", " ").replace("'", "’")


def _y_axis(control: ControlChart, changes: Sequence[ChangePoint]) -> Spec:
    drawn = [_value(control, p.plotted) for p in control.points]
    drawn += [_value(control, limit) for p in control.points for limit in (p.lower, p.upper)]
    if control.kind in ("individuals", "mean-and-range", "mean-and-deviation"):
        drawn += [level for change in changes for level in (change.before, change.after)]
    low, high = min(drawn), max(drawn)
    title = _axis_title(control)
    if _is_log(control):
        room = (high / low) ** 0.08
        ends = [low / room, high * room]
        return {
            "scale": {"type": "log", "domain": ends, "nice": False},
            "axis": number_axis(title, values=decade_ticks(*ends), grid=False),
        }
    room = 0.08 * ((high - low) or 1.0)
    floor = 0.0 if low == 0.0 else low - room
    count = 3 if control.kind in _BESIDE_TITLES else 6
    return {
        "scale": {"domain": [floor, high + room], "nice": False, "zero": False},
        "axis": number_axis(title, tickCount=count, grid=False),
    }


def _axis_title(control: ControlChart) -> str:
    if control.kind == "joint":
        return "joint distance T²"
    if control.kind == "cumulative-sum":
        return "cumulative sum, standard deviations"
    words = _BESIDE_TITLES.get(control.kind) or symbol_of(control.property.quantity)
    if control.kind == "weighted-average":
        words = f"weighted average of {words}"
    return f"{words}, {control.unit}" if control.unit else words


def _grounds(control: ControlChart, order: dict[str, int], x: Spec, *, named: bool) -> list[Spec]:
    """Tint the set-up, and name both parts where there are two."""
    places = [order[point.label] for point in control.points if point.phase == SETTING_UP]
    watched = [order[point.label] for point in control.points if point.phase != SETTING_UP]
    layers: list[Spec] = []
    for first, last in _runs(places):
        layers.append(
            {
                "data": rows(place=[first - 0.5], end=[last + 0.5]),
                "mark": {"type": "rect", "color": SPRINGS_BACK_TINT, "opacity": 0.6},
                "encoding": {"x": x, "x2": {"field": "end"}},
            }
        )
    if named:
        for word, found in (("set-up", places), ("watched", watched)):
            if found:
                layers.append(
                    {
                        "data": rows(place=[min(found) - 0.3], word=[word]),
                        "mark": {"type": "text", "align": "left", "baseline": "top", "color": MUTED},
                        "encoding": {"x": x, "y": {"value": 2}, "text": {"field": "word"}},
                    }
                )
    return layers


def _runs(places: Sequence[int]) -> list[tuple[int, int]]:
    found: list[tuple[int, int]] = []
    for place in places:
        if found and place == found[-1][1] + 1:
            found[-1] = (found[-1][0], place)
        else:
            found.append((place, place))
    return found


def _sigma_lines(control: ControlChart, y: Spec) -> list[Spec]:
    """Draw one and two standard deviations as hairlines, where the limits stand at three everywhere."""
    if control.kind != "individuals" or not control.points:
        return []
    lines = [_value(control, control.centre + step * control.standard_deviation) for step in (-2, -1, 1, 2)]
    return [
        {
            "data": rows(value=lines),
            "mark": {"type": "rule", "color": HAIRLINE, "strokeWidth": 0.9},
            "encoding": {"y": y},
        }
    ]


def _limits(control: ControlChart, order: dict[str, int], x: Spec, y: Spec) -> list[Spec]:
    """Draw centre line and limits as stairs, a step for each lot, and say what they are at the right edge."""
    layers: list[Spec] = []
    for name, style in (("upper", [5, 3]), ("centre", [1, 0]), ("lower", [5, 3])):
        levels = [float(getattr(point, name)) for point in control.points]
        if (
            name == "lower"
            and all(level <= 0.0 for level in levels)
            and control.kind in (*_BESIDE_TITLES, "joint")
        ):
            continue
        if name == "centre" and control.kind == "joint":
            continue
        begin = [order[point.label] - 0.5 for point in control.points]
        layers.append(
            {
                "data": rows(
                    place=begin,
                    end=[start + 1.0 for start in begin],
                    value=[_value(control, level) for level in levels],
                ),
                "mark": {"type": "rule", "color": INK, "strokeWidth": 1.1, "strokeDash": style},
                "encoding": {"x": x, "x2": {"field": "end"}, "y": y},
            }
        )
        last = _value(control, levels[-1])
        layers.append(
            {
                "data": rows(place=[begin[-1] + 1.0], value=[last], text=[three_figures(last)]),
                "mark": {"type": "text", "align": "left", "dx": 5, "color": MUTED},
                "encoding": {"x": x, "y": y, "text": {"field": "text"}},
            }
        )
    return layers


def _changes(control: ControlChart, changes: Sequence[ChangePoint], x: Spec, y: Spec) -> list[Spec]:
    """Draw the levels found, and the days between which they changed."""
    if not changes or control.kind not in ("individuals", "mean-and-range", "mean-and-deviation"):
        return []
    days = [point.when for point in control.points]
    layers: list[Spec] = []
    edges = [0, *(change.index for change in changes), len(days)]
    levels = [change.before for change in changes] + [changes[-1].after]
    for change in changes:
        early = next((i for i, day in enumerate(days) if day >= change.earliest), 0)
        late = max((i for i, day in enumerate(days) if day <= change.latest), default=len(days) - 1)
        layers.append(
            {
                "data": rows(place=[early + 1.0], end=[late + 1.0]),
                "mark": {"type": "rect", "color": STAYS_BEHIND_TINT, "opacity": 0.55},
                "encoding": {"x": x, "x2": {"field": "end"}},
            }
        )
    layers.append(
        {
            "data": rows(
                place=[edge + 0.5 for edge in edges[:-1]],
                end=[edge + 0.5 for edge in edges[1:]],
                value=levels,
            ),
            "mark": {"type": "rule", "color": SPRINGS_BACK, "strokeWidth": 2.2},
            "encoding": {"x": x, "x2": {"field": "end"}, "y": y},
        }
    )
    return layers


def _series(control: ControlChart, order: dict[str, int], x: Spec, y: Spec) -> list[Spec]:
    numbers: dict[int, list[str]] = {}
    for number, signal in enumerate(control.signals, 1):
        numbers.setdefault(signal.index, []).append(signal_mark(control, number))
    counted = [(i, p) for i, p in enumerate(control.points) if not p.excluded]
    plain = [p for i, p in counted if i not in numbers]
    hollow = [p for p in control.points if p.excluded]

    def data(points: Sequence[ControlPoint], **more: list[Any]) -> Spec:
        return rows(
            place=[order[p.label] for p in points],
            value=[_value(control, p.plotted) for p in points],
            **more,
        )

    at = {"x": x, "y": y}
    layers: list[Spec] = [
        {
            "data": data([p for _, p in counted], stretch=_stretches(control, order)),
            "mark": {"type": "line", "color": STRAIN, "strokeWidth": 1.0},
            "encoding": {**at, "detail": {"field": "stretch"}},
        },
        {
            "data": data(plain),
            "mark": {"type": "point", "filled": True, "color": STRAIN, "size": 34, "opacity": 1},
            "encoding": at,
        },
        {
            "data": data(hollow),
            "mark": {"type": "point", "filled": False, "color": MUTED, "size": 60, "strokeWidth": 1.5},
            "encoding": at,
        },
    ]
    marked = [(control.points[i], ", ".join(found)) for i, found in sorted(numbers.items())]
    if marked:
        signalled = data([p for p, _ in marked], number=[text for _, text in marked])
        layers += [
            {
                "data": signalled,
                "mark": {
                    "type": "point",
                    "shape": "diamond",
                    "filled": True,
                    "color": STAYS_BEHIND,
                    "size": 110,
                    "opacity": 1,
                },
                "encoding": at,
            },
            {
                "data": signalled,
                "mark": {"type": "text", "dy": -11, "color": STAYS_BEHIND, "fontWeight": 600},
                "encoding": {**at, "text": {"field": "number"}},
            },
        ]
    return layers


def _stretches(control: ControlChart, order: dict[str, int]) -> list[int]:
    """Number the stretches of points without a gap: no line leads over a moving range that is none."""
    places = [order[point.label] for point in control.points if not point.excluded]
    stretch, found = 0, []
    for before, place in zip([*places[:1], *places], places, strict=False):
        stretch += control.kind == "moving-range" and place > before + 1
        found.append(stretch)
    return found


def signal_mark(control: ControlChart, number: int) -> str:
    """Give the mark of a signal: a number, or a letter on the chart of the scatter.

    Parameters
    ----------
    control : ControlChart
        The chart that raises it.
    number : int
        Place in its list, from 1.
    """
    if control.kind not in _BESIDE_TITLES:
        return str(number)
    letters = ""
    while number > 0:
        number, rest = divmod(number - 1, 26)
        letters = chr(ord("a") + rest) + letters
    return letters


def _told(control: ControlChart, changes: Sequence[ChangePoint]) -> str:
    """Say what a person sees who cannot see the picture."""
    points = control.points
    told = (
        f"Control chart of {control.title}: {len(points)} lots from {points[0].when} to {points[-1].when}, "
        f"{sum(p.phase == SETTING_UP for p in points)} of them in the set-up, "
        f"{sum(bool(p.excluded) for p in points)} left out. "
    )
    told += f"{len(control.signals)} signals." if control.signals else "No signal."
    if changes:
        told += " Changes of level about " + ", ".join(change.when for change in changes) + "."
    return told
