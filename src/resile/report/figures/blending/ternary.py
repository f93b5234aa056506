"""Three components in a triangle: probability of the whole grade, limits as lines, blends as marks."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import pairwise

from resile.records.blending.picture import TernaryContour, TernaryPicture
from resile.report.blend_words import short_limit
from resile.report.figures.blending.ternary_frame import (
    LEFT,
    RIGHT,
    ROOT3,
    Point,
    encoding_of,
    frame_layers,
    place_of,
)
from resile.report.figures.blending.ternary_marks import BELOW, legend_layers, mark_layers
from resile.report.figures.style import (
    INK,
    MUTED,
    PAPER,
    SPRINGS_BACK,
    SPRINGS_BACK_TINT,
    STAYS_BEHIND,
    STRAIN,
    STRESS,
    SURE_TINT,
    UNLIKELY_TINT,
    Spec,
    chart,
    rows,
    text_mark,
)
from resile.report.numbers import fixed, shown_probability

_ABOVE = 0.05
_WIDTH = 620
_HALF, _HARDLY = 0.5, 0.05
_STRIPS = 3
_CUT_BELOW = 0.8
"""The tip of the triangle is cut off where nothing lies in its upper part."""
_DASHES = ([1, 0], [7, 3], [2, 2], [9, 3, 2, 3], [4, 4], [12, 4])
_COLOURS = (STAYS_BEHIND, STRAIN, STRESS, INK, SPRINGS_BACK, MUTED)


def figure_ternary(picture: TernaryPicture) -> Spec:
    """Draw a ternary picture.

    Parameters
    ----------
    picture : TernaryPicture
        Lattice, limits and marks.

    Returns
    -------
    dict
        Shaded by the probability of the whole grade, the darkest where it is as probable as asked; blank
        outside dosage bounds and trials. Each line is a limit met by the expected value, with its words on
        it; circles are trials, the diamond the recipe.
    """
    ceiling = _ceiling(picture)
    layers = [
        *_shades(picture),
        *frame_layers(picture, ceiling),
        *_contours(picture, ceiling),
        *mark_layers(picture.marks, picture),
        *legend_layers(picture),
    ]
    top = ceiling * ROOT3 + _ABOVE
    for layer in layers:
        layer["encoding"]["y"]["scale"] = {"domain": [-BELOW, top], "nice": False, "zero": False}
    height = _WIDTH * (top + BELOW) / (1.0 + LEFT + RIGHT)
    return chart(_told(picture), {"width": _WIDTH, "height": round(height), "layer": layers})


def _ceiling(picture: TernaryPicture) -> float:
    """Give how much of the triangle is drawn, as a share of its height."""
    n = picture.divisions
    rows_of = [row for row in range(n + 1) for _ in range(n + 1 - row)]
    highest = max((row / n for row, ok in zip(rows_of, picture.allowed, strict=True) if ok), default=1.0)
    floor, span = picture.floor_percent[0], picture.span_percent
    marked = max(((mark.percent[0] - floor) / span for mark in picture.marks), default=0.0)
    wanted = max(highest, marked) + 0.06
    return wanted if wanted < _CUT_BELOW else 1.0


def _shades(picture: TernaryPicture) -> list[Spec]:
    """Shade row by row, the surer bands over the others; ends lie where the probability crosses the band."""
    bands = (
        (_HARDLY, UNLIKELY_TINT),
        (_HALF, SPRINGS_BACK_TINT),
        (picture.required_probability, SURE_TINT),
    )
    layers = []
    for least, tint in bands:
        runs = list(_runs(picture, least))
        if runs:
            columns = dict(zip(("x", "x2", "y", "y2"), map(list, zip(*runs, strict=True)), strict=True))
            layers.append(
                {
                    "data": rows(**columns),
                    "mark": {"type": "rect", "color": tint},
                    "encoding": encoding_of(x2={"field": "x2"}, y2={"field": "y2"}),
                }
            )
    return layers


def _runs(picture: TernaryPicture, least: float) -> Iterator[tuple[float, float, float, float]]:
    """Give the stretches of each strip in which the probability is at least so much: x, x2, y, y2."""
    n, thick = picture.divisions, 0.7 / _STRIPS
    for height, right, step, field in _strips(picture, least):
        ends = [0.0] if field[0] >= 0.0 else []
        for place, (here, there) in enumerate(pairwise(field)):
            if (here >= 0.0) != (there >= 0.0):
                ends.append(place + here / (here - there))
        ends += [len(field) - 1.0] if field[-1] >= 0.0 else []
        low, high = max((height - thick) / n, 0.0) * ROOT3, (height + thick) / n * ROOT3
        for first, last in zip(ends[::2], ends[1::2], strict=True):
            yield right - last * step, right - first * step, low, high


def _strips(picture: TernaryPicture, least: float) -> Iterator[tuple[float, float, float, list[float]]]:
    """Give rows of the lattice and strips between them: height, right end, step, probability above `least`.

    Between two rows the probability is a straight line upwards, so that slanting edges have no stairs.
    """
    n = picture.divisions
    every = [p - least if ok else -least for p, ok in zip(picture.probability, picture.allowed, strict=True)]
    start = 0
    for row in range(n):
        count = n + 1 - row
        here, above = every[start : start + count], every[start + count : start + 2 * count - 1]
        start += count
        for strip in range(_STRIPS):
            part = strip / _STRIPS
            reach = count - 1 - part
            places = [part / 2 + reach * k / (2 * count) for k in range(2 * count + 1)]
            field = [(1 - part) * _between(here, u) + part * _between(above, u - 0.5) for u in places]
            # Along a row the second share grows to the left.
            yield row + part, 1.0 - (row + part) / (2 * n), reach / (2 * count) / n, field


def _between(values: Sequence[float], place: float) -> float:
    """Give a value between two neighbours; beyond the ends the last one."""
    place = min(max(place, 0.0), len(values) - 1.0)
    low = min(int(place), max(len(values) - 2, 0))
    part = place - low
    return values[low] if not part else values[low] + part * (values[low + 1] - values[low])


def _contours(picture: TernaryPicture, ceiling: float) -> list[Spec]:
    layers: list[Spec] = []
    words: list[Spec] = []
    marks = [place_of(mark.percent, picture) for mark in picture.marks]
    every = [_pieces(contour, picture, ceiling) for contour in picture.contours]
    labels: list[Point] = []
    for number, (contour, drawn) in enumerate(zip(picture.contours, every, strict=True)):
        if not drawn:
            continue
        colour, dash = _COLOURS[number % len(_COLOURS)], _DASHES[number % len(_DASHES)]
        data = [
            {"x": x, "y": y, "piece": piece, "order": order}
            for piece, line in enumerate(drawn)
            for order, (x, y) in enumerate(line)
        ]
        layers.append(
            {
                "data": {"values": data},
                "mark": {"type": "line", "color": colour, "strokeDash": dash, "strokeWidth": 1.6},
                "encoding": encoding_of(
                    detail={"field": "piece", "type": "nominal"}, order={"field": "order"}
                ),
            }
        )
        others = [
            p for other, lines in enumerate(every) if other != number for one in lines for p in one[::4]
        ]
        x, y = _label_place(max(drawn, key=len), [*marks, *labels, *others])
        labels += [(x, y), (x - 0.05, y), (x + 0.05, y)]
        words += _haloed(short_limit(contour.limit), x, y, colour)
    return [*layers, *words]


def _pieces(contour: TernaryContour, picture: TernaryPicture, ceiling: float) -> list[list[Point]]:
    lines = [_kept_below([place_of(p, picture) for p in line], ceiling * ROOT3) for line in contour.lines]
    return [line for line in lines if len(line) > 1]


def _kept_below(line: list[Point], height: float) -> list[Point]:
    return [point for point in line if point[1] <= height]


def _haloed(words: str, x: float, y: float, colour: str) -> list[Spec]:
    """Write words on a line: once wide in the colour of the paper, once as they are."""
    look = {"fontSize": 11, "fontWeight": 600}
    return [
        {
            "data": rows(x=[x], y=[y]),
            "mark": text_mark(words, color=PAPER, stroke=PAPER, strokeWidth=4, strokeJoin="round", **look),
            "encoding": encoding_of(),
        },
        {
            "data": rows(x=[x], y=[y]),
            "mark": text_mark(words, color=colour, **look),
            "encoding": encoding_of(),
        },
    ]


def _label_place(line: Sequence[Point], taken: Sequence[Point]) -> Point:
    """Give a place on a line that keeps away from other lines, marks and words."""
    inner = line[len(line) // 10 : max(len(line) - len(line) // 10, 1)] or list(line)

    def room(point: Point) -> float:
        away = min((math.hypot((point[0] - x) * 0.5, (point[1] - y) * 2.0) for x, y in taken), default=1.0)
        return min(away, 0.12) - 0.03 * abs(point[0] - 0.5)

    return max(inner, key=room)


def _told(picture: TernaryPicture) -> str:
    recipe = next((mark for mark in picture.marks if mark.kind == "recipe"), None)
    parts = [f"Triangle of {', '.join(picture.corners)}, shaded by the probability of the whole grade."]
    if recipe is not None:
        words = ", ".join(
            f"{name} {fixed(share, 1)} %" for name, share in zip(picture.corners, recipe.percent, strict=True)
        )
        parts.append(f"The recipe lies at {words}.")
    sure = sum(
        p >= picture.required_probability and ok
        for p, ok in zip(picture.probability, picture.allowed, strict=True)
    )
    share = 100.0 * sure / len(picture.probability)
    asked = shown_probability(picture.required_probability)
    parts.append(f"{share:.0f} % of the area keeps the whole grade with {asked} or more.")
    limits = ", ".join(short_limit(contour.limit) for contour in picture.contours)
    parts.append(f"Lines: {limits}." if limits else "No limit is met in it.")
    return " ".join(parts)
