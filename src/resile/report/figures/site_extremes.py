"""Yearly extremes of the road against the grade steps, the hot end above and the cold end below."""

from __future__ import annotations

import math
from typing import Any

from resile.records.site import EndDemand, SiteDemand
from resile.report.figures.style import (
    HAIRLINE,
    INK,
    MUTED,
    SPRINGS_BACK_TINT,
    STAYS_BEHIND,
    STRAIN,
    WIDTH,
    Spec,
    chart,
    empty_chart,
    number_axis,
    rows,
    text_mark,
)
from resile.report.numbers import MINUS, fixed, shown_step

_WIDTH = WIDTH - 150
_HEIGHT = 210
_LABELS = f"replace(format(datum.value, '~r'), /[-\\u2212]/, '{MINUS}')"
_COLOURS = {"high": STAYS_BEHIND, "low": STRAIN}
_SHAPES = {"high": "triangle-up", "low": "triangle-down"}
_NEARBY_C = 7.0
"""How far beyond the marks a step is still drawn [°C]: the distance of two steps and a little."""


def figure_extremes(demand: SiteDemand) -> Spec:
    """Draw the pavement temperature of every year against the steps of the grade.

    Parameters
    ----------
    demand : SiteDemand
        With the years of its record.

    Returns
    -------
    dict
        Two panels. A mark a year with a whisker of one model standard error; the range the needed step
        covers is tinted; the design temperature is a dashed line. Years beyond the next milder step are
        filled: with that grade they would have been too much.
    """
    panels = [
        panel
        for end, steps in ((demand.high, demand.high_steps_c), (demand.low, demand.low_steps_c))
        if (panel := _panel(demand, end, steps)) is not None
    ]
    if not panels:
        return empty_chart("There are no years to draw.", width=_WIDTH)
    return chart(_told(demand), {"vconcat": panels, "spacing": 30})


def _told(demand: SiteDemand) -> str:
    return (
        f"Pavement temperature of each year at {demand.site.name} against the grade steps. Needed: "
        f"{demand.grade or 'no grade reaches'}; design temperatures {fixed(demand.high.design_c, 1)} and "
        f"{fixed(demand.low.design_c, 1)} °C."
    )


def _panel(demand: SiteDemand, end: EndDemand, steps: tuple[float, ...]) -> Spec | None:
    hot = end.end == "high"
    years = [
        (one.label, value)
        for one in demand.pavement_years
        if (value := one.high_c if hot else one.low_c) is not None
    ]
    if not years:
        return None
    model_sd = math.sqrt(max(0.0, end.sd_c**2 - end.weather_sd_c**2))
    values = [value for _, value in years]
    low = min([*values, end.design_c]) - model_sd
    high = max([*values, end.design_c]) + model_sd
    seen = [step for step in steps if low - _NEARBY_C < step < high + _NEARBY_C]
    domain = [min([low, *seen]) - 1.0, max([high, *seen]) + 1.0]
    y = {"type": "quantitative", "scale": {"domain": domain, "nice": False, "zero": False}}
    milder = _milder(end, steps)
    labels = [label for label, _ in years]
    return {
        "width": _WIDTH,
        "height": _HEIGHT,
        "title": {"text": _title(end, milder, values), "frame": "group"},
        "layer": [
            *_covered(end, domain, y),
            *_steps(seen, end, y),
            *_design(end, y),
            *_marks(years, end, milder, model_sd, y, _x(labels)),
        ],
    }


def _x(labels: list[str]) -> Spec:
    every = max(1, math.ceil(len(labels) / 12))
    return {
        "field": "year",
        "type": "nominal",
        "sort": None,
        "axis": {
            "title": None,
            "values": labels[::every],
            "labelAngle": 0,
            "grid": False,
            "labelOverlap": False,
        },
    }


def _title(end: EndDemand, milder: float | None, values: list[float]) -> list[str]:
    hot = end.end == "high"
    where = f"{fixed(end.depth_mm, 0)} mm deep" if end.depth_mm else "at the surface"
    first = (
        f"{'Hottest week' if hot else 'Coldest day'} of each year in the road, {where} (model {end.model})"
    )
    if milder is None:
        return [first]
    beyond = sum(value > milder if hot else value < milder for value in values)
    word = "above" if hot else "below"
    return [first, f"{beyond} of {len(values)} years {word} {shown_step(milder)} °C (filled marks)"]


def _milder(end: EndDemand, steps: tuple[float, ...]) -> float | None:
    """Give the next milder step than the one needed."""
    order = sorted(steps, reverse=end.end == "low")
    if end.step_c is None:
        return order[-1] if order else None
    place = order.index(end.step_c)
    return order[place - 1] if place else None


def _covered(end: EndDemand, domain: list[float], y: Spec) -> list[Spec]:
    if end.step_c is None:
        return []
    far = domain[0] if end.end == "high" else domain[1]
    return [
        {
            "data": rows(at=[end.step_c], until=[far]),
            "mark": {"type": "rect", "color": SPRINGS_BACK_TINT, "opacity": 0.55},
            "encoding": {"y": {"field": "at", **y}, "y2": {"field": "until"}},
        }
    ]


def _steps(seen: list[float], end: EndDemand, y: Spec) -> list[Spec]:
    names = [f"{shown_step(step)} needed" if step == end.step_c else f"{shown_step(step)}" for step in seen]
    axis = number_axis("pavement (°C)", labelExpr=_LABELS, grid=False, tickCount=6, minExtent=34)
    data = rows(at=seen, name=names, needed=[step == end.step_c for step in seen])
    return [
        {
            "data": data,
            "mark": {"type": "rule", "color": HAIRLINE, "strokeWidth": 1.2},
            "encoding": {"y": {"field": "at", **y, "axis": axis}},
        },
        *(
            {
                "data": rows(at=[step], name=[name]),
                "mark": {
                    **text_mark("", x=_WIDTH + 6, align="left", baseline="middle"),
                    "color": INK if step == end.step_c else MUTED,
                    "fontWeight": 600 if step == end.step_c else 400,
                },
                "encoding": {"y": {"field": "at", **y}, "text": {"field": "name", "type": "nominal"}},
            }
            for step, name in zip(seen, names, strict=True)
        ),
    ]


def _design(end: EndDemand, y: Spec) -> list[Spec]:
    name = f"design {fixed(end.design_c, 1)}"
    near = end.step_c is not None and abs(end.step_c - end.design_c) < 2.0
    inwards = 12 if end.end == "high" else -12
    return [
        {
            "data": rows(at=[end.design_c]),
            "mark": {"type": "rule", "color": _COLOURS[end.end], "strokeDash": [7, 4], "strokeWidth": 1.6},
            "encoding": {"y": {"field": "at", **y}},
        },
        {
            "data": rows(at=[end.design_c], name=[name]),
            "mark": {
                **text_mark("", x=_WIDTH + 6, align="left", baseline="middle", dy=inwards if near else 0),
                "color": _COLOURS[end.end],
            },
            "encoding": {"y": {"field": "at", **y}, "text": {"field": "name", "type": "nominal"}},
        },
    ]


def _marks(
    years: list[tuple[str, float]], end: EndDemand, milder: float | None, model_sd: float, y: Spec, x: Spec
) -> list[Spec]:
    hot = end.end == "high"
    data: list[dict[str, Any]] = [
        {
            "year": label,
            "at": value,
            "from": value - model_sd,
            "until": value + model_sd,
            "beyond": milder is not None and (value > milder if hot else value < milder),
        }
        for label, value in years
    ]
    point = {
        "type": "point",
        "shape": _SHAPES[end.end],
        "size": 55,
        "stroke": _COLOURS[end.end],
        "strokeWidth": 1.4,
        "opacity": 1,
        "filled": False,
    }
    place = {"x": x, "y": {"field": "at", **y}}
    layers: list[Spec] = []
    if model_sd > 0.0:
        whisker = {"type": "rule", "color": _COLOURS[end.end], "opacity": 0.35, "strokeWidth": 2}
        ends = {"x": x, "y": {"field": "from", **y}, "y2": {"field": "until"}}
        layers.append({"data": {"values": data}, "mark": whisker, "encoding": ends})
    for beyond in (False, True):
        own = [one for one in data if one["beyond"] is beyond]
        if own:
            fill = _COLOURS[end.end] if beyond else None
            layers.append({"data": {"values": own}, "mark": {**point, "fill": fill}, "encoding": place})
    return layers
