"""The whole run: strain and stress over time, each stress level on its own strain axis."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from resile.records.creep_recovery import CreepRecoveryRun, Cycle
from resile.report.figures.decimation import MOST_POINTS, kept_points
from resile.report.figures.style import (
    HAIRLINE,
    INK,
    MUTED,
    STRAIN,
    STRESS,
    WIDTH,
    Spec,
    chart,
    number_axis,
    rows,
    text_mark,
)

_STRAIN_HEIGHT = 190
_STRESS_HEIGHT = 78  # long enough for its axis title, or the panels would not align
_AXIS_ROOM = 60
_NARROWEST = 190
_BAND_TOP = 1.16
_BELOW = 0.05  # a part of the run need not show zero, but shall not stand on the axis


def figure_run(
    run: CreepRecoveryRun, *, window_s: tuple[float, float] | None = None, zoom: bool = False
) -> Spec:
    """Draw strain and stress of a run over time.

    Parameters
    ----------
    run : CreepRecoveryRun
        A reduced run; without its signal three points a cycle are drawn from the cycle table.
    window_s : tuple of float or None
        First and last running time to draw [s]; the whole run when None, or where the run has nothing there.
    zoom : bool
        Let a person on a screen move and magnify each panel (control and wheel, or pinch; drag; double-click
        to go back).

    Returns
    -------
    dict
        A Vega-Lite specification of at most 2000 points a curve; an empty chart with a sentence where the run
        has no cycles (a typed summary).
    """
    parts = _parts(run, window_s) or _parts(run, None)
    if not parts:
        return chart(
            "This result was typed from a summary: there is no record to draw.",
            {
                "data": {"values": [{}]},
                "width": WIDTH,
                "height": 40,
                "mark": text_mark("typed summary: there is no record to draw", color=MUTED),
            },
        )
    room = WIDTH - _AXIS_ROOM * len(parts)
    total = sum(part["end"] - part["start"] for part in parts)
    shares = [max(_NARROWEST, room * (part["end"] - part["start"]) / total) for part in parts]
    scale = room / sum(shares)
    columns = [
        _column(part, width=round(share * scale), leftmost=place == 0, zoom=f"zoom_{place}" if zoom else "")
        for place, (part, share) in enumerate(zip(parts, shares, strict=True))
    ]
    words = "; ".join(f"{part['title']}, {part['start']:g} to {part['end']:g} s" for part in parts)
    return chart(
        f"Shear strain in per cent and shear stress in kilopascal over running time. {words}.",
        {"hconcat": columns, "spacing": 12},
    )


def levels_in_order(run: CreepRecoveryRun) -> list[tuple[float, tuple[Cycle, ...]]]:
    """Give the stresses of a run with all their cycles, conditioning ones first.

    Parameters
    ----------
    run : CreepRecoveryRun
        A reduced run.

    Returns
    -------
    list of (float, tuple of Cycle)
        Empty for a typed summary.
    """
    levels = [level for level in run.levels if level.cycles]
    return [
        (level.stress_kpa, (*run.conditioning, *level.cycles) if place == 0 else level.cycles)
        for place, level in enumerate(levels)
    ]


def _parts(run: CreepRecoveryRun, window_s: tuple[float, float] | None) -> list[dict[str, Any]]:
    """Cut the run at its stress levels, with the drawn points of each."""
    groups = levels_in_order(run)
    if not groups:
        return []
    length = cycle_length(run)
    creep = run.programme.creep_time_s if run.programme else 0.1 * length
    most = MOST_POINTS // len(groups)
    parts = []
    for stress, cycles in groups:
        start, end = cycles[0].start_s, cycles[-1].start_s + length
        conditioning = tuple(c for c in run.conditioning if c in cycles)
        boundary = start + length * len(conditioning)
        if window_s is not None:
            start, end = max(start, window_s[0]), min(end, window_s[1])
            if end <= start:
                continue
            cycles = tuple(c for c in cycles if c.start_s < end and c.start_s + length > start)
            conditioning = tuple(c for c in conditioning if c in cycles)
        times, strain, stresses = _points(run, cycles, stress, (start, end), (creep, length), most)
        if not len(times):
            continue
        parts.append(
            {
                "title": f"{stress:g} kPa",
                "stress": stress,
                "start": start,
                "end": end,
                "boundary": min(boundary, end) if conditioning else None,
                "conditioning": _numbers_of(conditioning),
                "evaluated": _numbers_of(tuple(c for c in cycles if c not in conditioning)),
                "times": times,
                "strain": 100.0 * strain,
                "stresses": stresses,
                "whole": window_s is None,
            }
        )
    return parts


def cycle_length(run: CreepRecoveryRun) -> float:
    """Give how long a cycle lasts [s]: by the programme, else from one start to the next."""
    if run.programme:
        return run.programme.creep_time_s + run.programme.recovery_time_s
    starts = [cycle.start_s for cycle in (*run.conditioning, *run.levels[0].cycles)]
    return starts[1] - starts[0] if len(starts) > 1 and starts[1] > starts[0] else 10.0


def _numbers_of(cycles: tuple[Cycle, ...]) -> str:
    if not cycles:
        return ""
    return f"{cycles[0].number} to {cycles[-1].number}" if len(cycles) > 1 else str(cycles[0].number)


def _points(
    run: CreepRecoveryRun,
    cycles: tuple[Cycle, ...],
    stress: float,
    span: tuple[float, float],
    lengths: tuple[float, float],
    most: int,
) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]:
    """Give time, strain and stress to draw for one level."""
    creep, length = lengths
    decisive = [c.start_s + offset for c in cycles for offset in (0.0, creep, length)]
    if run.signal is None:
        times = np.array(decisive)
        strain = np.array([e for c in cycles for e in (c.initial_strain, c.creep_strain, c.recovered_strain)])
        inside = (times >= span[0]) & (times <= span[1])
        return times[inside], strain[inside], np.tile([stress, 0.0, 0.0], len(cycles))[inside]
    columns = run.signal.columns
    # The point at the very end already belongs to the next push, unless this level is the last.
    inside = (columns["time_s"] >= span[0]) & (columns["time_s"] < span[1])
    times, strain = columns["time_s"][inside], columns["strain"][inside]
    stresses = columns["stress_kpa"][inside] if "stress_kpa" in columns else np.zeros_like(times)
    keep = kept_points(times, strain, decisive, most=most)
    return times[keep], strain[keep], stresses[keep]


def _column(part: dict[str, Any], *, width: int, leftmost: bool, zoom: str) -> Spec:
    span = [part["start"], part["end"]]
    time_scale = {"domain": span, "nice": False}
    return {
        "vconcat": [
            _strain_panel(part, width, time_scale, leftmost, zoom),
            _stress_panel(
                part,
                width,
                {"domain": {"param": zoom, "encoding": "x"}, "nice": False} if zoom else time_scale,
                leftmost,
            ),
        ],
        "spacing": 10,
        "title": {
            "text": f"at {part['title']}",
            "offset": 6,
            "anchor": "start",
            "dx": 62 if leftmost else 50,
        },
    }


def _strain_panel(part: dict[str, Any], width: int, time_scale: Spec, leftmost: bool, zoom: str) -> Spec:
    boundary = part["boundary"] if part["boundary"] is not None else part["start"]
    phase = ["conditioning" if t < boundary else "evaluated" for t in part["times"].tolist()]
    high, low = float(part["strain"].max()), float(part["strain"].min())
    bottom = min(0.0, low) if part["whole"] else low - _BELOW * (high - low)
    top = bottom + _BAND_TOP * (high - bottom) or 1.0
    x = {"field": "time", "type": "quantitative", "scale": time_scale}
    curve: Spec = {
        "data": rows(time=part["times"].tolist(), strain=part["strain"].tolist(), phase=phase),
        "mark": {"type": "line", "strokeWidth": 1.1, "clip": True},
        "encoding": {
            "x": {**x, "axis": number_axis("", labels=False, ticks=False, tickCount=6)},
            "y": {
                "field": "strain",
                "type": "quantitative",
                "scale": {"domain": [bottom, top], "nice": False},
                "axis": number_axis("shear strain (%)" if leftmost else "", minExtent=42, tickCount=5),
            },
            "color": {
                "field": "phase",
                "scale": {"domain": ["conditioning", "evaluated"], "range": [MUTED, STRAIN]},
                "legend": None,
            },
            "strokeDash": {
                "field": "phase",
                "scale": {"domain": ["conditioning", "evaluated"], "range": [[3, 2], [1, 0]]},
                "legend": None,
            },
        },
    }
    if zoom:
        # Without the key a wheel scrolls the page, as it does everywhere else on it.
        select = {"type": "interval", "encodings": ["x", "y"], "zoom": "wheel![event.ctrlKey]"}
        curve["params"] = [{"name": zoom, "select": select, "bind": "scales"}]
    return {"width": width, "height": _STRAIN_HEIGHT, "layer": [*_labels(part, x, (bottom, top)), curve]}


def _labels(part: dict[str, Any], x: Spec, ends: tuple[float, float]) -> list[Spec]:
    """Words above the curve: which cycles are conditioning, which are evaluated."""
    y = {"field": "top", "type": "quantitative", "scale": {"domain": [*ends], "nice": False}}
    texts = (
        [(part["boundary"] or part["start"], f"evaluated: cycles {part['evaluated']}", INK)]
        if part["evaluated"]
        else []
    )
    layers: list[Spec] = []
    if part["boundary"] is not None:
        texts.append((part["start"], f"conditioning: cycles {part['conditioning']}", MUTED))
        layers.append(
            {
                "data": rows(time=[part["boundary"]]),
                "mark": {"type": "rule", "strokeDash": [2, 3], "color": MUTED},
                "encoding": {"x": x},
            }
        )
    layers += [
        {
            "data": rows(time=[start], top=[ends[1]]),
            "mark": text_mark(words, align="left", baseline="top", dx=5, dy=1, color=colour, fontSize=11.5),
            "encoding": {"x": x, "y": y},
        }
        for start, words, colour in texts
    ]
    return layers


def _stress_panel(part: dict[str, Any], width: int, time_scale: Spec, leftmost: bool) -> Spec:
    peak = max(float(part["stresses"].max()), part["stress"])
    return {
        "width": width,
        "height": _STRESS_HEIGHT,
        "data": rows(time=part["times"].tolist(), stress=part["stresses"].tolist()),
        "layer": [
            {
                "mark": {"type": "area", "interpolate": "step-after", "color": HAIRLINE, "clip": True},
                "encoding": _stress_encoding(time_scale, part["stress"], peak, leftmost),
            },
            {
                "mark": {
                    "type": "line",
                    "interpolate": "step-after",
                    "strokeWidth": 0.9,
                    "color": STRESS,
                    "clip": True,
                },
                "encoding": _stress_encoding(time_scale, part["stress"], peak, leftmost),
            },
        ],
    }


def _stress_encoding(time_scale: Spec, nominal: float, peak: float, leftmost: bool) -> Spec:
    return {
        "x": {
            "field": "time",
            "type": "quantitative",
            "scale": time_scale,
            "axis": number_axis("running time (s)", tickCount=6, grid=False),
        },
        "y": {
            "field": "stress",
            "type": "quantitative",
            "scale": {"domain": [0, 1.12 * peak], "nice": False},
            "axis": number_axis("stress (kPa)" if leftmost else "", minExtent=42, values=[0, nominal]),
        },
    }
