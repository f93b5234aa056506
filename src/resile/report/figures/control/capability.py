"""The lots of a product against their limit: how often which value, the curve they would follow, the "
"limit.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from statistics import NormalDist

from resile.records.control.capability import CapabilityStatement
from resile.report.figures.control.scales import axis_ends, limit_words, property_axis, property_words
from resile.report.figures.style import (
    INK,
    SPRINGS_BACK,
    SPRINGS_BACK_TINT,
    STAYS_BEHIND,
    STAYS_BEHIND_TINT,
    WIDTH,
    Spec,
    chart,
    number_axis,
    rows,
    text_mark,
)
from resile.report.numbers import fixed, shown, shown_probability

_HEIGHT = 210
_CURVE_PLACES = 121
_REACH = 3.6  # standard deviations that the curve is drawn


def figure_capability(statement: CapabilityStatement) -> Spec:
    """Draw the values of the lots, the normal curve on the watched scale, and the limit.

    Parameters
    ----------
    statement : CapabilityStatement
        Values, mean, scatter, limit.

    Returns
    -------
    dict
        Bars count lots; the line is the curve of mean and scatter; the part of it beyond the limit is
        shaded; each lot is a tick beneath, a diamond beyond the limit.
    """
    watched = statement.watched
    assert watched.limit is not None
    back = _back(statement)
    middle, spread = statement.mean, statement.overall_deviation
    ends_of_curve = [back(middle - _REACH * spread), back(middle + _REACH * spread)]
    ends = axis_ends([*statement.values, watched.limit, *ends_of_curve], watched)
    x = property_axis("value", watched, ends, grid=False)
    bars, width = _bars(statement)
    curve = _curve(statement, width)
    highest = max([*(one[2] for one in bars), *(one[1] for one in curve)])
    y = {
        "field": "count",
        "type": "quantitative",
        "scale": {"domain": [-0.12 * highest, 1.12 * highest], "nice": False},
        "axis": number_axis("lots", values=_whole_ticks(highest), grid=True),
    }
    sign = 1.0 if watched.limit_is == "at_most" else -1.0
    beyond = [one for one in curve if sign * (one[0] - watched.limit) >= 0.0]
    return chart(
        capability_in_words(statement),
        {
            "width": WIDTH - 70,
            "height": _HEIGHT,
            "layer": [
                _bar_layer(bars, x, y),
                *_tail(beyond, x, y),
                _curve_layer(curve, x, y),
                *_limit(statement, highest, ends, x, y),
                *_ticks(statement, highest, x, y),
            ],
        },
    )


def capability_in_words(statement: CapabilityStatement) -> str:
    """Say what the picture shows.

    Parameters
    ----------
    statement : CapabilityStatement
        As drawn.
    """
    watched = statement.watched
    return (
        f"{property_words(watched)} of {len(statement.lots)} lots: from "
        f"{shown(min(statement.values), watched.quantity)} to "
        f"{shown(max(statement.values), watched.quantity)} "
        f"{watched.unit}, centre {shown(statement.centre, watched.quantity)}; limit {limit_words(watched)}; "
        f"{shown_probability(statement.share_beyond)} expected beyond it, {statement.beyond_counted} counted."
    )


def _back(statement: CapabilityStatement) -> Callable[[float], float]:
    return _power if statement.watched.scale == "log" else float


def _power(one: float) -> float:
    return float(10.0**one)


def _scaled(statement: CapabilityStatement) -> list[float]:
    log = statement.watched.scale == "log"
    return [math.log10(one) if log else one for one in statement.values]


def _bars(statement: CapabilityStatement) -> tuple[list[tuple[float, float, float]], float]:
    """Count lots in classes of equal width on the watched scale: Freedman and Diaconis by the deviation."""
    values, back = _scaled(statement), _back(statement)
    wanted = 2.6 * statement.overall_deviation / len(values) ** (1.0 / 3.0)
    count = max(4, min(24, math.ceil((max(values) - min(values)) / wanted)))
    width = (max(values) - min(values)) / count
    tally = [0] * count
    for value in values:
        tally[min(int((value - min(values)) / width), count - 1)] += 1
    edges = [min(values) + place * width for place in range(count + 1)]
    bars = [(back(edges[at]), back(edges[at + 1]), float(tally[at])) for at in range(count)]
    return bars, width


def _curve(statement: CapabilityStatement, width: float) -> list[tuple[float, float]]:
    normal, back = NormalDist(statement.mean, statement.overall_deviation), _back(statement)
    begin = statement.mean - _REACH * statement.overall_deviation
    step = 2.0 * _REACH * statement.overall_deviation / (_CURVE_PLACES - 1)
    places = [begin + step * at for at in range(_CURVE_PLACES)]
    return [(back(one), len(statement.lots) * width * normal.pdf(one)) for one in places]


def _bar_layer(bars: list[tuple[float, float, float]], x: Spec, y: Spec) -> Spec:
    data = rows(
        value=[one[0] for one in bars],
        to=[one[1] for one in bars],
        count=[one[2] for one in bars],
        floor=[0.0] * len(bars),
    )
    mark = {"type": "rect", "color": SPRINGS_BACK_TINT, "stroke": SPRINGS_BACK, "strokeWidth": 0.8}
    return {
        "data": data,
        "mark": mark,
        "encoding": {"x": x, "x2": {"field": "to"}, "y": y, "y2": {"field": "floor"}},
    }


def _curve_layer(curve: list[tuple[float, float]], x: Spec, y: Spec) -> Spec:
    data = rows(value=[one[0] for one in curve], count=[one[1] for one in curve])
    mark = {"type": "line", "color": INK, "strokeWidth": 1.6}
    return {"data": data, "mark": mark, "encoding": {"x": x, "y": y}}


def _tail(beyond: list[tuple[float, float]], x: Spec, y: Spec) -> list[Spec]:
    if len(beyond) < 2:
        return []
    data = rows(value=[one[0] for one in beyond], count=[one[1] for one in beyond], floor=[0.0] * len(beyond))
    mark = {"type": "area", "color": STAYS_BEHIND_TINT}
    return [{"data": data, "mark": mark, "encoding": {"x": x, "y": y, "y2": {"field": "floor"}}}]


def _limit(
    statement: CapabilityStatement, highest: float, ends: tuple[float, float], x: Spec, y: Spec
) -> list[Spec]:
    watched = statement.watched
    assert watched.limit is not None
    data = rows(value=[watched.limit], count=[1.1 * highest], floor=[0.0])
    rule = {"type": "rule", "color": STAYS_BEHIND, "strokeWidth": 1.8, "strokeDash": [6, 3]}
    log = watched.scale == "log"
    place = [math.log10(one) if log else one for one in (ends[0], watched.limit, ends[1])]
    right = (place[1] - place[0]) / (place[2] - place[0]) > 0.75
    words = text_mark(
        [
            f"limit {fixed(watched.limit, 3).rstrip('0').rstrip('.')}",
            f"{shown_probability(statement.share_beyond)} beyond",
        ],
        align="right" if right else "left",
        baseline="top",
        dx=-6 if right else 6,
        color=STAYS_BEHIND,
        lineHeight=15,
    )
    return [
        {"data": data, "mark": rule, "encoding": {"x": x, "y": y, "y2": {"field": "floor"}}},
        {"data": data, "mark": words, "encoding": {"x": x, "y": y}},
    ]


def _ticks(statement: CapabilityStatement, highest: float, x: Spec, y: Spec) -> list[Spec]:
    watched = statement.watched
    assert watched.limit is not None
    sign = 1.0 if watched.limit_is == "at_most" else -1.0
    lots = list(zip(statement.lots, statement.values, strict=True))
    within = [one for one in lots if sign * (one[1] - watched.limit) <= 0.0]
    marks: list[tuple[list[tuple[str, float]], Spec]] = [
        (within, {"type": "tick", "color": INK, "thickness": 1.2, "size": 9}),
        (
            [one for one in lots if one not in within],
            {
                "type": "point",
                "shape": "diamond",
                "filled": True,
                "size": 70,
                "color": STAYS_BEHIND,
                "opacity": 1,
            },
        ),
    ]
    return [
        {
            "data": rows(
                lot=[one[0] for one in some],
                value=[one[1] for one in some],
                count=[-0.06 * highest] * len(some),
            ),
            "mark": mark,
            "encoding": {"x": x, "y": y, "tooltip": [{"field": "lot", "type": "nominal"}]},
        }
        for some, mark in marks
        if some
    ]


def _whole_ticks(highest: float) -> list[int]:
    step = next(
        one for one in (1, 2, 5, 10, 20, 50, 100, 200, 500, 1000) if highest / one <= 6 or one == 1000
    )
    return list(range(0, int(highest) + 1, step))
