"""Jnr and recovery of every cycle, a strip a stress, with the mean and the published spread beside it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from resile.records.creep_recovery import CreepRecoveryRun, StressLevel
from resile.report.figures.style import (
    HAIRLINE,
    INK,
    MUTED,
    SPRINGS_BACK,
    STAYS_BEHIND,
    WIDTH,
    Spec,
    chart,
    empty_chart,
    number_axis,
    rows,
    text_mark,
)
from resile.report.numbers import shown

_PANEL_WIDTH = 226
_HEIGHT = 92
_LEAST_SPAN = 0.08  # a panel shows at least ±8 % about its mean, so that noise does not look like a trend
_FIELDS = {
    "jnr": ("Jnr (1/kPa)", "1/kPa", STAYS_BEHIND),
    "percent_recovery": ("recovery (%)", "%", SPRINGS_BACK),
}


def figure_cycle_strip(run: CreepRecoveryRun, spreads: Mapping[str, float | None]) -> Spec:
    """Draw Jnr and percent recovery of every cycle at every stress.

    Parameters
    ----------
    run : CreepRecoveryRun
        A reduced run.
    spreads : mapping of str to float or None
        Half width of the band about the mean, by quantity (``jnr_3.2``, ``percent_recovery_0.1``, …), in the
        unit of the quantity; no band where there is none.

    Returns
    -------
    dict
        A row a stress: Jnr left, recovery right. Conditioning cycles stand apart as hollow diamonds; marks
        carry ``stress`` and ``cycle``.
    """
    levels = [level for level in run.levels if level.cycles]
    if not levels:
        return empty_chart("This result was typed from a summary: there is no cycle to draw.", width=WIDTH)
    strips = [
        {
            "hconcat": [
                _panel(
                    run, level, field, spreads.get(f"{field}_{level.stress_kpa:g}"), last=level is levels[-1]
                )
                for field in _FIELDS
            ],
            "spacing": 34,
            "title": {"text": f"at {level.stress_kpa:g} kPa", "anchor": "start", "dx": 46, "offset": 4},
        }
        for level in levels
    ]
    words = "; ".join(
        f"{level.stress_kpa:g} kPa: mean Jnr {shown(level.jnr, 'jnr_3.2')} 1/kPa, "
        f"mean recovery {shown(level.percent_recovery, 'percent_recovery_3.2')} %"
        for level in levels
    )
    return chart(
        f"Jnr and percent recovery of each cycle with their means. {words}.",
        {"vconcat": strips, "spacing": 10},
    )


def _points(run: CreepRecoveryRun, level: StressLevel, field: str) -> list[dict[str, Any]]:
    before = run.conditioning if level is next(lv for lv in run.levels if lv.cycles) else ()
    return [
        {
            "cycle": cycle.number,
            "value": getattr(cycle, field),
            "stress": level.stress_kpa,
            "use": "conditioning" if cycle in before else "evaluated",
        }
        for cycle in (*before, *level.cycles)
    ]


def _panel(
    run: CreepRecoveryRun, level: StressLevel, field: str, spread: float | None, *, last: bool
) -> Spec:
    title, unit, colour = _FIELDS[field]
    points = _points(run, level, field)
    mean = getattr(level, field)
    values = [p["value"] for p in points] + ([mean - spread, mean + spread] if spread is not None else [])
    low, high = min(values), max(values)
    room = max(_LEAST_SPAN * abs(mean), 0.16 * (high - low), 1e-9)
    first, end = points[0]["cycle"], points[-1]["cycle"]
    x = {
        "field": "cycle",
        "type": "quantitative",
        "scale": {"domain": [first - 0.5, end + 0.5], "nice": False},
        "axis": number_axis("cycle" if last else "", grid=False, values=_ticks(first, end)),
    }
    y = {
        "field": "value",
        "type": "quantitative",
        "scale": {"domain": [low - room, high + room], "nice": False, "zero": False},
        "axis": number_axis(title, tickCount=4, minExtent=38, grid=False),
    }
    evaluated = [p for p in points if p["use"] == "evaluated"]
    layers: list[Spec] = []
    if spread is not None:
        layers.append(_band((evaluated[0]["cycle"], end), mean, spread, x, y))
    layers += [
        _mean((evaluated[0]["cycle"], end), mean, x, y),
        *_marks(points, colour, x, y),
        {
            "data": rows(cycle=[evaluated[0]["cycle"] - 0.5], value=[high + room]),
            "mark": text_mark(
                f"mean {shown(mean, f'{field}_3.2')} {unit}",
                align="left",
                baseline="bottom",
                dx=4,
                dy=-2,
                color=INK,
                fontSize=11.5,
            ),
            "encoding": {"x": x, "y": y},
        },
    ]
    if evaluated[0] is not points[0]:
        layers.append(_conditioning_word(first, high + room, x, y))
    return {"width": _PANEL_WIDTH, "height": _HEIGHT, "layer": layers}


def _ticks(first: int, end: int) -> list[int]:
    return sorted({first, end, *(number for number in range(first, end + 1) if number % 5 == 0)})


def _band(cycles: tuple[int, int], mean: float, spread: float, x: Spec, y: Spec) -> Spec:
    return {
        "data": rows(
            cycle=[cycles[0] - 0.5], until=[cycles[1] + 0.5], value=[mean - spread], top=[mean + spread]
        ),
        "mark": {"type": "rect", "color": HAIRLINE, "opacity": 0.55},
        "encoding": {"x": x, "x2": {"field": "until"}, "y": y, "y2": {"field": "top"}},
    }


def _mean(cycles: tuple[int, int], mean: float, x: Spec, y: Spec) -> Spec:
    return {
        "data": rows(cycle=[cycles[0] - 0.5], until=[cycles[1] + 0.5], value=[mean]),
        "mark": {"type": "rule", "color": INK, "strokeWidth": 1.1},
        "encoding": {"x": x, "x2": {"field": "until"}, "y": y},
    }


def _marks(points: list[dict[str, Any]], colour: str, x: Spec, y: Spec) -> list[Spec]:
    looks = (
        ("conditioning", {"shape": "diamond", "filled": False, "color": MUTED}),
        ("evaluated", {"shape": "circle", "filled": True, "color": colour}),
    )
    return [
        {
            "data": {"values": [p for p in points if p["use"] == use]},
            "mark": {"type": "point", "size": 44, "opacity": 1, "cursor": "pointer", **look},
            "encoding": {"x": x, "y": y},
        }
        for use, look in looks
        if any(p["use"] == use for p in points)
    ]


def _conditioning_word(first: int, top: float, x: Spec, y: Spec) -> Spec:
    return {
        "data": rows(cycle=[first - 0.5], value=[top]),
        "mark": text_mark(
            "conditioning", align="left", baseline="bottom", dx=4, dy=-2, color=MUTED, fontSize=11.5
        ),
        "encoding": {"x": x, "y": y},
    }
