"""The one palette and the chart settings: quiet, high contrast on paper and screen, never colour alone."""

from __future__ import annotations

import math
from typing import Any

FONT = "'Source Sans 3', 'Segoe UI', Arial, 'Liberation Sans', sans-serif"
"""Quoted: a family name that ends in a digit is otherwise not understood, and every word would vanish."""
SCHEMA = "https://vega.github.io/schema/vega-lite/v6.json"
WIDTH = 640
"""Full width of a figure [px]: the text width of an A4 page at three quarters of a point a pixel."""

INK = "#20282d"
MUTED = "#56626a"
HAIRLINE = "#d3d8db"
STRAIN = "#1d4f72"
STRESS = "#5a4a78"
SPRINGS_BACK = "#1f6f6b"
SPRINGS_BACK_TINT = "#dcebe9"
SURE_TINT = "#b5d9d5"
UNLIKELY_TINT = "#f3ede5"
STAYS_BEHIND = "#934a1c"
STAYS_BEHIND_TINT = "#f0dccd"
PAPER = "#ffffff"

DARK: dict[str, str] = {
    INK: "#e4e8ea",
    MUTED: "#a7b2b9",
    HAIRLINE: "#3b454b",
    STRAIN: "#8cc0e3",
    STRESS: "#bfaee0",
    SPRINGS_BACK: "#7fcac3",
    SPRINGS_BACK_TINT: "#22403f",
    SURE_TINT: "#2a625d",
    UNLIKELY_TINT: "#2b2620",
    STAYS_BEHIND: "#e6a477",
    STAYS_BEHIND_TINT: "#4a3425",
    PAPER: "#171c1f",
}
"""What each colour becomes on a dark page."""

Spec = dict[str, Any]

_CONFIG: Spec = {
    "font": FONT,
    "background": None,
    "view": {"stroke": None},
    "axis": {
        "labelColor": MUTED,
        "titleColor": INK,
        "labelFontSize": 12,
        "titleFontSize": 12,
        "titleFontWeight": "normal",
        "domainColor": MUTED,
        "tickColor": MUTED,
        "gridColor": HAIRLINE,
        "gridWidth": 0.7,
        "labelPadding": 4,
        "titlePadding": 8,
    },
    "text": {"fontSize": 12, "color": INK},
    "title": {"color": INK, "fontSize": 13, "fontWeight": 600, "anchor": "start", "offset": 8},
    "concat": {"spacing": 14},
}


def chart(description: str, body: Spec) -> Spec:
    """Give a whole Vega-Lite specification.

    Parameters
    ----------
    description : str
        What a person who cannot see the picture is told.
    body : dict
        Marks, layers or concatenation.

    Returns
    -------
    dict
        With schema, description and the settings of the house.
    """
    return {"$schema": SCHEMA, "description": description, "config": _CONFIG, **body}


def rows(**columns: list[Any]) -> Spec:
    """Give inline data from columns of one length."""
    names = list(columns)
    return {
        "values": [dict(zip(names, one, strict=True)) for one in zip(*columns.values(), strict=True)],
    }


_LABELS = "replace(format(datum.value, ',.6~r'), /,/g, '\N{NARROW NO-BREAK SPACE}')"


def number_axis(title: str, **settings: Any) -> Spec:
    """Give an axis for numbers; the title carries the unit, thousands are set apart by a thin space."""
    return {"title": title, "labelExpr": _LABELS, **settings}


def decade_ticks(low: float, high: float) -> list[float]:
    """Give the places to label on a logarithmic axis: 1, 2 and 5 of each decade, or decades alone over many.

    Parameters
    ----------
    low, high : float
        Ends of the axis, above zero.

    Returns
    -------
    list of float
        Rising, all within the ends.
    """
    first, last = math.floor(math.log10(low)), math.ceil(math.log10(high))
    steps: tuple[float, ...] = (1.0, 2.0, 5.0) if high / low < 500.0 else (1.0,)
    if high / low < 4.0:
        steps = (1.0, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0)
    places = [step * 10.0**power for power in range(first, last + 1) for step in steps]
    return [float(f"{place:.6g}") for place in places if low <= place <= high]


def text_mark(text: str | list[str], **settings: Any) -> Spec:
    """Give a mark with a fixed text; a list of strings gives several lines."""
    return {"type": "text", "text": text, **settings}


def empty_chart(sentence: str, *, width: float) -> Spec:
    """Give a chart that says why there is nothing to draw; the sentence ends with a full stop."""
    words = sentence[0].lower() + sentence[1:].rstrip(".")
    return chart(
        sentence,
        {"data": {"values": [{}]}, "width": width, "height": 40, "mark": text_mark(words, color=MUTED)},
    )
