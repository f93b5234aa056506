"""Pictures of a fitted creep model: one cycle measured and fitted, the residuals, and the parts of Jnr."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from resile.records.models.creep_model import CreepModelFit, CreepModelSeries
from resile.report.figures.series import SHARED, series_marks
from resile.report.figures.style import (
    HAIRLINE,
    INK,
    SPRINGS_BACK,
    STAYS_BEHIND,
    STRAIN,
    Spec,
    chart,
    empty_chart,
    number_axis,
    rows,
)
from resile.report.numbers import shown

_PANEL = 248
_MOST_ROWS = 900  # a level; more points hide one another
_COLUMNS = 2
FLOW_WORDS, LATE_WORDS = "viscous flow", "recovery still under way"
_NO_ROWS = "The rows of the record were not kept with the model: there is nothing to draw."


def figure_fitted_cycles(fit: CreepModelFit) -> Spec:
    """Draw the last cycle of each stress: measured points, fitted line.

    Parameters
    ----------
    fit : CreepModelFit
        The fit, with its rows.

    Returns
    -------
    dict
        One panel a stress, two in a row.
    """
    series = fit.series
    if series is None:
        return empty_chart(_NO_ROWS, width=2 * _PANEL)
    panels = [_cycle_panel(series, level) for level in np.unique(series.level_kpa).tolist()]
    return chart(
        "Shear strain of the last cycle at each stress over the time since its push began, from the strain "
        "at its start: measured points and the line of the model.",
        {"concat": panels, "columns": _COLUMNS, "spacing": 18},
    )


def figure_residuals(fit: CreepModelFit) -> Spec:
    """Draw the residuals over running time and over the time in the cycle.

    Parameters
    ----------
    fit : CreepModelFit
        The fit, with its rows.

    Returns
    -------
    dict
        Two panels: a drift shows in the first, a wave that returns in each cycle in the second.
    """
    series = fit.series
    if series is None:
        return empty_chart(_NO_ROWS, width=2 * _PANEL)
    levels = np.unique(series.level_kpa)
    names = [f"{level:g} kPa" for level in levels.tolist()]
    points: list[dict[str, Any]] = []
    for level, name in zip(levels, names, strict=True):
        own = np.flatnonzero(series.level_kpa == level)
        for row in own[:: max(1, -(-len(own) // _MOST_ROWS))].tolist():
            points.append(
                {
                    "series": name,
                    "time": float(series.time_s[row]),
                    "within": float(series.in_cycle_s[row]),
                    "residual": float(series.residual_percent[row]),
                }
            )
    colour, shape = series_marks(names, legend=len(names) > 1)
    panels = [
        _residual_panel(points, field, title, colour, shape, leftmost=place == 0)
        for place, (field, title) in enumerate(
            (("time", "running time (s)"), ("within", "time since the push began (s)"))
        )
    ]
    told = ", ".join(
        f"{shown(root, '')} % at {name}" for root, name in zip(fit.residual_percents, names, strict=True)
    )
    return chart(
        "Residuals, measured less fitted strain, in per cent of the mean creep strain of a cycle, over "
        f"running time and over the time in the cycle. Root mean square: {told}.",
        {"hconcat": panels, "spacing": 18, "resolve": SHARED},
    )


def figure_jnr_split(fit: CreepModelFit) -> Spec:
    """Draw which part of Jnr is flow and which is recovery still under way.

    Parameters
    ----------
    fit : CreepModelFit
        The fit.

    Returns
    -------
    dict
        One bar a stress with its two parts and the interval of the flow.
    """
    words, bars, ends = [], [], []
    for split in fit.splits:
        stress = f"{split.stress_kpa:g} kPa"
        whole = split.flow + split.late
        if whole <= 0.0:
            continue
        share = 100.0 * split.flow / whole
        words.append(f"{stress}: {share:.0f} % flow")
        bars += [
            {"stress": stress, "part": FLOW_WORDS, "begin": 0.0, "end": share},
            {"stress": stress, "part": LATE_WORDS, "begin": share, "end": 100.0},
        ]
        if np.isfinite(split.flow_lower):
            low, high = (100.0 * one / whole for one in (split.flow_lower, split.flow_upper))
            ends.append({"stress": stress, "begin": max(low, 0.0), "end": min(high, 100.0)})
    if not bars:
        return empty_chart(
            "By the model nothing is left after the recovery: there is no Jnr to part.", width=2 * _PANEL
        )
    stress_axis: Spec = {
        "field": "stress",
        "type": "nominal",
        "sort": None,
        "axis": {"title": None, "ticks": False},
    }
    begin: Spec = {
        "field": "begin",
        "type": "quantitative",
        "scale": {"domain": [0, 100]},
        "axis": number_axis("share of what a push leaves when the recovery ends (%)", tickCount=6),
    }
    colour: Spec = {
        "field": "part",
        "type": "nominal",
        "scale": {"domain": [FLOW_WORDS, LATE_WORDS], "range": [STAYS_BEHIND, SPRINGS_BACK]},
        "legend": {
            "title": None,
            "orient": "bottom",
            "labelFontSize": 12,
            "labelColor": INK,
            "labelLimit": 300,
        },
    }
    layers: list[Spec] = [
        {
            "data": {"values": bars},
            "mark": {"type": "bar", "height": 20},
            "encoding": {"y": stress_axis, "x": begin, "x2": {"field": "end"}, "color": colour},
        },
        {
            "data": {"values": ends},
            "mark": {"type": "rule", "color": INK, "strokeWidth": 2},
            "encoding": {"y": stress_axis, "x": begin, "x2": {"field": "end"}},
        },
    ]
    return chart(
        "Parts of what one push leaves when the recovery ends, in per cent: viscous flow, which never comes "
        f"back, and recovery still under way. {'; '.join(words)}.",
        {"width": 2 * _PANEL, "height": {"step": 34}, "layer": layers},
    )


def _cycle_panel(series: CreepModelSeries, level: float) -> Spec:
    own = series.level_kpa == level
    cycle = int(series.cycle[own].max())
    here = own & (series.cycle == cycle)
    before = (
        float(series.fitted_strain[here][0]) if series.in_cycle_s[here][0] < 1e-6 else _start(series, cycle)
    )
    time = series.in_cycle_s[here].tolist()
    measured, fitted = (
        (100.0 * (column[here] - before)).tolist() for column in (series.strain, series.fitted_strain)
    )
    x: Spec = {
        "field": "time",
        "type": "quantitative",
        "axis": number_axis("time since the push began (s)", tickCount=6, grid=False),
    }
    y: Spec = {
        "field": "strain",
        "type": "quantitative",
        "axis": number_axis("shear strain (%)", tickCount=5),
    }
    return {
        "title": f"{level:g} kPa, cycle {cycle} of the run",
        "width": _PANEL,
        "height": 170,
        "layer": [
            {
                "data": rows(time=[0.0, *time], strain=[0.0, *fitted]),
                "mark": {"type": "line", "color": STAYS_BEHIND, "strokeWidth": 1.6},
                "encoding": {"x": x, "y": y},
            },
            {
                "data": rows(time=time, strain=measured),
                "mark": {"type": "point", "color": STRAIN, "size": 16, "strokeWidth": 1, "opacity": 1},
                "encoding": {"x": x, "y": y},
            },
        ],
    }


def _start(series: CreepModelSeries, cycle: int) -> float:
    """Give the strain at the end of the cycle before: the first row of a cycle may come late."""
    earlier: NDArray[np.bool_] = series.cycle == cycle - 1
    return float(series.fitted_strain[earlier][-1]) if earlier.any() else 0.0


def _residual_panel(
    points: list[dict[str, Any]], field: str, title: str, colour: Spec, shape: Spec, *, leftmost: bool
) -> Spec:
    x: Spec = {
        "field": field,
        "type": "quantitative",
        "axis": number_axis(title, tickCount=6, grid=False),
    }
    y: Spec = {
        "field": "residual",
        "type": "quantitative",
        "axis": number_axis("residual (% of creep strain)" if leftmost else "", tickCount=5),
    }
    return {
        "width": _PANEL,
        "height": 150,
        "layer": [
            {
                "data": {"values": [{"zero": 0.0}]},
                "mark": {"type": "rule", "color": HAIRLINE, "strokeWidth": 1.5},
                "encoding": {"y": {"field": "zero", "type": "quantitative"}},
            },
            {
                "data": {"values": points},
                "mark": {"type": "point", "size": 10, "strokeWidth": 0.8, "opacity": 0.75},
                "encoding": {"x": x, "y": y, "color": colour, "shape": shape},
            },
        ],
    }
