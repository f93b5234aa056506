"""One property against temperature: tests, line, band, stairs of the classes, temperatures asked for."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

from resile.records.prediction import (
    AskedTemperature,
    BandPoint,
    Basis,
    ExpectedValue,
    LimitTemperature,
    PropertyLine,
)
from resile.records.quantity import QUANTITIES
from resile.report.figures.style import (
    INK,
    MUTED,
    SPRINGS_BACK_TINT,
    STAYS_BEHIND,
    STRAIN,
    WIDTH,
    Spec,
    chart,
    decade_ticks,
    number_axis,
    rows,
    text_mark,
)
from resile.report.numbers import fixed, shown, shown_limit, shown_step
from resile.report.words import CONDITION_WORDS, symbol_of

_HEIGHT = 240
_PERCENT = "%"
_ROOM_C = 1.5
_NEAR_EDGE = 0.2
"""Share of the width within which a label runs inwards."""


def figure_property(
    line: PropertyLine, curve: Sequence[BandPoint], asked: Sequence[AskedTemperature]
) -> Spec:
    """Draw a property against temperature with the band of its line.

    Parameters
    ----------
    line : PropertyLine
        Tests, and where the line meets the limits.
    curve : sequence of BandPoint
        Line and band, coldest first; may be empty.
    asked : sequence of AskedTemperature
        Temperatures asked for.

    Returns
    -------
    dict
        A logarithmic scale, but for recovery. Filled circles are single tests; the line is dashed outside
        them; an open square with whiskers is what a test is expected to give; a filled square is a measured
        value at an asked temperature. The stairs are the limits of the classes, each as far as the line stays
        inside it.
    """
    points = _determinations(line)
    values = [_value_of(line, one) for one in asked]
    placed = [(one, value) for one, value in zip(asked, values, strict=True) if value is not None]
    span = _span([t for t, _ in points], [one.temperature_c for one, _ in placed])
    drawn = [one for one in curve if span[0] <= one.temperature_c <= span[1]]
    x, y = _axes(line, span, points, drawn, [value for _, value in placed])
    floor, ceiling = y["scale"]["domain"]
    stairs = [one for one in line.limits if one.temperature_c is not None or _between(one, floor, ceiling)]
    layers = [*_band(drawn, x, y), *_stairs(stairs, span, (floor, ceiling), x, y), *_lines(drawn, line, x, y)]
    layers += _tests(points, x, y)
    for _, value in placed:
        layers += _asked(value, line, span, x, y, short=len(placed) > 1)
    body = {"width": WIDTH - 90, "height": _HEIGHT, "layer": layers}
    return chart(_told(line, placed), body)


def _told(line: PropertyLine, placed: Sequence[tuple[AskedTemperature, ExpectedValue]]) -> str:
    tests = ", ".join(
        f"{shown(point.value, line.quantity)} at {fixed(point.temperature_c, 1)} °C" for point in line.points
    )
    expected = "; ".join(
        f"{shown_step(one.temperature_c)} °C {_words(value, line.quantity)}" for one, value in placed
    )
    return (
        f"{symbol_of(line.quantity)} of {CONDITION_WORDS[line.condition]} against temperature. "
        f"Tested: {tests}. Asked for: {expected or 'nothing that can be told'}."
    )


def _words(value: ExpectedValue, quantity: str) -> str:
    if value.basis is Basis.MEASURED:
        return f"measured {shown(value.value, quantity)}"
    return f"{shown(value.value, quantity)} ({shown(value.low, quantity)} to {shown(value.high, quantity)})"


def _determinations(line: PropertyLine) -> list[tuple[float, float]]:
    """Give every counted determination with its temperature."""
    found = []
    for point in line.points:
        single = [
            (d.temperature_c if d.temperature_c is not None else point.temperature_c, d.value)
            for d, counts in zip(point.determinations, point.counted, strict=True)
            if counts
        ] or [(point.temperature_c, point.value)]
        found += [(float(t), float(v)) for t, v in single if t is not None and v is not None]
    return found


def _value_of(line: PropertyLine, asked: AskedTemperature) -> ExpectedValue | None:
    for value in asked.values:
        if (value.quantity, value.condition) == (line.quantity, line.condition) and value.value is not None:
            return value
    return None


def _span(tested: Sequence[float], asked: Sequence[float]) -> tuple[float, float]:
    every = [*tested, *asked]
    return min(every) - _ROOM_C - 1.0, max(every) + _ROOM_C + 1.0


def _between(one: LimitTemperature, floor: float, ceiling: float) -> bool:
    return floor < one.limit < ceiling


def _axes(
    line: PropertyLine,
    span: tuple[float, float],
    points: Sequence[tuple[float, float]],
    curve: Sequence[BandPoint],
    values: Sequence[ExpectedValue],
) -> tuple[Spec, Spec]:
    quantity = QUANTITIES[line.quantity]
    x = {
        "field": "at",
        "type": "quantitative",
        "scale": {"domain": list(span), "nice": False},
        "axis": number_axis("temperature (°C)", values=_ticks(span), grid=False),
    }
    title = f"{quantity.symbol} ({quantity.unit})"
    if quantity.unit == _PERCENT:
        scale: Spec = {"domain": [0, 100], "nice": False}
        axis = number_axis(title, values=list(range(0, 101, 20)))
        return x, {"field": "value", "type": "quantitative", "scale": scale, "axis": axis}
    heights = [v for _, v in points] + [v.value for v in values if v.value]
    heights += [end for v in values for end in (v.low, v.high) if end]
    heights += [end for one in curve if not one.outside for end in (one.low, one.high)]
    near = [one.limit for one in line.limits if min(heights) / 2.5 < one.limit < 2.5 * max(heights)]
    low, high = min([*heights, *near]) / 1.35, max([*heights, *near]) * 1.35
    scale = {"type": "log", "domain": [low, high], "nice": False, "clamp": True}
    axis = number_axis(title, values=decade_ticks(low, high))
    return x, {"field": "value", "type": "quantitative", "scale": scale, "axis": axis}


def _ticks(span: tuple[float, float]) -> list[int]:
    """Label grade steps of 6 °C from 46 °C, as long as there are two of them."""
    steps = [t for t in range(-2, 142, 6) if span[0] <= t <= span[1]]
    return steps if len(steps) > 1 else list(range(math.ceil(span[0]), math.floor(span[1]) + 1))


def _band(curve: Sequence[BandPoint], x: Spec, y: Spec) -> list[Spec]:
    if not curve:
        return []
    data = rows(
        at=[one.temperature_c for one in curve],
        value=[one.low for one in curve],
        value2=[one.high for one in curve],
    )
    mark = {"type": "area", "color": SPRINGS_BACK_TINT, "opacity": 0.9, "clip": True}
    return [{"data": data, "mark": mark, "encoding": {"x": x, "y": y, "y2": {"field": "value2"}}}]


def _lines(curve: Sequence[BandPoint], line: PropertyLine, x: Spec, y: Spec) -> list[Spec]:
    """Draw the line whole between the tests, dashed outside them and dotted where its slope is a prior."""
    drawn = line.line
    prior = getattr(drawn, "prior", None) is not None
    layers: list[Spec] = []
    for outside in (False, True):
        pieces = [(a, b) for a, b in pairwise(curve) if (a.outside or b.outside) is outside]
        if pieces:
            places = {id(one): one for pair in pieces for one in pair}.values()
            dash = ([2, 3] if prior else [6, 4]) if outside else [1, 0]
            sides = [0 if one.temperature_c <= _coldest(line) else 1 for one in places]
            data = rows(
                at=[one.temperature_c for one in places],
                value=[one.value for one in places],
                side=sides if outside else [0] * len(sides),
            )
            mark = {"type": "line", "color": STRAIN, "strokeWidth": 1.7, "strokeDash": dash, "clip": True}
            layers.append(
                {
                    "data": data,
                    "mark": mark,
                    "encoding": {"x": x, "y": y, "detail": {"field": "side", "type": "nominal"}},
                }
            )
    return layers


def _coldest(line: PropertyLine) -> float:
    return line.line.coldest_c if line.line is not None else math.inf


def _stairs(
    limits: Sequence[LimitTemperature],
    span: tuple[float, float],
    heights: tuple[float, float],
    x: Spec,
    y: Spec,
) -> list[Spec]:
    """Draw each limit as a tread as far as the line stays inside it, and a riser down from its end."""
    layers: list[Spec] = []
    for one in limits:
        if not heights[0] < one.limit < heights[1]:
            continue
        end = span[1] if one.temperature_c is None else min(max(one.temperature_c, span[0]), span[1])
        tread = {"type": "rule", "color": MUTED, "strokeWidth": 1.0, "strokeDash": [1, 0]}
        rest = {"type": "rule", "color": MUTED, "strokeWidth": 0.7, "strokeDash": [1, 3]}
        data = rows(at=[span[0]], at2=[end], value=[one.limit])
        far = rows(at=[end], at2=[span[1]], value=[one.limit])
        across = {"x": x, "x2": {"field": "at2"}, "y": y}
        layers += [
            {"data": data, "mark": tread, "encoding": across},
            {"data": far, "mark": rest, "encoding": across},
            {
                "data": rows(at=[span[0]], value=[one.limit]),
                "mark": text_mark(
                    _limit_words(one), align="left", baseline="bottom", dx=5, dy=-3, color=MUTED
                ),
                "encoding": {"x": x, "y": y},
            },
        ]
        if one.temperature_c is not None and span[0] < one.temperature_c < span[1]:
            layers.append(
                {
                    "data": rows(at=[one.temperature_c], value=[one.limit], value2=[heights[0]]),
                    "mark": {**tread, "strokeDash": [3, 2], "strokeWidth": 0.8},
                    "encoding": {"x": x, "y": y, "y2": {"field": "value2"}},
                }
            )
            layers.append(
                {
                    "data": rows(at=[one.temperature_c], value=[heights[0]]),
                    "mark": text_mark(
                        f"{fixed(one.temperature_c, 1)} °C",
                        align="left",
                        baseline="bottom",
                        dx=4,
                        dy=-4,
                        color=MUTED,
                    ),
                    "encoding": {"x": x, "y": y},
                }
            )
    return layers


def _limit_words(one: LimitTemperature) -> str:
    sign = "≤" if one.requirement.bound == "maximum" else "≥"
    limit = f"{sign} {shown_limit(one.limit, one.requirement.quantity)}"
    return f"{one.service_class}  {limit}".strip()


def _tests(points: Sequence[tuple[float, float]], x: Spec, y: Spec) -> list[Spec]:
    data = rows(at=[t for t, _ in points], value=[v for _, v in points])
    mark = {"type": "point", "filled": True, "shape": "circle", "size": 60, "color": STRAIN, "opacity": 1}
    return [{"data": data, "mark": mark, "encoding": {"x": x, "y": y}}]


def _asked(
    value: ExpectedValue, line: PropertyLine, span: tuple[float, float], x: Spec, y: Spec, *, short: bool
) -> list[Spec]:
    """Draw an asked temperature: whiskers and an open square, or a filled square where it was measured."""
    at, measured = value.temperature_c, value.basis is Basis.MEASURED
    place = rows(at=[at], value=[value.value])
    layers: list[Spec] = []
    if not measured and value.low is not None and value.high is not None:
        ends = rows(at=[at], value=[value.low], value2=[value.high])
        whisker = {"type": "rule", "color": STAYS_BEHIND, "strokeWidth": 1.6}
        layers.append(
            {"data": ends, "mark": whisker, "encoding": {"x": x, "y": y, "y2": {"field": "value2"}}}
        )
        caps = rows(at=[at, at], value=[value.low, value.high])
        cap = {"type": "tick", "color": STAYS_BEHIND, "thickness": 1.6, "size": 10, "orient": "horizontal"}
        layers.append({"data": caps, "mark": cap, "encoding": {"x": x, "y": y}})
    square = {
        "type": "point",
        "shape": "square",
        "size": 95,
        "color": STAYS_BEHIND,
        "filled": measured,
        "opacity": 1,
        "strokeWidth": 1.8,
    }
    falls = not line.quantity.startswith("jnr")
    outer = value.high if falls else value.low
    side = (at - span[0]) / (span[1] - span[0])
    label = text_mark(
        [
            f"{shown_step(at)} °C",
            shown(value.value, line.quantity) if short else _words(value, line.quantity),
        ],
        align="left" if side < _NEAR_EDGE else "right" if side > 1.0 - _NEAR_EDGE else "center",
        baseline="bottom" if falls else "top",
        dx=-14 if side < _NEAR_EDGE else 14 if side > 1.0 - _NEAR_EDGE else 0,
        dy=-24 if falls else 8,
        color=INK,
        fontWeight=600,
        lineHeight=15,
    )
    beside = rows(at=[at], value=[outer if outer is not None else value.value])
    return [
        *layers,
        {"data": place, "mark": square, "encoding": {"x": x, "y": y}},
        {"data": beside, "mark": label, "encoding": {"x": x, "y": y}},
    ]
