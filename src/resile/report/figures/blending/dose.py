"""A property, or the probability of the whole grade, against the dose of one component."""

from __future__ import annotations

import math

from resile.records.blending.design import DoseCurve
from resile.records.blending.recipe import DoseWindow
from resile.report.blend_words import response_words, short_limit, unit_of
from resile.report.figures.style import (
    INK,
    MUTED,
    SPRINGS_BACK_TINT,
    STAYS_BEHIND,
    STRAIN,
    UNLIKELY_TINT,
    WIDTH,
    Spec,
    chart,
    decade_ticks,
    number_axis,
    rows,
    text_mark,
)
from resile.report.numbers import fixed, shown, shown_probability

_HEIGHT = 170
_LOGARITHMIC = frozenset({"1/kPa", "kPa", "MPa", "Pa·s", "mm²/s"})
_LEAST_RATIO = 1.5


def figure_dose(
    curve: DoseCurve,
    place: int,
    *,
    dose_percent: float,
    window: DoseWindow | None = None,
    trials: tuple[tuple[str, float, float], ...] = (),
) -> Spec:
    """Draw one limited property against the dose.

    Parameters
    ----------
    curve : DoseCurve
        Doses, the other components keeping their ratio.
    place : int
        Which of its limits.
    dose_percent : float
        Dose of the recipe [%].
    window : DoseWindow or None
        Drawn as a band of doses.
    trials : tuple of (str, float, float)
        Name, dose [%] and value of trial blends; they lie beside the line, as their other shares differ.

    Returns
    -------
    dict
        The line is the expected value, the band holds 95 % of batches; dashed outside the trials; the limit
        is a level line with its words.
    """
    limit = curve.limits[place]
    unit = unit_of(limit.response)
    steps = curve.steps
    values = [step.values[place] for step in steps]
    ends = [end for step in steps for end in (step.lower[place], step.upper[place])]
    every = [*values, *ends, limit.value, *(value for _, _, value in trials)]
    x = _dose_axis(curve)
    y = _value_axis(response_words(limit.response), unit, every)
    layers: list[Spec] = [
        *_window(window, x),
        {
            "data": rows(
                dose=[step.dose_percent for step in steps],
                low=[_inside(step.lower[place], y) for step in steps],
                high=[_inside(step.upper[place], y) for step in steps],
            ),
            "mark": {"type": "area", "color": SPRINGS_BACK_TINT, "opacity": 0.9},
            "encoding": {"x": x, "y": {**y, "field": "low"}, "y2": {"field": "high"}},
        },
        *_level(limit.value, short_limit(limit), x, y, steps[0].dose_percent),
        *_line(curve, place, x, y),
        *_dots(trials, x, y),
        *_recipe(dose_percent, x),
    ]
    here = min(steps, key=lambda step: abs(step.dose_percent - dose_percent))
    told = (
        f"{response_words(limit.response)} against the dose of {curve.component}: "
        f"{shown(here.values[place], limit.response.quantity)} at {fixed(here.dose_percent, 1)} %, "
        f"limit {short_limit(limit)}."
    )
    return chart(told, {"width": WIDTH - 90, "height": _HEIGHT, "layer": layers})


def figure_dose_probability(
    curve: DoseCurve, *, dose_percent: float, required: float, window: DoseWindow | None = None
) -> Spec:
    """Draw the probability of the whole grade against the dose.

    Parameters
    ----------
    curve, dose_percent, window
        As in `figure_dose`.
    required : float
        Probability asked for.

    Returns
    -------
    dict
        With the probability asked for as a level line.
    """
    x = _dose_axis(curve)
    y: Spec = {
        "field": "value",
        "type": "quantitative",
        "scale": {"domain": [0, 100], "nice": False},
        "axis": number_axis("whole grade kept (%)", values=[0, 20, 40, 60, 80, 100]),
    }
    layers: list[Spec] = [
        *_window(window, x),
        *_level(100.0 * required, f"asked for: {100.0 * required:.4g} %", x, y, curve.steps[0].dose_percent),
        {
            "data": rows(
                dose=[step.dose_percent for step in curve.steps],
                value=[100.0 * step.probability for step in curve.steps],
            ),
            "mark": {"type": "line", "color": STRAIN, "strokeWidth": 2},
            "encoding": {"x": x, "y": y},
        },
        *_recipe(dose_percent, x),
    ]
    here = min(curve.steps, key=lambda step: abs(step.dose_percent - dose_percent))
    told = (
        f"Probability of the whole grade against the dose of {curve.component}: "
        f"{shown_probability(here.probability)} at {fixed(here.dose_percent, 1)} %."
    )
    return chart(told, {"width": WIDTH - 90, "height": _HEIGHT, "layer": layers})


def _dose_axis(curve: DoseCurve) -> Spec:
    doses = [step.dose_percent for step in curve.steps]
    return {
        "field": "dose",
        "type": "quantitative",
        "scale": {"domain": [min(doses), max(doses)], "nice": False, "zero": False},
        "axis": number_axis(f"{curve.component} (% by mass)", grid=False, tickCount=8),
    }


def _value_axis(title: str, unit: str, values: list[float]) -> Spec:
    words = f"{title} ({unit})" if unit else title
    positive = [value for value in values if value > 0.0]
    axis: Spec = {"title": words.split(", "), "titlePadding": 10}
    if unit in _LOGARITHMIC and positive:
        low, high = min(positive), max(positive)
        if high / low > _LEAST_RATIO:
            low, high = low / 1.08, high * 1.08
            return {
                "field": "value",
                "type": "quantitative",
                "scale": {"type": "log", "domain": [low, high], "nice": False},
                "axis": number_axis("", values=decade_ticks(low, high)) | axis,
            }
    low, high = min(values), max(values)
    room = 0.08 * (high - low or 1.0)
    return {
        "field": "value",
        "type": "quantitative",
        "scale": {"domain": [low - room, high + room], "nice": False, "zero": False},
        "axis": number_axis("", tickCount=5) | axis,
    }


def _inside(value: float, y: Spec) -> float:
    low, high = map(float, y["scale"]["domain"])
    return min(max(value, low), high)


def _window(window: DoseWindow | None, x: Spec) -> list[Spec]:
    if window is None:
        return []
    low, high = x["scale"]["domain"]
    ends = (window.sure_lowest_percent, window.sure_highest_percent)
    first, last = (
        (ends[0], ends[1])
        if ends[0] is not None and ends[1] is not None
        else (window.lowest_percent, window.highest_percent)
    )
    return [
        {
            "data": rows(dose=[max(first, low)], dose2=[min(last, high)]),
            "mark": {"type": "rect", "color": UNLIKELY_TINT},
            "encoding": {"x": x, "x2": {"field": "dose2"}},
        }
    ]


def _level(value: float, words: str, x: Spec, y: Spec, at: float) -> list[Spec]:
    low, high = y["scale"]["domain"]
    span = math.log(high / low) if y["scale"].get("type") == "log" else high - low
    up = math.log(value / low) if y["scale"].get("type") == "log" else value - low
    above = up / span < 0.85
    data = rows(dose=[at], value=[value])
    return [
        {
            "data": rows(value=[value]),
            "mark": {"type": "rule", "color": STAYS_BEHIND, "strokeWidth": 1.4, "strokeDash": [6, 3]},
            "encoding": {"y": y},
        },
        {
            "data": data,
            "mark": text_mark(
                words, color=STAYS_BEHIND, align="left", dx=5, dy=-8 if above else 11, fontWeight=600
            ),
            "encoding": {"x": x, "y": y},
        },
    ]


def _line(curve: DoseCurve, place: int, x: Spec, y: Spec) -> list[Spec]:
    """Draw the expected value: whole among the trials, dashed outside them."""
    layers = []
    for outside, dash in ((False, [1, 0]), (True, [4, 3])):
        data = [
            {"dose": step.dose_percent, "value": step.values[place] if step.extrapolated is outside else None}
            for step in curve.steps
        ]
        if any(row["value"] is not None for row in data):
            layers.append(
                {
                    "data": {"values": data},
                    "mark": {"type": "line", "color": STRAIN, "strokeWidth": 2, "strokeDash": dash},
                    "encoding": {"x": x, "y": y},
                }
            )
    return layers


def _dots(trials: tuple[tuple[str, float, float], ...], x: Spec, y: Spec) -> list[Spec]:
    low, high = x["scale"]["domain"]
    some = [(name, dose, value) for name, dose, value in trials if low <= dose <= high]
    if not some:
        return []
    return [
        {
            "data": rows(
                name=[one[0] for one in some], dose=[one[1] for one in some], value=[one[2] for one in some]
            ),
            "mark": {"type": "point", "color": MUTED, "size": 34, "filled": False, "opacity": 1},
            "encoding": {"x": x, "y": y, "tooltip": {"field": "name"}},
        }
    ]


def _recipe(dose_percent: float, x: Spec) -> list[Spec]:
    return [
        {
            "data": rows(dose=[dose_percent]),
            "mark": {"type": "rule", "color": INK, "strokeWidth": 1.2},
            "encoding": {"x": x},
        },
        {
            "data": rows(dose=[dose_percent]),
            "mark": text_mark("recipe", color=INK, align="left", dx=4, y=_HEIGHT - 8, fontWeight=600),
            "encoding": {"x": x},
        },
    ]
