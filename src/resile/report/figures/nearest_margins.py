"""How near the lots of a product came to their limits, one after the other."""

from __future__ import annotations

from collections.abc import Sequence

from resile.report.figures.style import (
    HAIRLINE,
    INK,
    SPRINGS_BACK,
    STAYS_BEHIND,
    STRESS,
    WIDTH,
    Spec,
    chart,
    empty_chart,
    number_axis,
)

Lot = tuple[str, float, str]
"""Number of the sample, margin to its nearest limit in multiples of the repeatability, outcome."""

_HEIGHT = 150
_OUTCOMES = ("pass", "conditional", "not tested", "fail")
_SHAPES = ("circle", "triangle-up", "square", "diamond")
_COLOURS = (SPRINGS_BACK, STRESS, INK, STAYS_BEHIND)


def figure_nearest_margins(lots: Sequence[Lot]) -> Spec:
    """Draw the nearest margin of each lot over time.

    Parameters
    ----------
    lots : sequence of (str, float, str)
        Number of the sample, margin to its nearest limit in multiples of the repeatability (negative beyond
        it), and outcome; the oldest first.

    Returns
    -------
    dict
        Samples across, margins up, the limit as a line at nought; outcomes by mark, colour and word.
    """
    if not lots:
        return empty_chart("No lot has a margin that is known.", width=WIDTH)
    points = [{"sample": number, "margin": margin, "outcome": outcome} for number, margin, outcome in lots]
    across: Spec = {
        "field": "sample",
        "type": "ordinal",
        "sort": None,
        "axis": {"title": "sample", "labelAngle": -40},
    }
    up: Spec = {
        "field": "margin",
        "type": "quantitative",
        "axis": number_axis("margin, repeatabilities", tickCount=5),
    }
    seen = [one for one in _OUTCOMES if any(outcome == one for _, _, outcome in lots)]
    return chart(
        nearest_margins_in_words(lots),
        {
            "width": WIDTH - 90,
            "height": _HEIGHT,
            "data": {"values": points},
            "layer": [
                {"mark": {"type": "line", "color": HAIRLINE}, "encoding": {"x": across, "y": up}},
                {
                    "mark": {"type": "rule", "color": INK, "strokeDash": [5, 3]},
                    "encoding": {"y": {"datum": 0}},
                },
                {
                    "mark": {"type": "point", "filled": True, "size": 90, "opacity": 1},
                    "encoding": {
                        "x": across,
                        "y": up,
                        "shape": _by(seen, _SHAPES),
                        "color": _by(seen, _COLOURS),
                    },
                },
            ],
        },
    )


def nearest_margins_in_words(lots: Sequence[Lot]) -> str:
    """Say what the picture shows.

    Parameters
    ----------
    lots : sequence of (str, float, str)
        As in `figure_nearest_margins`; at least one.
    """
    number, margin, _ = lots[-1]
    said = f"The newest, {number}, lies {_margin(margin)}"
    beyond = sum(one < 0 for _, one, _ in lots)
    if len(lots) > 1:
        least = min(lots, key=lambda lot: lot[1])
        if least[0] == number:
            said += ", the nearest of all"
        else:
            said += f"; the nearest of the {len(lots)}, {least[0]}, {_margin(least[1])}"
        many = {0: "None lies", 1: "One lies"}.get(beyond, f"{beyond} of {len(lots)} lie")
        said += f". {many} beyond its limit"
    return said + "."


def _margin(margin: float) -> str:
    return f"{abs(margin):.2g} × repeatability {'beyond its limit' if margin < 0 else 'within its limit'}"


def _by(seen: list[str], values: Sequence[str]) -> Spec:
    return {
        "field": "outcome",
        "type": "nominal",
        "scale": {"domain": seen, "range": [values[_OUTCOMES.index(one)] for one in seen]},
        "legend": {"title": None, "orient": "bottom", "labelFontSize": 12, "labelColor": INK},
    }
