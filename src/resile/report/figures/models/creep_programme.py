"""The picture of a programme: stress, temperature and the strain that a model answers, over time."""

from __future__ import annotations

from itertools import pairwise
from typing import Any

from resile.records.models.step_programme import ProgrammeAnswer
from resile.report.figures.style import INK, MUTED, STAYS_BEHIND, STRAIN, Spec, chart, number_axis, rows

_WIDTH = 520
ALL_WORDS, FLOW_WORDS = "strain", "part that never comes back"


def figure_programme(answer: ProgrammeAnswer) -> Spec:
    """Draw stress, temperature where steps differ in it, and strain.

    Parameters
    ----------
    answer : ProgrammeAnswer
        The answer of a model.

    Returns
    -------
    dict
        Panels one above the other on one axis of time.
    """
    edges, own = [0.0], answer.fit.model.temperature_c
    for step in answer.programme.steps:
        edges.append(edges[-1] + step.duration_s)
    stresses = [step.stress_kpa for step in answer.programme.steps]
    warmth = [own if step.temperature_c is None else step.temperature_c for step in answer.programme.steps]
    panels = [_steps(edges, stresses, "stress (kPa)", INK)]
    if len(set(warmth)) > 1:
        panels.append(_steps(edges, warmth, "temperature (°C)", MUTED))
    panels.append(_strain(answer))
    last = 100.0 * answer.ends.strain[-1], 100.0 * answer.ends.flow_strain[-1]
    return chart(
        f"Steps of stress and the shear strain that the model answers over {edges[-1]:.4g} s: "
        f"{last[0]:.4g} % at the end, of which {last[1]:.4g} % never comes back. A model's answer, not a "
        "measurement.",
        {"vconcat": panels, "spacing": 10},
    )


def _time(edge: float, *, titled: bool) -> Spec:
    return {
        "field": "time",
        "type": "quantitative",
        "scale": {"domain": [0.0, edge], "nice": False},
        "axis": number_axis("time (s)" if titled else "", tickCount=8, grid=False, labels=titled),
    }


def _steps(edges: list[float], values: list[Any], title: str, colour: str) -> Spec:
    times = [one for pair in pairwise(edges) for one in pair]
    doubled = [value for value in values for _ in (0, 1)]
    y: Spec = {
        "field": "value",
        "type": "quantitative",
        "scale": {"zero": title.startswith("stress")},
        "axis": number_axis(title, tickCount=3),
    }
    return {
        "width": _WIDTH,
        "height": 70,
        "data": rows(time=times, value=doubled),
        "mark": {"type": "line", "color": colour, "strokeWidth": 1.6, "strokeJoin": "miter"},
        "encoding": {"x": _time(edges[-1], titled=False), "y": y, "order": {"field": "time"}},
    }


def _strain(answer: ProgrammeAnswer) -> Spec:
    response = answer.response
    points = [
        {"time": time, "strain": 100.0 * value, "part": part}
        for part, column in ((ALL_WORDS, response.strain), (FLOW_WORDS, response.flow_strain))
        for time, value in zip(response.time_s, column, strict=True)
    ]
    named = {"field": "part", "type": "nominal"}
    parts = [ALL_WORDS, FLOW_WORDS]
    legend = {"title": None, "orient": "bottom", "labelFontSize": 12, "labelColor": INK, "labelLimit": 300}
    x = _time(response.time_s[-1], titled=True)
    y: Spec = {
        "field": "strain",
        "type": "quantitative",
        "axis": number_axis("shear strain by the model (%)", tickCount=5),
    }
    lines: Spec = {
        "data": {"values": points},
        "mark": {"type": "line", "strokeWidth": 1.8},
        "encoding": {
            "x": x,
            "y": y,
            "color": {**named, "scale": {"domain": parts, "range": [STRAIN, STAYS_BEHIND]}, "legend": legend},
            "strokeDash": {**named, "scale": {"domain": parts, "range": [[1, 0], [6, 3]]}, "legend": legend},
        },
    }
    band: Spec = {
        "data": rows(
            time=list(response.time_s),
            lower=[100.0 * one for one in response.strain_lower],
            upper=[100.0 * one for one in response.strain_upper],
        ),
        "mark": {"type": "area", "color": STRAIN, "opacity": 0.2},
        "encoding": {
            "x": x,
            "y": {**y, "field": "lower"},
            "y2": {"field": "upper"},
        },
    }
    layers = [band, lines] if response.strain_lower else [lines]
    return {"width": _WIDTH, "height": 210, "layer": layers}
