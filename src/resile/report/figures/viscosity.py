"""Rotational viscosity on the chart on which it is a straight line, with mixing and compaction ranges."""

from __future__ import annotations

import math

from resile.records.viscosity import ViscosityRun, WorkingTemperatures
from resile.report.figures.style import (
    INK,
    MUTED,
    SPRINGS_BACK,
    SPRINGS_BACK_TINT,
    STAYS_BEHIND,
    STAYS_BEHIND_TINT,
    STRAIN,
    WIDTH,
    Spec,
    chart,
    rows,
    text_mark,
)
from resile.report.numbers import fixed, shown

_ZERO_CELSIUS_K = 273.15
_RANKINE = 1.8
_LEVELS_PA_S = (0.05, 0.1, 0.15, 0.2, 0.3, 0.5, 1.0, 2.0, 3.0, 5.0, 10.0, 20.0, 50.0, 100.0, 500.0)
_LOOKS = {
    "mixing": (STAYS_BEHIND, STAYS_BEHIND_TINT, [1, 0]),
    "compaction": (SPRINGS_BACK, SPRINGS_BACK_TINT, [4, 2]),
}


def figure_viscosity(run: ViscosityRun) -> Spec:
    """Draw viscosities, the line through them and the temperatures of mixing and compaction.

    Parameters
    ----------
    run : ViscosityRun
        With or without a line.

    Returns
    -------
    dict
        Double logarithm of viscosity over the logarithm of absolute temperature, labelled in Pa·s and °C.
        Beyond the measured temperatures the line is dashed.
    """
    working = run.working_temperatures
    temperatures = [p.temperature_c for p in run.points] + [
        t for row in working for t in (row.lowest_c, row.highest_c)
    ]
    viscosities = [p.rotational_viscosity for p in run.points] + [row.viscosity_low for row in working]
    spread = max(temperatures) - min(temperatures)
    ends = (min(temperatures) - max(6.0, 0.16 * spread), max(temperatures) + max(6.0, 0.12 * spread))
    low, high = _upright(min(viscosities)), _upright(max(viscosities))
    room = max(0.12 * (high - low), 0.01)
    x = {
        "field": "across",
        "type": "quantitative",
        "scale": {"domain": [_across(ends[0]), _across(ends[1])], "nice": False},
        "axis": {
            "title": "temperature (°C)",
            "values": [_across(t) for t in range(math.ceil(ends[0] / 10) * 10, int(ends[1]) + 1, 10)],
            "labelExpr": f"format(pow(10, datum.value)/{_RANKINE} - {_ZERO_CELSIUS_K}, '.0f')",
            "grid": False,
        },
    }
    y = {
        "field": "upright",
        "type": "quantitative",
        "scale": {"domain": [low - room, high + room], "nice": False},
        "axis": {
            "title": "rotational viscosity (Pa·s)",
            "values": [
                _upright(level) for level in _LEVELS_PA_S if low - room <= _upright(level) <= high + room
            ],
            "labelExpr": "format(pow(10, pow(10, datum.value))/1000, '.2~f')",
            "minExtent": 38,
        },
    }
    layers: list[Spec] = []
    for row in working:
        layers += _range_layers(row, x, y, low - room)
    layers += _line_layers(run, ends, x, y)
    layers += _point_layers(run, x, y)
    told = "; ".join(
        [f"{p.temperature_c:g} °C {_pa_s(p.rotational_viscosity)} Pa·s" for p in run.points]
        + [f"{row.purpose} {_span(row)}" for row in working]
    )
    return chart(
        f"Rotational viscosity against temperature. {told}.",
        {"width": WIDTH - 90, "height": 240, "layer": layers},
    )


def _across(temperature_c: float) -> float:
    return math.log10(_RANKINE * (temperature_c + _ZERO_CELSIUS_K))


def _upright(viscosity_pa_s: float) -> float:
    return math.log10(math.log10(1000.0 * viscosity_pa_s))


def _pa_s(viscosity_pa_s: float) -> str:
    return shown(viscosity_pa_s, "rotational_viscosity")


def _span(row: WorkingTemperatures) -> str:
    return f"{fixed(row.lowest_c, 1)} to {fixed(row.highest_c, 1)} °C"


def _range_layers(row: WorkingTemperatures, x: Spec, y: Spec, floor: float) -> list[Spec]:
    """Shade the band of viscosity up to the line, and the temperatures below it down to the axis."""
    colour, tint, dash = _LOOKS.get(row.purpose, (MUTED, SPRINGS_BACK_TINT, [2, 2]))
    left, right = _across(row.lowest_c), _across(row.highest_c)
    band = rows(
        across=[left],
        across2=[right],
        upright=[floor],
        upright2=[_upright(row.viscosity_high)],
    )
    box = {"type": "rect", "color": tint, "opacity": 1}
    edges = {"type": "rule", "color": colour, "strokeDash": dash, "strokeWidth": 1.1}
    sides = rows(across=[left, right], upright=[floor] * 2, upright2=[_upright(v) for v in _ends(row)])
    up = {"y": y, "y2": {"field": "upright2"}}
    return [
        {"data": band, "mark": box, "encoding": {"x": x, "x2": {"field": "across2"}, **up}},
        {"data": sides, "mark": edges, "encoding": {"x": x, **up}},
        {
            "data": rows(across=[0.5 * (left + right)], upright=[_upright(row.viscosity_high)]),
            "mark": text_mark(
                [row.purpose, _span(row)],
                align="left",
                baseline="bottom",
                dx=-4,
                dy=-24,
                color=colour,
                fontWeight=600,
                lineHeight=14,
            ),
            "encoding": {"x": x, "y": y},
        },
    ]


def _ends(row: WorkingTemperatures) -> tuple[float, float]:
    return row.viscosity_high, row.viscosity_low


def _line_layers(run: ViscosityRun, ends: tuple[float, float], x: Spec, y: Spec) -> list[Spec]:
    line = run.line
    if line is None:
        return []
    first = line.lowest_c if line.lowest_c is not None else ends[0]
    last = line.highest_c if line.highest_c is not None else ends[1]
    reach = [t for row in run.working_temperatures for t in (row.lowest_c, row.highest_c)]
    parts = [(first, last, [1, 0])]
    if reach and min(reach) < first:
        parts.append((min(reach), first, [5, 3]))
    if reach and max(reach) > last:
        parts.append((last, max(reach), [5, 3]))
    return [
        {
            "data": rows(
                across=[_across(t) for t in part[:2]],
                upright=[line.intercept + line.slope * _across(t) for t in part[:2]],
            ),
            "mark": {"type": "line", "color": STRAIN, "strokeWidth": 1.6, "strokeDash": part[2]},
            "encoding": {"x": x, "y": y},
        }
        for part in parts
    ]


def _point_layers(run: ViscosityRun, x: Spec, y: Spec) -> list[Spec]:
    """Draw the points; their words stand under the line, or over it beyond the shaded ranges."""
    hottest = max((row.highest_c for row in run.working_temperatures), default=math.inf)
    mark = {"type": "point", "filled": True, "shape": "diamond", "size": 90, "color": STRAIN, "opacity": 1}
    layers: list[Spec] = []
    for point in run.points:
        data = rows(across=[_across(point.temperature_c)], upright=[_upright(point.rotational_viscosity)])
        above = point.temperature_c > hottest
        label = text_mark(
            f"{_pa_s(point.rotational_viscosity)} Pa·s",
            align="left" if above else "right",
            baseline="bottom" if above else "top",
            dx=7 if above else -6,
            dy=-3 if above else 4,
            color=INK,
        )
        layers += [
            {"data": data, "mark": mark, "encoding": {"x": x, "y": y}},
            {"data": data, "mark": label, "encoding": {"x": x, "y": y}},
        ]
    return layers
