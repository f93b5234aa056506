"""Own precision beside the published one, and what the uncertainty of one result is made of."""

from __future__ import annotations

import math
from collections.abc import Sequence

from resile.records.determination import Condition
from resile.records.laboratories.beside import PrecisionBeside
from resile.report.figures.style import (
    HAIRLINE,
    INK,
    MUTED,
    PAPER,
    SPRINGS_BACK,
    STAYS_BEHIND,
    STRAIN,
    STRESS,
    WIDTH,
    Spec,
    chart,
    empty_chart,
)
from resile.report.words import CONDITION_WORDS, symbol_of

_ROW = 30
_SERIES = (
    ("own, one operator and day", "circle", STRAIN, 60, "repeatability"),
    ("own, within the laboratory", "square", SPRINGS_BACK, 220, "intermediate"),
    ("published repeatability", "triangle-up", STRESS, 110, "published_repeatability"),
    ("published reproducibility", "diamond", STAYS_BEHIND, 110, "published_reproducibility"),
)
PARTS = ("one operator and day", "days, operators, instruments", "bias, not corrected", "doubt of the bias")
WHOLE = "one result, together"


def figure_precision(beside: Sequence[PrecisionBeside]) -> Spec:
    """Draw own standard deviations beside published ones, a row a property.

    Parameters
    ----------
    beside : sequence of PrecisionBeside
        Those in percent of the value are drawn; others have no common axis.

    Returns
    -------
    dict
        Standard deviation in percent across (log scale), properties down; own and published by mark and
        colour.
    """
    told = [one for one in beside if one.unit == "%"]
    points = [
        {"row": row_label(one), "series": name, "percent": round(amount, 4)}
        for one in told
        for name, _, _, _, field in reversed(_SERIES)  # the smallest mark on top: equal ones stay visible
        if (amount := getattr(one, field)) is not None and amount > 0.0
    ]
    if not points:
        return empty_chart("No own precision in percent of the value is in force.", width=WIDTH)
    labels = [row_label(one) for one in told]
    percent = [point["percent"] for point in points]
    across: Spec = {
        "field": "percent",
        "type": "quantitative",
        "scale": {"type": "log", "domain": _decade(percent)},
        "axis": {
            "title": "standard deviation, % of the value",
            "format": "~g",
            "tickCount": 5,
            "gridColor": HAIRLINE,
        },
    }
    down: Spec = {
        "field": "row",
        "type": "nominal",
        "sort": labels,
        "axis": {"title": None, "labelLimit": 260, "grid": True, "ticks": False},
    }
    names, shapes, colours, sizes = ([one[i] for one in _SERIES] for i in range(4))
    legend = {
        "title": None,
        "orient": "bottom",
        "columns": 2,
        "labelFontSize": 12,
        "labelLimit": 240,
        "labelColor": INK,
    }
    return chart(
        "; ".join(_in_words(one) for one in told) + ".",
        {
            "width": WIDTH - 230,
            "height": {"step": _ROW},
            "data": {"values": points},
            "mark": {"type": "point", "filled": True, "opacity": 1, "stroke": PAPER, "strokeWidth": 1.5},
            "encoding": {
                "x": across,
                "y": down,
                **{
                    channel: {
                        "field": "series",
                        "type": "ordinal" if channel == "size" else "nominal",
                        "sort": names,
                        "scale": {"domain": names, "range": values},
                        "legend": legend,
                    }
                    for channel, values in (("shape", shapes), ("color", colours), ("size", sizes))
                },
            },
        },
    )


def figure_contributions(one: PrecisionBeside) -> Spec:
    """Draw what the standard uncertainty of one result is made of: a bar a contribution.

    Parameters
    ----------
    one : PrecisionBeside
        Own precision at one value.

    Returns
    -------
    dict
        Contribution to the standard uncertainty across, in percent of the value or in the unit; the whole at
        the end. Contributions add as squares (JCGM 100).
    """
    bars = [
        {"part": name, "amount": round(amount, 6), "kind": "part"}
        for name, amount in zip(PARTS, contributions(one), strict=True)
    ]
    bars.append({"part": WHOLE, "amount": round(one.standard, 6), "kind": "whole"})
    unit = "% of the value" if one.unit == "%" else one.unit
    title = f"standard uncertainty, {unit}".rstrip(", ")
    y: Spec = {
        "field": "part",
        "type": "nominal",
        "sort": [*PARTS, WHOLE],
        "axis": {"title": None, "labelLimit": 260, "ticks": False},
    }
    x: Spec = {
        "field": "amount",
        "type": "quantitative",
        "axis": {"title": title, "format": "~g", "tickCount": 5, "gridColor": HAIRLINE},
    }
    return chart(
        f"Standard uncertainty of one result of {row_label(one)}: "
        + ", ".join(f"{bar['part']} {bar['amount']:.3g}" for bar in bars)
        + f" {unit}.",
        {
            "width": WIDTH - 260,
            "height": {"step": 26},
            "data": {"values": bars},
            "layer": [
                {
                    "mark": {"type": "bar", "height": 14},
                    "encoding": {
                        "x": x,
                        "y": y,
                        "color": {
                            "field": "kind",
                            "type": "nominal",
                            "scale": {"domain": ["part", "whole"], "range": [SPRINGS_BACK, INK]},
                            "legend": None,
                        },
                    },
                },
                {
                    "mark": {"type": "text", "align": "left", "dx": 5, "color": MUTED},
                    "encoding": {
                        "x": x,
                        "y": y,
                        "text": {"field": "amount", "type": "quantitative", "format": ".2~r"},
                    },
                },
            ],
        },
    )


def contributions(one: PrecisionBeside) -> tuple[float, float, float, float]:
    """Give the contributions to the standard uncertainty of one result, in the order they are drawn.

    Parameters
    ----------
    one : PrecisionBeside
        Own precision at one value.

    Returns
    -------
    tuple of float
        One operator and day; what days, operators and instruments add; bias; doubt of the bias.
    """
    added = math.sqrt(max(one.intermediate**2 - one.repeatability**2, 0.0))
    return one.repeatability, added, abs(one.bias), one.bias_standard


def row_label(one: PrecisionBeside) -> str:
    """Give property, residue and value in words: the label of a row."""
    residue = "" if one.condition is Condition.UNKNOWN else f", {CONDITION_WORDS[one.condition]}"
    return f"{symbol_of(one.quantity)}{residue}"


def _in_words(one: PrecisionBeside) -> str:
    published = "nothing published"
    if one.published_repeatability is not None or one.published_reproducibility is not None:
        both = (one.published_repeatability, one.published_reproducibility)
        published = "published " + " and ".join(f"{amount:.2g} %" for amount in both if amount is not None)
    return f"{row_label(one)}: own {one.repeatability:.2g} % and {one.intermediate:.2g} %, {published}"


def _decade(values: Sequence[float]) -> list[float]:
    """Give ends of a logarithmic axis of at least half a decade around values."""
    low, high = min(values) / 1.3, max(values) * 1.3
    return [low, max(high, low * 3.2)]
