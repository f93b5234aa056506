"""What lies behind the lots of a control chart: set-up, limits, the limit of the specification, levels."""

from __future__ import annotations

import math
from collections.abc import Sequence

from resile.records.control.chart import SETTING_UP, ChangePoint, ControlChart
from resile.report.figures.control.chart_axes import (
    SCATTER_TITLES,
    SINGLE_KINDS,
    ValueAxis,
    drawn_limit,
    drawn_value,
)
from resile.report.figures.style import (
    HAIRLINE,
    INK,
    MUTED,
    SPRINGS_BACK,
    SPRINGS_BACK_TINT,
    STAYS_BEHIND_TINT,
    STRESS,
    Spec,
    rows,
)
from resile.report.numbers import three_figures

_LINE_HEIGHT = 13.0
"""Least distance between two numbers at the right edge [px]."""


def grounds(control: ControlChart, order: dict[str, int], x: Spec, *, named: bool) -> list[Spec]:
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
    if named and (places or not watched):  # a stretch of watched lots alone needs no name
        for word, found in (("set-up", places), ("watched", watched)):
            if found:
                layers.append(
                    {
                        "data": rows(place=[min(found) - 0.3], word=[word]),
                        "mark": {
                            "type": "text",
                            "align": "left",
                            "baseline": "bottom",
                            "dx": 2,
                            "color": MUTED,
                        },
                        "encoding": {"x": x, "y": {"value": -3}, "text": {"field": "word"}},
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


def sigma_lines(control: ControlChart, y: Spec) -> list[Spec]:
    """Draw one and two standard deviations as hairlines, where the limits stand at three everywhere."""
    if control.kind != "individuals" or not control.points:
        return []
    lines = [
        drawn_value(control, control.centre + step * control.standard_deviation) for step in (-2, -1, 1, 2)
    ]
    return [
        {
            "data": rows(value=lines),
            "mark": {"type": "rule", "color": HAIRLINE, "strokeWidth": 0.9},
            "encoding": {"y": y},
        }
    ]


def control_limits(control: ControlChart, order: dict[str, int], x: Spec, axis: ValueAxis) -> list[Spec]:
    """Draw centre line and limits as stairs, a step for each lot, and say what they are at the right edge."""
    layers: list[Spec] = []
    ends: list[tuple[float, str, str]] = []
    begin = [order[point.label] - 0.5 for point in control.points]
    for name, style in (("upper", [5, 3]), ("centre", [1, 0]), ("lower", [5, 3])):
        levels = [float(getattr(point, name)) for point in control.points]
        if _untold(control, name, levels):
            continue
        steps = _stretches_of(begin, [drawn_value(control, one) for one in levels])
        layers.append(
            {
                "data": rows(
                    place=[first for first, _, _ in steps],
                    end=[last for _, last, _ in steps],
                    value=[level for _, _, level in steps],
                ),
                "mark": {"type": "rule", "color": INK, "strokeWidth": 1.1, "strokeDash": style},
                "encoding": {"x": x, "x2": {"field": "end"}, "y": axis.encoding},
            }
        )
        ends.append((steps[-1][2], three_figures(steps[-1][2]) if steps[-1][2] else "0", MUTED))
    ends += _limit_at_the_edge(control, axis)
    return [*layers, *_words_at_the_edge(ends, begin[-1] + 1.0, x, axis)]


def _stretches_of(begin: Sequence[float], levels: Sequence[float]) -> list[tuple[float, float, float]]:
    """Join lots that follow one another at one level, so that a dash stays a dash; gaps stay gaps."""
    found: list[tuple[float, float, float]] = []
    for start, level in zip(begin, levels, strict=True):
        if not math.isfinite(level):
            continue
        if found and found[-1][1] == start and math.isclose(found[-1][2], level, rel_tol=1e-12):
            found[-1] = (found[-1][0], start + 1.0, level)
        else:
            found.append((start, start + 1.0, level))
    return found


def _untold(control: ControlChart, name: str, levels: Sequence[float]) -> bool:
    """Tell whether a line says nothing: no limit, the floor of a range, the mean of a distance."""
    if not any(map(math.isfinite, levels)):
        return True
    floor = control.kind in (*SCATTER_TITLES, "joint") and all(level <= 0.0 for level in levels)
    return (name == "lower" and floor) or (name == "centre" and control.kind == "joint")


def _words_at_the_edge(
    ends: Sequence[tuple[float, str, str]], place: float, x: Spec, axis: ValueAxis
) -> list[Spec]:
    """Write numbers beside the lines they belong to, set apart where the lines lie close together."""
    layers: list[Spec] = []
    free = -math.inf
    for value, text, colour in sorted(set(ends), reverse=True):
        at = axis.down(value)
        written = max(at, free)
        free = written + _LINE_HEIGHT
        mark = {"type": "text", "align": "left", "dx": 5, "dy": round(written - at, 1), "color": colour}
        layers.append(
            {
                "data": rows(place=[place], value=[value], text=[text]),
                "mark": mark if colour == MUTED else {**mark, "fontWeight": 600},
                "encoding": {"x": x, "y": axis.encoding, "text": {"field": "text"}},
            }
        )
    return layers


def _limit_at_the_edge(control: ControlChart, axis: ValueAxis) -> list[tuple[float, str, str]]:
    """Give the words of the limit of the specification; where it lies outside, at the end it lies beyond."""
    limit = drawn_limit(control)
    if limit is None:
        return []
    words = f"limit {limit:g}{f' {control.property.unit}' if control.property.unit else ''}"
    if axis.shows(limit):
        return [(limit, words, STRESS)]
    return [
        (axis.high, f"{words} above", STRESS) if limit > axis.high else (axis.low, f"{words} below", STRESS)
    ]


def specification_limit(control: ControlChart, axis: ValueAxis) -> list[Spec]:
    """Draw the limit of the specification, where lots come near it.

    Parameters
    ----------
    control : ControlChart
        The chart; nothing is drawn where no limit is watched or none can be laid over the lots.
    axis : ValueAxis
        Axis of the values.
    """
    limit = drawn_limit(control)
    if limit is None or not axis.shows(limit):
        return []
    line = {"type": "rule", "color": STRESS, "strokeWidth": 2.2, "strokeDash": [12, 3, 2, 3]}
    return [{"data": rows(value=[limit]), "mark": line, "encoding": {"y": axis.encoding}}]


def levels_found(control: ControlChart, changes: Sequence[ChangePoint], x: Spec, y: Spec) -> list[Spec]:
    """Draw the levels found, and the days between which they changed."""
    if not changes or control.kind not in SINGLE_KINDS:
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
