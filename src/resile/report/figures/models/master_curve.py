"""Pictures of a master curve: the curve itself, black space, and the plane of Cole and Cole."""

from __future__ import annotations

import math
from collections.abc import Sequence

from resile.records.models.master_curve import CurvePoint, Isotherm, MasterCurve
from resile.report.figures.style import (
    INK,
    SPRINGS_BACK,
    STAYS_BEHIND,
    STRAIN,
    STRESS,
    WIDTH,
    Spec,
    chart,
    number_axis,
    rows,
)
from resile.report.numbers import fixed

PANEL = 236
WIDE = WIDTH - 120
_MOST_POINTS = 900
_SHAPES = (
    "circle",
    "square",
    "diamond",
    "triangle-up",
    "cross",
    "triangle-down",
    "triangle-right",
    "triangle-left",
)
_COLOURS = (STRAIN, STAYS_BEHIND, SPRINGS_BACK, STRESS)
_WHOLE_DEGREE = 0.05
_OWN_MARKS = {"scale": {"color": "independent", "shape": "independent"}}
"""Marks are the same in both panels, and one of them alone has the legend."""
_RAISED = str.maketrans("-0123456789", "⁻⁰¹²³⁴⁵⁶⁷⁸⁹")


def isotherm_name(isotherm: Isotherm) -> str:
    """Give what an isotherm is called: its temperature, behind its sweep where several are joined."""
    whole = abs(isotherm.temperature_c - round(isotherm.temperature_c)) < _WHOLE_DEGREE
    place = f"{fixed(isotherm.temperature_c, 0 if whole else 1)} °C"
    return f"{isotherm.label}, {place}" if isotherm.label else place


def figure_master_curve(curve: MasterCurve) -> Spec:
    """Draw modulus and phase angle against reduced frequency, measured and fitted.

    Parameters
    ----------
    curve : MasterCurve
        As fitted.

    Returns
    -------
    dict
        Two panels, one above the other; each isotherm has a mark of its own.
    """
    points, names = thinned(curve), [isotherm_name(one) for one in curve.isotherms]
    data = _measured(points, names)
    ordered = sorted(points, key=lambda point: point.reduced_frequency_rad_s)
    line = rows(
        w=[p.reduced_frequency_rad_s for p in ordered],
        modulus=[p.complex_modulus / 10.0**p.modulus_residual_decades for p in ordered],
        phase=[p.phase_angle - p.phase_residual_deg for p in ordered],
    )
    x = _log_axis("w", [p.reduced_frequency_rad_s for p in points], _frequency_title(curve))
    modulus = _log_axis("modulus", [p.complex_modulus for p in points], "|G*| (kPa)", grid=True)
    phase = {
        "field": "phase",
        "type": "quantitative",
        "scale": {"domain": [0, 90], "nice": False},
        "axis": number_axis("phase angle δ (°)", values=[0, 15, 30, 45, 60, 75, 90]),
    }
    unlabelled = {**x, "axis": {**x["axis"], "labels": False, "title": None}}
    body = {
        "vconcat": [
            _panel(data, line, unlabelled, modulus, names, height=230, legend=True),
            _panel(data, line, x, phase, names, height=170, legend=False),
        ],
        "spacing": 8,
        "resolve": _OWN_MARKS,
    }
    told = (
        f"Master curve at {fixed(curve.reference_c, 1)} °C: modulus and phase angle of {len(names)} "
        f"isotherms against reduced frequency, line {curve.shape} with shift {curve.shift}."
    )
    return chart(told, body)


def _panel(
    data: Spec, line: Spec, x: Spec, y: Spec, names: Sequence[str], *, height: int, legend: bool
) -> Spec:
    fitted = {"type": "line", "color": INK, "strokeWidth": 1.2}
    order = {"field": "w", "type": "quantitative"}
    return {
        "width": WIDE,
        "height": height,
        "layer": [
            {
                "data": data,
                "mark": _mark(),
                "encoding": {"x": x, "y": y, **_told_apart(names, legend=legend)},
            },
            {"data": line, "mark": fitted, "encoding": {"x": x, "y": y, "order": order}},
        ],
    }


def figure_spaces(curve: MasterCurve) -> Spec:
    """Draw black space and the plane of Cole and Cole: pictures that no shift can change.

    Parameters
    ----------
    curve : MasterCurve
        As fitted.

    Returns
    -------
    dict
        Two panels side by side, measured points alone.
    """
    points, names = thinned(curve), [isotherm_name(one) for one in curve.isotherms]
    data = _measured([p for p in points if 0.0 < p.phase_angle < 90.0], names)
    storage, loss = ([row[key] for row in data["values"]] for key in ("storage", "loss"))
    modulus_axis = _log_axis("modulus", [row["modulus"] for row in data["values"]], "|G*| (kPa)", most=4)
    phase = {
        "field": "phase",
        "type": "quantitative",
        "scale": {"domain": [0, 90], "nice": False},
        "axis": number_axis("phase angle δ (°)", values=[0, 15, 30, 45, 60, 75, 90]),
    }
    panels = [
        ("Black space", modulus_axis, phase, True),
        (
            "Cole and Cole",
            _log_axis("storage", storage, "storage modulus G′ (kPa)", most=4),
            _log_axis("loss", loss, "loss modulus G″ (kPa)", grid=True),
            False,
        ),
    ]
    body = {
        "hconcat": [
            {
                "title": title,
                "width": PANEL,
                "height": 220,
                "data": data,
                "mark": _mark(),
                "encoding": {"x": x, "y": y, **_told_apart(names, legend=legend, most=3)},
            }
            for title, x, y, legend in panels
        ],
        "spacing": 26,
        "resolve": _OWN_MARKS,
    }
    return chart("Phase angle against modulus, and loss against storage modulus, by isotherm.", body)


def _measured(points: Sequence[CurvePoint], names: Sequence[str]) -> Spec:
    radians = [math.radians(p.phase_angle) for p in points]
    return rows(
        w=[p.reduced_frequency_rad_s for p in points],
        modulus=[p.complex_modulus for p in points],
        phase=[p.phase_angle for p in points],
        storage=[p.complex_modulus * math.cos(a) for p, a in zip(points, radians, strict=True)],
        loss=[p.complex_modulus * math.sin(a) for p, a in zip(points, radians, strict=True)],
        isotherm=[names[p.isotherm] for p in points],
    )


def thinned(curve: MasterCurve) -> list[CurvePoint]:
    """Keep at most so many points as a page shows; the ends of every isotherm stay."""
    step = max(1, math.ceil(len(curve.points) / _MOST_POINTS))
    last = len(curve.points) - 1
    return [
        point
        for place, point in enumerate(curve.points)
        if place % step == 0
        or place == last
        or point.isotherm != curve.points[place - 1].isotherm
        or point.isotherm != curve.points[place + 1].isotherm
    ]


def _mark() -> Spec:
    return {"type": "point", "filled": False, "size": 26, "strokeWidth": 1.1, "opacity": 0.95}


def _told_apart(names: Sequence[str], *, legend: bool, most: int = 7) -> Spec:
    """Colour and shape by isotherm: shapes differ where colours come again."""
    shapes = [_SHAPES[place % len(_SHAPES)] for place in range(len(names))]
    colours = [_COLOURS[place % len(_COLOURS)] for place in range(len(names))]
    columns = max(1, min(most, 84 // max(8, max(len(name) for name in names) + 4)))
    words: Spec | None = (
        {
            "title": None,
            "orient": "top",
            "columns": columns,
            "labelFontSize": 12,
            "labelColor": INK,
            "symbolSize": 50,
            "labelLimit": 340,
        }
        if legend
        else None
    )
    common = {"field": "isotherm", "type": "nominal", "legend": words}
    return {
        "shape": {**common, "scale": {"domain": list(names), "range": shapes}},
        "color": {**common, "scale": {"domain": list(names), "range": colours}},
    }


def _log_axis(field: str, values: Sequence[float], title: str, *, grid: bool = False, most: int = 9) -> Spec:
    low, high = min(values) / 1.6, max(values) * 1.6
    first, last = math.ceil(math.log10(low)), math.floor(math.log10(high))
    every = 1 + (last - first) // most
    powers = list(range(first, last + 1, every))
    words = [f"10{str(power).translate(_RAISED)}" for power in range(first, last + 1)]
    return {
        "field": field,
        "type": "quantitative",
        "scale": {"type": "log", "domain": [low, high], "nice": False},
        "axis": {
            "title": title,
            "values": [10.0**power for power in powers],
            "grid": grid,
            "labelExpr": f"{words}[round(log(datum.value) / LN10) - ({first})]",
        },
    }


def _frequency_title(curve: MasterCurve) -> str:
    decimals = 0 if curve.reference_c.is_integer() else 1
    return f"reduced frequency ω aT at {fixed(curve.reference_c, decimals)} °C (rad/s)"
