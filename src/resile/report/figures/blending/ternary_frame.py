"""The frame of a ternary picture: where a blend lies, edges, numbers and names."""

from __future__ import annotations

import math
from collections.abc import Sequence

from resile.records.blending.picture import TernaryPicture
from resile.report.figures.style import HAIRLINE, INK, MUTED, Spec, rows, text_mark

ROOT3 = math.sqrt(3.0) / 2.0
"""Height of a triangle of side 1."""
LEFT, RIGHT = 0.13, 0.13
"""Room beside the triangle, in its sides."""
_MOST_TICKS = 6
_STEPS = (1, 2, 5, 10, 20, 25)

Point = tuple[float, float]


def place_of(percent: Sequence[float], picture: TernaryPicture) -> Point:
    """Give where a blend lies: the left corner at (0, 0), the right one at (1, 0)."""
    top, _, right = (
        (share - floor) / picture.span_percent
        for share, floor in zip(percent, picture.floor_percent, strict=True)
    )
    return right + top / 2.0, top * ROOT3


def encoding_of(x: str = "x", y: str = "y", **more: Spec) -> Spec:
    """Give the encoding of a layer; the caller sets the height of the picture."""
    return {
        "x": {
            "field": x,
            "type": "quantitative",
            "axis": None,
            "scale": {"domain": [-LEFT, 1.0 + RIGHT], "nice": False, "zero": False},
        },
        "y": {
            "field": y,
            "type": "quantitative",
            "axis": None,
        },
        **more,
    }


def frame_layers(picture: TernaryPicture, ceiling: float) -> list[Spec]:
    """Draw edges, lines of one share and their numbers, up to `ceiling` of the height."""
    tip = [(1.0 - ceiling / 2.0, ceiling * ROOT3), (ceiling / 2.0, ceiling * ROOT3)]
    corners = [(0.0, 0.0), (1.0, 0.0), *(tip if ceiling < 1.0 else tip[:1]), (0.0, 0.0)]
    lines: list[tuple[Point, Point]] = []
    labels: list[tuple[Point, str, int]] = []
    for which in range(3):
        for share in _ticks(picture.floor_percent[which], picture.span_percent):
            ends = _ends_of(which, share, picture)
            if min(ends[0][1], ends[1][1]) > ceiling * ROOT3 - 1e-9:
                continue
            lines.append(_below(ends, ceiling * ROOT3))
            if ends[0][1] < ceiling * ROOT3 - 1e-9:
                labels.append((ends[0], f"{share:g}", which))
    layers: list[Spec] = [
        {
            "data": rows(
                x=[a[0] for a, _ in lines],
                y=[a[1] for a, _ in lines],
                x2=[b[0] for _, b in lines],
                y2=[b[1] for _, b in lines],
            ),
            "mark": {"type": "rule", "color": HAIRLINE, "strokeWidth": 0.7},
            "encoding": encoding_of(x2={"field": "x2"}, y2={"field": "y2"}),
        },
        {
            "data": rows(
                x=[c[0] for c in corners], y=[c[1] for c in corners], order=list(range(len(corners)))
            ),
            "mark": {"type": "line", "color": MUTED, "strokeWidth": 1.2},
            "encoding": encoding_of(order={"field": "order"}),
        },
    ]
    # Labels of the top share stand right of the right edge, of the left share left, of the right share below.
    aligned = ({"align": "left", "dx": 6}, {"align": "right", "dx": -6}, {"align": "center", "dy": 13})
    for which, settings in enumerate(aligned):
        some = [(place, text) for place, text, of in labels if of == which]
        layers.append(
            {
                "data": rows(x=[p[0] for p, _ in some], y=[p[1] for p, _ in some], text=[t for _, t in some]),
                "mark": {"type": "text", "color": MUTED, "fontSize": 11, **settings},
                "encoding": encoding_of(text={"field": "text"}),
            }
        )
    return [*layers, *_titles(picture, ceiling)]


def _below(ends: tuple[Point, Point], height: float) -> tuple[Point, Point]:
    """Cut a line off at a height."""
    (x1, y1), (x2, y2) = ends

    def cut(x: float, y: float, towards: Point) -> Point:
        if y <= height:
            return x, y
        part = (y - height) / (y - towards[1])
        return x + part * (towards[0] - x), height

    return cut(x1, y1, (x2, y2)), cut(x2, y2, (x1, y1))


def _titles(picture: TernaryPicture, ceiling: float) -> list[Spec]:
    """Write each component along the edge its numbers stand at; the arrow points to more of it."""
    top, left, right = picture.corners
    middle = ceiling / 2.0
    places = (
        (f"← {top} (%)", 1.0 - middle / 2.0 + 0.088, middle * ROOT3 + 0.04, 60.0),
        (f"← {left} (%)", middle / 2.0 - 0.088, middle * ROOT3 + 0.04, -60.0),
        (f"{right} (%) →", 0.5, -0.08, 0.0),
    )
    return [
        {
            "data": rows(x=[x], y=[y]),
            "mark": text_mark(words, fontSize=12, color=INK, angle=angle, align="center"),
            "encoding": encoding_of(),
        }
        for words, x, y, angle in places
    ]


def _ends_of(which: int, share: float, picture: TernaryPicture) -> tuple[Point, Point]:
    """Give the line of one share: its labelled end first."""
    floor, span = picture.floor_percent, picture.span_percent
    rest = span - (share - floor[which])
    # For each component: the neighbour that is largest at the labelled end.
    big = {0: 2, 1: 0, 2: 1}[which]
    other = 3 - which - big
    ends = []
    for full, none in ((big, other), (other, big)):
        percent = [0.0, 0.0, 0.0]
        percent[which], percent[full], percent[none] = share, floor[full] + rest, floor[none]
        ends.append(place_of(percent, picture))
    return ends[0], ends[1]


def _ticks(floor: float, span: float) -> list[float]:
    step = next((s for s in _STEPS if span / s <= _MOST_TICKS), _STEPS[-1])
    first = math.floor(floor / step + 1e-9) + 1
    return [step * k for k in range(first, first + 30) if floor < step * k < floor + span - 1e-9]
