"""Jnr and recovery cycle by cycle, so that a trend is seen before the mean is believed."""

from __future__ import annotations

from typing import Any

from resile.records.creep_recovery import CreepRecoveryRun
from resile.report.figures.style import MUTED, STAYS_BEHIND, STRAIN, Spec, chart, number_axis, rows
from resile.report.numbers import shown

_PANEL_WIDTH = 244
_HEIGHT = 150
_SHAPES = ("circle", "square", "diamond", "triangle-up")
_COLOURS = (STRAIN, STAYS_BEHIND, MUTED, STRAIN)
_LEAST_SPAN = 0.08  # a panel shows at least ±8 % about its values, so that noise does not look like a trend


def figure_compliance(run: CreepRecoveryRun) -> Spec:
    """Draw Jnr and percent recovery of the evaluated cycles at every stress.

    Parameters
    ----------
    run : CreepRecoveryRun
        A reduced run.

    Returns
    -------
    dict
        Two panels side by side; each level has its own mark, line and word.
    """
    points: list[dict[str, Any]] = [
        {
            "place": place + 1,
            "cycle": cycle.number,
            "jnr": cycle.jnr,
            "recovery": cycle.percent_recovery,
            "level": f"{level.stress_kpa:g} kPa",
        }
        for level in run.levels
        for place, cycle in enumerate(level.cycles)
    ]
    levels = [f"{level.stress_kpa:g} kPa" for level in run.levels if level.cycles]
    words = "; ".join(
        f"{level.stress_kpa:g} kPa: mean Jnr {shown(level.jnr, 'jnr_3.2')} 1/kPa, "
        f"mean recovery {shown(level.percent_recovery, 'percent_recovery_3.2')} %"
        for level in run.levels
    )
    return chart(
        f"Jnr and percent recovery of each evaluated cycle. {words}.",
        {
            "hconcat": [
                _panel(points, levels, "jnr", "Jnr (1/kPa)"),
                _panel(points, levels, "recovery", "recovery (%)"),
            ],
            "spacing": 18,
        },
    )


def _panel(points: list[dict[str, Any]], levels: list[str], field: str, title: str) -> Spec:
    values = [point[field] for point in points] or [0.0]
    low, high = min(values), max(values)
    room = max(_LEAST_SPAN * max(abs(low), abs(high)), 0.18 * (high - low), 1e-9)
    last = [max((p for p in points if p["level"] == level), key=lambda p: p["place"]) for level in levels]
    crowded = len(last) == 2 and abs(last[0][field] - last[1][field]) < 0.12 * (high - low + 2 * room)
    lift = _lifts(last, field) if crowded else dict.fromkeys(levels, 0)
    most = max((point["place"] for point in points), default=1)
    x = {
        "field": "place",
        "type": "quantitative",
        "scale": {"domain": [0.5, most + 0.5], "nice": False},
        "axis": number_axis("evaluated cycle", values=list(range(1, most + 1)), grid=False),
    }
    y = {
        "field": field,
        "type": "quantitative",
        "scale": {"domain": [low - room, high + room], "nice": False, "zero": False},
        "axis": number_axis(title, tickCount=5, minExtent=38),
    }
    layers: list[Spec] = []
    for place, level in enumerate(levels):
        colour, shape = _COLOURS[place % 4], _SHAPES[place % 4]
        dash = [1, 0] if place % 2 else [4, 2]
        own = {"values": [point for point in points if point["level"] == level]}
        layers += [
            {
                "data": own,
                "mark": {"type": "line", "color": colour, "strokeWidth": 1, "strokeDash": dash},
                "encoding": {"x": x, "y": y},
            },
            {
                "data": own,
                "mark": {
                    "type": "point",
                    "filled": True,
                    "shape": shape,
                    "color": colour,
                    "size": 38,
                    "opacity": 1,
                },
                "encoding": {"x": x, "y": y},
            },
            {
                "data": rows(**{"place": [last[place]["place"] + 0.5], field: [last[place][field]]}),
                "mark": {
                    "type": "text",
                    "text": level,
                    "align": "left",
                    "dx": 4,
                    "dy": lift[level],
                    "color": colour,
                    "fontWeight": 600,
                },
                "encoding": {"x": x, "y": y},
            },
        ]
    return {"width": _PANEL_WIDTH, "height": _HEIGHT, "layer": layers}


def _lifts(last: list[dict[str, Any]], field: str) -> dict[str, int]:
    """Push two crowded words apart: the upper one up."""
    upper = max(last, key=lambda point: point[field])["level"]
    return {point["level"]: -8 if point["level"] == upper else 8 for point in last}
