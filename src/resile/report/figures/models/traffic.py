"""The picture of binders under traffic: an index each with its interval, and where the strain comes from."""

from __future__ import annotations

from resile.records.models.pulse_train import BinderUnderTraffic, TrafficComparison
from resile.report.figures.style import (
    INK,
    MUTED,
    SPRINGS_BACK,
    STAYS_BEHIND,
    STAYS_BEHIND_TINT,
    STRAIN,
    Spec,
    chart,
    decade_ticks,
    empty_chart,
    number_axis,
    rows,
)
from resile.report.numbers import fixed

_ROW = 26
_LEAST = 130
_PANEL = 330
_BANDS = 150
_LONGEST = 26
MOST_BINDERS = 30
"""More in one picture cannot be read; the table holds the rest."""


def index_digits(value: float) -> str:
    """Show an index to two figures, at least one decimal below ten."""
    rounded = float(f"{value:.2g}")
    return fixed(rounded, 0 if rounded >= 10 else (1 if rounded >= 1 else (2 if rounded >= 0.1 else 3)))


def figure_traffic(comparison: TrafficComparison) -> Spec:
    """Draw the index of each binder, and from which pavement temperatures the reference's strain comes.

    Parameters
    ----------
    comparison : TrafficComparison
        As computed.

    Returns
    -------
    dict
        Left: a mark a binder with its 95 % interval on a logarithmic scale, the reference as a diamond on the
        line at 1. Right: bars of strain and a mark of hours for each band of temperature.
    """
    shown = [one for one in comparison.binders if one.index is not None][:MOST_BINDERS]
    if not shown:
        return empty_chart("No binder can be followed.", width=_PANEL)
    told = "; ".join(_words(one) for one in shown)
    return chart(
        f"Permanent shear strain against that of {comparison.reference}: {told}.",
        {"hconcat": [_indices(comparison, shown), _bands(comparison)], "spacing": 26},
    )


def _words(one: BinderUnderTraffic) -> str:
    index = one.index
    if index is None:
        return one.name
    return f"{one.name} {index_digits(index.value)} ({index_digits(index.low)} to {index_digits(index.high)})"


def _indices(comparison: TrafficComparison, shown: list[BinderUnderTraffic]) -> Spec:
    found = [(one, one.index) for one in shown if one.index is not None]
    names = [_short(one.name) for one, _ in found]
    low = min(min(index.low for _, index in found) / 1.25, 0.8)
    high = max(max(index.high for _, index in found) * 1.9, 1.5)  # room for the words
    x = {
        "field": "value",
        "type": "quantitative",
        "scale": {"type": "log", "domain": [low, high], "nice": False},
        "axis": number_axis(
            f"permanent shear strain ({_short(comparison.reference)} = 1)", values=decade_ticks(low, high)
        ),
    }
    y = {
        "field": "binder",
        "type": "nominal",
        "sort": names,
        "axis": {"title": None, "labelLimit": 170, "domain": False, "ticks": False, "labelColor": INK},
    }
    data = rows(
        binder=names,
        value=[index.value for _, index in found],
        low=[index.low for _, index in found],
        high=[index.high for _, index in found],
        words=[index_digits(index.value) for _, index in found],
        kind=["reference" if one.name == comparison.reference else "binder" for one, _ in found],
    )
    colour = {
        "field": "kind",
        "type": "nominal",
        "scale": {"domain": ["binder", "reference"], "range": [STRAIN, STAYS_BEHIND]},
        "legend": None,
    }
    shape = {**colour, "scale": {"domain": ["binder", "reference"], "range": ["circle", "diamond"]}}
    line = {"type": "rule", "color": MUTED, "strokeDash": [4, 3]}
    span = {"type": "rule", "color": STRAIN, "strokeWidth": 1.6}
    mark = {"type": "point", "filled": True, "size": 62, "opacity": 1}
    text = {"type": "text", "align": "left", "dx": 8, "color": INK, "fontSize": 11}
    words = {"field": "words", "type": "nominal"}
    return {
        "width": _PANEL,
        "height": max(_ROW * len(found), _LEAST),
        "layer": [
            {"data": rows(value=[1.0]), "mark": line, "encoding": {"x": x}},
            {
                "data": data,
                "mark": span,
                "encoding": {"y": y, "x": {**x, "field": "low"}, "x2": {"field": "high"}},
            },
            {"data": data, "mark": mark, "encoding": {"x": x, "y": y, "color": colour, "shape": shape}},
            {"data": data, "mark": text, "encoding": {"x": {**x, "field": "high"}, "y": y, "text": words}},
        ],
    }


def _short(name: str) -> str:
    return name if len(name) <= _LONGEST else f"{name[: _LONGEST - 1]}…"


def _bands(comparison: TrafficComparison) -> Spec:
    bands = [band for band in comparison.bands if band.hours_percent > 0.0]
    data = rows(
        low=[band.from_c for band in bands],
        high=[band.to_c for band in bands],
        middle=[(band.from_c + band.to_c) / 2 for band in bands],
        strain=[band.strain_percent_share for band in bands],
        hours=[band.hours_percent for band in bands],
        none=[0.0] * len(bands),
    )
    y = {
        "field": "low",
        "type": "quantitative",
        "scale": {"domain": [bands[0].from_c, bands[-1].to_c], "nice": False},
        "axis": number_axis("pavement temperature (°C)", tickCount=6, grid=False),
    }
    x = {
        "field": "none",
        "type": "quantitative",
        "scale": {"zero": True, "nice": True},
        "axis": number_axis("share (%)", tickCount=4),
    }
    bar = {"type": "rect", "color": STAYS_BEHIND_TINT, "stroke": STAYS_BEHIND, "strokeWidth": 0.8}
    path = {"type": "line", "color": SPRINGS_BACK, "strokeWidth": 1.4, "strokeDash": [5, 3], "point": False}
    return {
        "title": {
            "text": ["bars: strain", "dashes: hours"],
            "fontSize": 11,
            "fontWeight": "normal",
            "anchor": "start",
        },
        "width": _BANDS,
        "height": max(_ROW * sum(one.index is not None for one in comparison.binders[:MOST_BINDERS]), _LEAST),
        "layer": [
            {
                "data": data,
                "mark": bar,
                "encoding": {"y": y, "y2": {"field": "high"}, "x": x, "x2": {"field": "strain"}},
            },
            {
                "data": data,
                "mark": path,
                "encoding": {
                    "y": {**y, "field": "middle"},
                    "x": {**x, "field": "hours"},
                    "order": {"field": "middle", "type": "quantitative"},
                },
            },
        ],
    }
