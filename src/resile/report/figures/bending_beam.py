"""Stiffness of bending beams over loading time, with the fitted curve and its slope at 60 s."""

from __future__ import annotations

import math
from collections.abc import Sequence

from resile.records.bending_beam import BeamRun
from resile.report.figures.series import SHARED, series_lines, series_marks
from resile.report.figures.style import (
    HAIRLINE,
    INK,
    MUTED,
    WIDTH,
    Spec,
    chart,
    decade_ticks,
    number_axis,
    rows,
    text_mark,
)
from resile.report.numbers import fixed, shown

GRADE_TIME_S = 60.0
_CURVE_POINTS = 33
_WIDTH = WIDTH - 90


def figure_beams(runs: Sequence[BeamRun], names: Sequence[str]) -> Spec:
    """Draw stiffness against loading time of up to six beams, both on logarithmic scales.

    Parameters
    ----------
    runs : sequence of BeamRun
        Beams of one binder at one temperature.
    names : sequence of str
        What tells them apart, one a beam.

    Returns
    -------
    dict
        Points at the report times, fitted curve, tangent at 60 s; below, how far each point lies off its
        curve. The legend carries stiffness and m-value.
    """
    series = [_series_words(run, name) for run, name in zip(runs, names, strict=True)]
    times = sorted({point.loading_time_s for run in runs for point in run.points})
    x_scale = {"type": "log", "domain": [times[0] / 1.15, times[-1] * 1.15], "nice": False}
    x = {"field": "time", "type": "quantitative", "scale": x_scale}
    upper = _stiffness_panel(runs, series, x, times)
    lower = _residual_panel(runs, series, x, times)
    at = runs[0].temperature_c
    place = "" if at is None else f" at {fixed(at, 1)} °C"
    return chart(
        f"Creep stiffness against loading time{place}, both on logarithmic scales, with the fitted curve and "
        f"the departure of each point from it. At 60 s: {'; '.join(series)}.",
        {"vconcat": [upper, lower], "spacing": 10, "resolve": SHARED},
    )


def _series_words(run: BeamRun, name: str) -> str:
    return f"{name}: S {shown(run.creep_stiffness, 'creep_stiffness')} MPa, m {shown(run.m_value, 'm_value')}"


def _curve(run: BeamRun, series: str) -> list[dict[str, float | str]]:
    """Give places along the fitted curve of the record, ``log10 S = A + B log10 t + C (log10 t)^2``."""
    a, b, c = run.coefficients
    first, last = run.points[0].loading_time_s, run.points[-1].loading_time_s
    step = math.log10(last / first) / (_CURVE_POINTS - 1)
    logs = [math.log10(first) + place * step for place in range(_CURVE_POINTS)]
    return [{"time": 10.0**x, "stiffness": 10.0 ** (a + b * x + c * x * x), "series": series} for x in logs]


def _tangent(run: BeamRun, series: str) -> list[dict[str, float | str]]:
    return [
        {
            "time": point.loading_time_s,
            "stiffness": run.creep_stiffness * (point.loading_time_s / GRADE_TIME_S) ** -run.m_value,
            "series": series,
        }
        for point in (run.points[0], run.points[-1])
    ]


def _stiffness_panel(runs: Sequence[BeamRun], series: Sequence[str], x: Spec, times: Sequence[float]) -> Spec:
    colour, shape = series_marks(series)
    pairs = list(zip(runs, series, strict=True))
    points = [
        {"time": p.loading_time_s, "stiffness": p.creep_stiffness, "series": words}
        for run, words in pairs
        for p in run.points
    ]
    values = [p.creep_stiffness for run in runs for p in run.points]
    room = (max(values) / min(values)) ** 0.09
    ends = [min(values) / room, max(values) * room]
    y = {
        "field": "stiffness",
        "type": "quantitative",
        "scale": {"type": "log", "domain": ends, "nice": False},
        "axis": number_axis("creep stiffness S (MPa)", values=decade_ticks(*ends), minExtent=46),
    }
    top = {**x, "axis": {"title": None, "labels": False, "ticks": False, "grid": False, "domain": False}}
    curves = [row for run, words in pairs for row in _curve(run, words)]
    at_60 = [{"time": GRADE_TIME_S, "stiffness": r.creep_stiffness, "series": w} for r, w in pairs]
    ring = {"type": "point", "filled": False, "size": 190, "strokeWidth": 1.4, "color": INK, "opacity": 1}
    layers: list[Spec] = [
        {
            "data": rows(time=[GRADE_TIME_S]),
            "mark": {"type": "rule", "color": HAIRLINE, "strokeWidth": 1.2},
            "encoding": {"x": top},
        },
        *series_lines(series, curves, {"x": top, "y": y}),
        *(
            {
                "data": {"values": _tangent(run, words)},
                "mark": {"type": "line", "color": MUTED, "strokeWidth": 0.9, "strokeDash": [3, 2]},
                "encoding": {"x": top, "y": y},
            }
            for run, words in pairs
        ),
        {
            "data": {"values": points},
            "mark": {"type": "point", "filled": True, "size": 46, "opacity": 1},
            "encoding": {"x": top, "y": y, "color": colour, "shape": shape},
        },
        {"data": {"values": at_60}, "mark": ring, "encoding": {"x": top, "y": y}},
        {
            "data": rows(time=[GRADE_TIME_S], stiffness=[ends[1]]),
            "mark": text_mark(
                "60 s: S in the ring, m the slope of the tangent",
                align="left",
                baseline="top",
                dx=6,
                dy=2,
                color=MUTED,
                fontSize=11,
            ),
            "encoding": {"x": top, "y": y},
        },
    ]
    return {"width": _WIDTH, "height": 210, "layer": layers}


def _residual_panel(runs: Sequence[BeamRun], series: Sequence[str], x: Spec, times: Sequence[float]) -> Spec:
    colour, shape = series_marks(series)
    data = [
        {"time": p.loading_time_s, "off": p.residual_percent, "series": words}
        for run, words in zip(runs, series, strict=True)
        for p in run.points
    ]
    # At least ±1 % is shown, so that rounding does not look like a misfit.
    most = max(1.0, 1.15 * max(abs(p.residual_percent) for run in runs for p in run.points))
    bottom = {
        **x,
        "axis": number_axis("loading time (s)", values=list(times), grid=False),
    }
    y = {
        "field": "off",
        "type": "quantitative",
        "scale": {"domain": [-most, most], "nice": False},
        "axis": number_axis("off (%)", values=[-_level(most), 0, _level(most)], minExtent=46),
    }
    return {
        "width": _WIDTH,
        "height": 54,
        "layer": [
            {"data": rows(off=[0.0]), "mark": {"type": "rule", "color": MUTED}, "encoding": {"y": y}},
            {
                "data": {"values": data},
                "mark": {"type": "point", "filled": True, "size": 34, "opacity": 1},
                "encoding": {"x": bottom, "y": y, "color": colour, "shape": shape},
            },
        ],
    }


def _level(most: float) -> float:
    """Give a round number a little below the end of the scale, for a label."""
    power = 10.0 ** math.floor(math.log10(most))
    return float(fixed(power * math.floor(most / power), 6).replace("\N{NARROW NO-BREAK SPACE}", ""))
