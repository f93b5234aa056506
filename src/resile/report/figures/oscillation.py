"""Modulus and phase angle of oscillation tests: against temperature, or against frequency for a sweep."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import pairwise
from typing import Any

from resile.records.determination import Condition
from resile.records.oscillation import OscillationPoint, OscillationRun
from resile.report.figures.series import SHARED, series_lines, series_marks
from resile.report.figures.style import (
    INK,
    MUTED,
    STRAIN,
    Spec,
    chart,
    decade_ticks,
    number_axis,
    rows,
    text_mark,
)
from resile.report.numbers import fixed, shown

_PANEL = 236
_HEIGHT = 176
_SAME_SWEEP_C = 2.5  # a logged temperature drifts within a sweep; the next set temperature is further off
PARAMETER_TITLES = {
    "rutting_parameter": "|G*|/sin δ (kPa)",
    "fatigue_parameter": "|G*|·sin δ (kPa)",
    "complex_modulus": "|G*| (kPa)",
}


def drawn_parameter(condition: Condition) -> str:
    """Give the parameter a residue is judged by; the bare modulus where it has none or is not told."""
    if condition is Condition.LONG_TERM_AGED:
        return "fatigue_parameter"
    if condition in (Condition.ORIGINAL, Condition.SHORT_TERM_AGED):
        return "rutting_parameter"
    return "complex_modulus"


def is_frequency_sweep(run: OscillationRun) -> bool:
    """Tell whether a run is better seen against frequency: some temperature has three or more."""
    frequencies = {p.angular_frequency_rad_s for p in run.points if p.angular_frequency_rad_s is not None}
    return len(frequencies) >= 3


def figure_oscillation(
    runs: Sequence[OscillationRun],
    names: Sequence[str],
    *,
    parameter: str,
    limits: Sequence[tuple[float, str]] = (),
) -> Spec:
    """Draw a parameter and the phase angle of up to six specimens against temperature.

    Parameters
    ----------
    runs : sequence of OscillationRun
        Of one binder in one state.
    names : sequence of str
        What tells them apart, one a run.
    parameter : str
        ``rutting_parameter``, ``fatigue_parameter`` or ``complex_modulus``.
    limits : sequence of (float, str)
        Limits of the parameter [kPa] with the words on their lines, for example ``"at least 2.20 kPa"``.

    Returns
    -------
    dict
        Two panels. The parameter stands on a logarithmic scale, so that the straight lines between points are
        those along which a temperature at the limit is read.
    """
    data = [_row(p, name, parameter) for run, name in zip(runs, names, strict=True) for p in run.points]
    data = [row for row in data if row["value"] is not None]
    upper = _panel(names, data, "value", PARAMETER_TITLES[parameter], log=True)
    for limit, limit_words in limits:
        upper["layer"] += _limit_layers(limit, limit_words, data)
    lower = _panel(names, data, "phase", "phase angle δ (°)", log=False)
    words = "; ".join(
        f"{name}: " + ", ".join(_point_words(p, parameter) for p in run.points[:8])
        for run, name in zip(runs, names, strict=True)
    )
    against = f" Limit: {'; '.join(told for _, told in limits)}." if limits else ""
    return chart(
        f"{PARAMETER_TITLES[parameter]} and phase angle against temperature.{against} {words}.",
        {"hconcat": [upper, lower], "spacing": 18, "resolve": SHARED},
    )


def _row(point: OscillationPoint, name: str, parameter: str) -> dict[str, float | str | None]:
    return {
        "temperature": point.temperature_c,
        "value": getattr(point, parameter),
        "phase": point.phase_angle,
        "series": name,
    }


def _point_words(point: OscillationPoint, parameter: str) -> str:
    value = shown(getattr(point, parameter), parameter)
    return f"{fixed(point.temperature_c, 1)} °C {value} kPa, {shown(point.phase_angle, 'phase_angle')}°"


def _panel(
    names: Sequence[str], data: list[dict[str, float | str | None]], field: str, title: str, *, log: bool
) -> Spec:
    colour, shape = series_marks(names, legend=len(names) > 1)
    temperatures = sorted({float(row["temperature"] or 0.0) for row in data})
    room = max(1.0, 0.08 * (temperatures[-1] - temperatures[0])) if temperatures else 1.0
    ends = [temperatures[0] - room, temperatures[-1] + room] if temperatures else [0.0, 1.0]
    whole = sorted({round(t) for t in temperatures})
    x = {
        "field": "temperature",
        "type": "quantitative",
        "scale": {"domain": ends, "nice": False},
        "axis": number_axis(
            "temperature (°C)",
            grid=False,
            labelOverlap=True,
            **({"values": whole} if len(whole) <= 8 else {"tickCount": 6}),
        ),
    }
    domain = _log_domain(data, field) if log else _padded(data, field)
    ticks: Spec = {"values": decade_ticks(*domain)} if log else {"tickCount": 5}
    y = {
        "field": field,
        "type": "quantitative",
        "scale": {"nice": False, "domain": domain, **({"type": "log"} if log else {"zero": False})},
        "axis": number_axis(title, minExtent=38, **ticks),
    }
    mark = {"type": "point", "filled": True, "size": 44, "opacity": 1}
    order = {"field": "temperature", "type": "quantitative"}
    return {
        "data": {"values": data},
        "width": _PANEL,
        "height": _HEIGHT,
        "layer": [
            *series_lines(names, data, {"x": x, "y": y, "order": order}, width=1.2),
            {"mark": mark, "encoding": {"x": x, "y": y, "color": colour, "shape": shape}},
        ],
    }


def _padded(data: list[dict[str, float | str | None]], field: str) -> list[float]:
    values = [float(row[field] or 0.0) for row in data] or [0.0]
    # At least two degrees are shown, so that the last digit does not look like a trend.
    room = max(0.1 * (max(values) - min(values)), 1.0 - 0.5 * (max(values) - min(values)))
    return [min(values) - room, max(values) + room]


def _log_domain(data: list[dict[str, float | str | None]], field: str) -> list[float]:
    values = [float(row[field] or 0.0) for row in data if row[field]]
    if not values:
        return [0.1, 1.0]
    low, high = min(values), max(values)
    # At least half a decade is shown, so that the scatter of one temperature does not look like a trend.
    room = max((high / low) ** 0.08, (10**0.5 / (high / low)) ** 0.5, 1.04)
    return [low / room, high * room]


def _limit_layers(limit: float, words: str, data: list[dict[str, float | str | None]]) -> list[Spec]:
    """Draw the limit; one that lies outside the scale is written at the edge nearest to it."""
    low, high = _log_domain(data, "value")
    at = min(max(limit, low), high)
    where = "" if low <= limit <= high else (" (below)" if limit < low else " (above)")
    # The modulus falls to the right: a low limit is free of points on the left, a high one on the right.
    free_left = at < (low * high) ** 0.5
    y = {"field": "value", "type": "quantitative"}
    text = text_mark(
        f"{words}{where}",
        align="left" if free_left else "right",
        baseline="bottom" if free_left else "top",
        dx=4 if free_left else -2,
        dy=-3 if free_left else 4,
        color=INK,
        x=0 if free_left else "width",
    )
    layers: list[Spec] = []
    if not where:
        rule = {"type": "rule", "color": INK, "strokeDash": [5, 3], "strokeWidth": 1.2}
        layers.append({"data": rows(value=[limit]), "mark": rule, "encoding": {"y": y}})
    return [*layers, {"data": rows(value=[at]), "mark": text, "encoding": {"y": y}}]


def figure_frequency_sweep(run: OscillationRun) -> Spec:
    """Draw modulus and phase angle of one specimen against frequency, a line a temperature.

    Parameters
    ----------
    run : OscillationRun
        With the frequency of its points.

    Returns
    -------
    dict
        Two panels; each line ends in its temperature.
    """
    return _figure_sweeps(
        _sweeps(run), "frequency", "angular frequency", "rad/s", lambda p: p.angular_frequency_rad_s
    )


def figure_strain_sweep(points: Sequence[OscillationPoint]) -> Spec:
    """Draw modulus and phase angle of one specimen against a strain amplitude that rises.

    Parameters
    ----------
    points : sequence of OscillationPoint
        At one frequency and temperature, with their strain.

    Returns
    -------
    dict
        Two panels.
    """
    return _figure_sweeps(
        [list(points)], "strain", "strain amplitude", "%", lambda p: 100.0 * p.strain if p.strain else None
    )


def _figure_sweeps(
    sweeps: Sequence[Sequence[OscillationPoint]],
    field: str,
    quantity: str,
    unit: str,
    along: Callable[[OscillationPoint], float | None],
) -> Spec:
    drawn = [
        [
            {field: along(p), "modulus": p.complex_modulus, "phase": p.phase_angle, "sweep": place}
            for p in sweep
        ]
        for place, sweep in enumerate(sweeps)
    ]
    words = [f"{fixed(_mean(sweep), 1)} °C" for sweep in sweeps]
    ends = [
        {**max(line, key=lambda row: row[field] or 0.0), "words": told}
        for line, told in zip(drawn, words, strict=True)
    ]
    data = [row for line in drawn for row in line]
    title = f"{quantity} ({unit})"
    panels = [
        _sweep_panel(data, ends, field, title, "modulus", "|G*| (kPa)", log=True),
        _sweep_panel(data, ends, field, title, "phase", "phase angle δ (°)", log=False),
    ]
    return chart(
        f"Complex modulus and phase angle against {quantity} at {', '.join(words)}.",
        {"hconcat": panels, "spacing": 18},
    )


def _mean(sweep: Sequence[OscillationPoint]) -> float:
    return sum(p.temperature_c for p in sweep) / len(sweep)


def _sweeps(run: OscillationRun) -> list[list[OscillationPoint]]:
    """Part the points where the temperature steps, or the frequency starts over at one temperature."""
    points = [p for p in run.points if p.angular_frequency_rad_s]
    sweeps: list[list[OscillationPoint]] = [[points[0]]] if points else []
    for before, point in pairwise(points):
        steps = abs(point.temperature_c - sweeps[-1][0].temperature_c) > _SAME_SWEEP_C
        if steps or before.angular_frequency_rad_s == point.angular_frequency_rad_s:
            sweeps.append([])
        sweeps[-1].append(point)
    # A temperature that was left and visited again is drawn as one line.
    by_temperature: dict[int, list[OscillationPoint]] = {}
    for sweep in sweeps:
        by_temperature.setdefault(round(_mean(sweep) / _SAME_SWEEP_C), []).extend(sweep)
    return sorted(by_temperature.values(), key=_mean)


def _sweep_panel(
    data: list[dict[str, float | None]],
    ends: list[dict[str, Any]],
    along: str,
    along_title: str,
    field: str,
    title: str,
    *,
    log: bool,
) -> Spec:
    largest = max((float(row[along] or 1.0) for row in data), default=1.0)
    smallest = min((float(row[along] or 1.0) for row in data), default=0.1)
    right = largest * (largest / smallest) ** 0.24  # room for the temperatures at the ends of the lines
    values = [float(row[field] or 0.0) for row in data]
    ends_y = [min(values, default=1.0), max(values, default=10.0)]
    x = {
        "field": along,
        "type": "quantitative",
        "scale": {"type": "log", "domain": [smallest, right], "nice": False},
        "axis": number_axis(along_title, values=decade_ticks(smallest, right), grid=False),
    }
    ticks: Spec = {"values": decade_ticks(ends_y[0] / 2, ends_y[1] * 2)} if log else {"tickCount": 6}
    y = {
        "field": field,
        "type": "quantitative",
        "scale": {"type": "log", "nice": True} if log else {"zero": False, "nice": True},
        "axis": number_axis(title, minExtent=42, **ticks),
    }
    lines = {"type": "line", "color": STRAIN, "strokeWidth": 1.1}
    points = {"type": "point", "filled": True, "color": STRAIN, "size": 16, "opacity": 1}
    order = {"field": along, "type": "quantitative"}
    label = {"type": "text", "align": "left", "dx": 6, "fontSize": 10.5, "color": MUTED}
    detail = {"field": "sweep", "type": "nominal"}
    return {
        "width": _PANEL,
        "height": 220,
        "layer": [
            {
                "data": {"values": data},
                "mark": lines,
                "encoding": {"x": x, "y": y, "detail": detail, "order": order},
            },
            {"data": {"values": data}, "mark": points, "encoding": {"x": x, "y": y}},
            {
                "data": {"values": [{name: end[name] for name in (along, field, "words")} for end in ends]},
                "mark": label,
                "encoding": {"x": x, "y": y, "text": {"field": "words", "type": "nominal"}},
            },
        ],
    }
