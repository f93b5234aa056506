"""The whole run to move about in, and below it a strip of all cycles to choose from."""

from __future__ import annotations

from typing import Any

import numpy as np

from resile.records.creep_recovery import CreepRecoveryRun, Cycle
from resile.report.figures.creep_recovery_run import cycle_length, figure_run, levels_in_order
from resile.report.figures.decimation import kept_points
from resile.report.figures.style import (
    HAIRLINE,
    INK,
    MUTED,
    STRAIN,
    WIDTH,
    Spec,
    number_axis,
    rows,
    text_mark,
)

_STRIP_HEIGHT = 46
_STRIP_WIDTH = WIDTH - 50
_STRIP_POINTS = 600
_SHADES = (("conditioning", 0.2), ("evaluated", 0.7))


def figure_whole_run(run: CreepRecoveryRun, *, window_s: tuple[float, float] | None = None) -> Spec:
    """Draw a run with a strip of all its cycles below it.

    Parameters
    ----------
    run : CreepRecoveryRun
        A reduced run.
    window_s : tuple of float or None
        First and last running time to draw above the strip [s].

    Returns
    -------
    dict
        As `figure_run`, with panels that can be moved and magnified. Marks of the strip carry ``stress`` and
        ``cycle``, so that a page can open the cycle that was pointed at.
    """
    spec = figure_run(run, window_s=window_s, zoom=True)
    if "hconcat" not in spec:
        return spec
    panels = {"hconcat": spec.pop("hconcat"), "spacing": spec.pop("spacing")}
    return {**spec, "vconcat": [panels, _strip(run, window_s)], "spacing": 18}


def cycle_bands(run: CreepRecoveryRun) -> list[dict[str, Any]]:
    """Give where each cycle lies in running time, with its stress, number and use.

    Parameters
    ----------
    run : CreepRecoveryRun
        A reduced run.

    Returns
    -------
    list of dict
        ``start``, ``end`` [s], ``stress`` [kPa], ``cycle``, ``use``.
    """
    length = cycle_length(run) if levels_in_order(run) else 0.0
    return [
        {
            "start": cycle.start_s,
            "end": cycle.start_s + length,
            "stress": stress,
            "cycle": cycle.number,
            "use": "conditioning" if cycle in run.conditioning else "evaluated",
        }
        for stress, cycles in levels_in_order(run)
        for cycle in cycles
    ]


def _strip(run: CreepRecoveryRun, window_s: tuple[float, float] | None) -> Spec:
    bands = cycle_bands(run)
    domain = [bands[0]["start"], bands[-1]["end"]]
    x = {
        "field": "start",
        "type": "quantitative",
        "scale": {"domain": domain, "nice": False},
        "axis": number_axis(
            "all cycles: choose one to magnify it; running time (s)", tickCount=8, grid=False
        ),
    }
    y = {
        "field": "share",
        "type": "quantitative",
        "scale": {"domain": [0, 1.08], "nice": False},
        "axis": None,
    }
    layers: list[Spec] = [
        *(_bands([band for band in bands if band["use"] == use], shade, x) for use, shade in _SHADES),
        {
            "data": {"values": _shares(run)},
            "mark": {"type": "line", "color": STRAIN, "strokeWidth": 1, "interactive": False},
            "encoding": {"x": {**x, "field": "time"}, "y": y, "detail": {"field": "stress"}},
        },
        {
            "data": rows(
                start=[next(b["start"] for b in bands if b["stress"] == s) for s, _ in levels_in_order(run)],
                share=[1.08] * len(levels_in_order(run)),
                words=[_strip_words(run, stress, cycles) for stress, cycles in levels_in_order(run)],
            ),
            "mark": text_mark("", align="left", baseline="bottom", dy=-3, fontSize=11, color=MUTED),
            "encoding": {"x": x, "y": y, "text": {"field": "words"}},
        },
    ]
    if window_s is not None:
        layers.append(_window(max(window_s[0], domain[0]), min(window_s[1], domain[1]), x))
    return {"width": _STRIP_WIDTH, "height": _STRIP_HEIGHT, "layer": layers}


def _bands(bands: list[dict[str, Any]], shade: float, x: Spec) -> Spec:
    return {
        "data": {"values": bands},
        "mark": {
            "type": "rect",
            "color": HAIRLINE,
            "fillOpacity": shade,
            "stroke": MUTED,
            "strokeWidth": 0.5,
            "cursor": "pointer",
        },
        "encoding": {"x": x, "x2": {"field": "end"}},
    }


def _strip_words(run: CreepRecoveryRun, stress: float, cycles: tuple[Cycle, ...]) -> str:
    pale = "; pale: conditioning" if set(cycles) & set(run.conditioning) else ""
    return f"{stress:g} kPa, drawn to its own height{pale}"


def _window(start: float, end: float, x: Spec) -> Spec:
    return {
        "data": rows(start=[start], end=[end]),
        "mark": {"type": "rect", "fillOpacity": 0, "stroke": INK, "strokeWidth": 2, "interactive": False},
        "encoding": {"x": x, "x2": {"field": "end"}},
    }


def _shares(run: CreepRecoveryRun) -> list[dict[str, float]]:
    """Give the strain of each stress as a share of its own range: the low stress would be a flat line."""
    length = cycle_length(run)
    drawn: list[dict[str, float]] = []
    for stress, cycles in levels_in_order(run):
        times = np.array([c.start_s + part * length for c in cycles for part in (0.0, 0.1, 1.0)])
        strain = np.array([e for c in cycles for e in (c.initial_strain, c.creep_strain, c.recovered_strain)])
        if run.signal is not None:
            columns = run.signal.columns
            inside = (columns["time_s"] >= times[0]) & (columns["time_s"] < times[-1])
            times, strain = columns["time_s"][inside], columns["strain"][inside]
            kept = kept_points(times, strain, [], most=_STRIP_POINTS)
            times, strain = times[kept], strain[kept]
        low, reach = float(strain.min()), float(np.ptp(strain)) or 1.0
        drawn += [
            {"time": time, "share": (value - low) / reach, "stress": stress}
            for time, value in zip(times.tolist(), strain.tolist(), strict=True)
        ]
    return drawn
