"""How well surfaces meet blends that they were not fitted to."""

from __future__ import annotations

import math
from collections.abc import Sequence

from resile.records.blending.surface import Surface
from resile.report.blend_words import response_words, unit_of
from resile.report.figures.style import (
    MUTED,
    SPRINGS_BACK_TINT,
    STRAIN,
    Spec,
    chart,
    decade_ticks,
    empty_chart,
    number_axis,
    rows,
)

_SIDE = 220


def figure_left_out(surfaces: Sequence[Surface]) -> Spec:
    """Draw each result against what the surface says of that blend without it, property by property.

    Parameters
    ----------
    surfaces : sequence of Surface
        With their quality; those with too few blends are left out.

    Returns
    -------
    dict
        Dots on the slanting line are blends that were foreseen; the band is twice the error of left-out
        blends.
    """
    told = [one for one in surfaces if _is_told(one)]
    if not told:
        return empty_chart("Too few blends to leave one out.", width=2 * _SIDE)
    panels = [_panel(one) for one in told]
    words = "; ".join(f"{response_words(one.response)} {_worst(one)}" for one in told)
    return chart(
        f"Each trial against what the others foresee of it; largest errors: {words}.",
        {"concat": panels, "columns": 2, "spacing": 26},
    )


def _is_told(surface: Surface) -> bool:
    quality = surface.quality
    return quality is not None and 0 < len(quality.left_out) == len(surface.observed)


def _worst(surface: Surface) -> str:
    worst = max(abs(error) for error in surface.quality.left_out) if surface.quality else 0.0
    if surface.scale == "logarithm":
        return f"{100.0 * math.expm1(worst):.2g} %"
    return f"{worst:.2g} {unit_of(surface.response)}".strip()


def _panel(surface: Surface) -> Spec:
    quality = surface.quality
    assert quality is not None
    observed = list(surface.observed)
    foreseen = [value - error for value, error in zip(observed, quality.left_out, strict=True)]
    spread = 2.0 * (quality.left_out_standard or 0.0)
    low, high = min(*observed, *foreseen), max(*observed, *foreseen)
    room = 0.07 * (high - low) or 1.0
    low, high = low - room, high + room
    back = math.exp if surface.scale == "logarithm" else float
    ends = (back(low), back(high))
    unit = unit_of(surface.response)
    scale: Spec = {"domain": list(ends), "nice": False}
    if surface.scale == "logarithm":
        ticks: Spec = {"values": decade_ticks(*ends)}
        scale["type"] = "log"
    else:
        ticks = {"tickCount": 5}
        scale["zero"] = False
    x = {
        "field": "x",
        "type": "quantitative",
        "scale": scale,
        "axis": number_axis(f"foreseen{f' ({unit})' if unit else ''}", **ticks),
    }
    y = {
        "field": "y",
        "type": "quantitative",
        "scale": scale,
        "axis": number_axis(f"tested{f' ({unit})' if unit else ''}", **ticks),
    }
    steps = [low + (high - low) * k / 40 for k in range(41)]
    layers: list[Spec] = [
        {
            "data": rows(
                x=[back(v) for v in steps],
                y=[back(max(v - spread, low)) for v in steps],
                y2=[back(min(v + spread, high)) for v in steps],
            ),
            "mark": {"type": "area", "color": SPRINGS_BACK_TINT},
            "encoding": {"x": x, "y": y, "y2": {"field": "y2"}},
        },
        {
            "data": rows(x=list(ends), y=list(ends)),
            "mark": {"type": "line", "color": MUTED, "strokeWidth": 1},
            "encoding": {"x": x, "y": y},
        },
        {
            "data": rows(x=[back(v) for v in foreseen], y=[back(v) for v in observed]),
            "mark": {"type": "point", "color": STRAIN, "filled": True, "size": 44, "opacity": 1},
            "encoding": {"x": x, "y": y},
        },
    ]
    title = {"text": response_words(surface.response), "fontSize": 12}
    return {"width": _SIDE, "height": _SIDE, "title": title, "layer": layers}
