"""What stands in a ternary picture beside lines and shades: blends as marks, and the legend below."""

from __future__ import annotations

from collections.abc import Sequence

from resile.records.blending.picture import TernaryMark, TernaryPicture
from resile.report.figures.blending.ternary_frame import LEFT, encoding_of, place_of
from resile.report.figures.style import (
    INK,
    MUTED,
    PAPER,
    SPRINGS_BACK_TINT,
    STRAIN,
    SURE_TINT,
    UNLIKELY_TINT,
    Spec,
    rows,
    text_mark,
)

BELOW = 0.15
"""Room below the triangle for its name and the legend, in its sides."""
_SHAPES = {
    "trial": "circle",
    "recipe": "diamond",
    "alternative": "triangle-up",
    "today": "cross",
    "next": "square",
}


def mark_layers(marks: Sequence[TernaryMark], picture: TernaryPicture) -> list[Spec]:
    """Draw trials and recipes, each kind with a mark of its own."""
    layers: list[Spec] = []
    looks = {
        "trial": {"filled": False, "color": MUTED, "size": 46, "strokeWidth": 1.4},
        "alternative": {"filled": False, "color": INK, "size": 90, "strokeWidth": 1.6},
        "today": {"filled": True, "color": MUTED, "size": 110},
        "next": {"filled": False, "color": STRAIN, "size": 110, "strokeWidth": 2},
        "recipe": {"filled": True, "color": INK, "size": 150, "stroke": PAPER, "strokeWidth": 1.2},
    }
    for kind, look in looks.items():
        some = _together([mark for mark in marks if mark.kind == kind])
        if not some:
            continue
        places = [place_of(mark.percent, picture) for mark in some]
        data = rows(x=[p[0] for p in places], y=[p[1] for p in places], label=[m.label for m in some])
        layers.append(
            {
                "data": data,
                "mark": {"type": "point", "shape": _SHAPES[kind], "opacity": 1, **look},
                "encoding": encoding_of(tooltip={"field": "label"}),
            }
        )
        words = {
            "type": "text",
            "align": "left",
            "dx": 7,
            "dy": -7,
            "fontSize": 10 if kind == "trial" else 12,
        }
        weight = {"color": MUTED} if kind == "trial" else {"color": INK, "fontWeight": 600}
        layers.append(
            {"data": data, "mark": {**words, **weight}, "encoding": encoding_of(text={"field": "label"})}
        )
    return layers


def _together(marks: Sequence[TernaryMark]) -> list[TernaryMark]:
    """Give blends of the same shares one mark with all their names."""
    found: dict[tuple[float, ...], TernaryMark] = {}
    for mark in marks:
        key = tuple(round(share, 3) for share in mark.percent)
        before = found.get(key)
        label = mark.label if before is None else f"{before.label}, {mark.label}"
        found[key] = TernaryMark(mark.kind, label, mark.percent)
    return list(found.values())


def legend_layers(picture: TernaryPicture) -> list[Spec]:
    """Say what the shades mean, below the triangle."""
    asked = f"{100.0 * picture.required_probability:.4g}"
    entries = (
        (SURE_TINT, f"{asked} % or more"),
        (SPRINGS_BACK_TINT, f"50 to {asked} %"),
        (UNLIKELY_TINT, "5 to 50 %"),
    )
    y = -BELOW + 0.012
    layers: list[Spec] = [
        {
            "data": rows(x=[-LEFT], y=[y]),
            "mark": text_mark("whole grade kept with", align="left", baseline="middle", color=INK),
            "encoding": encoding_of(),
        }
    ]
    for number, (tint, words) in enumerate(entries):
        x = -LEFT + 0.31 + 0.27 * number
        layers += [
            {
                "data": rows(x=[x], x2=[x + 0.045], y=[y - 0.016], y2=[y + 0.016]),
                "mark": {"type": "rect", "color": tint, "stroke": MUTED, "strokeWidth": 0.6},
                "encoding": encoding_of(x2={"field": "x2"}, y2={"field": "y2"}),
            },
            {
                "data": rows(x=[x + 0.058], y=[y]),
                "mark": text_mark(words, align="left", baseline="middle", color=INK),
                "encoding": encoding_of(),
            },
        ]
    return layers
