"""Checks of a known material, day by day, in their tolerance zone."""

from __future__ import annotations

from resile.records.laboratories import CheckChart
from resile.records.quantity import QUANTITIES
from resile.report.figures.style import (
    INK,
    SPRINGS_BACK,
    SPRINGS_BACK_TINT,
    STAYS_BEHIND,
    STRESS,
    WIDTH,
    Spec,
    chart,
    empty_chart,
    number_axis,
)
from resile.report.tolerance import zone_words

_HEIGHT = 160
_UPRIGHT = 6
_WORDS = ["inside", "repeat", "outside"]


def figure_check_chart(checked: CheckChart) -> Spec:
    """Draw checks in their zone.

    Parameters
    ----------
    checked : CheckChart
        Oldest first.

    Returns
    -------
    dict
        Days across, what was measured up, a band for the zone; the word by shape and colour.
    """
    zone = checked.zone
    points = [
        {
            "place": place,
            "day": verdict.check.done[:10],
            "measured": verdict.check.measured,
            "judged": verdict.judged,
        }
        for place, verdict in enumerate(checked.verdicts)
    ]
    if not points:
        return empty_chart(f"No check of {checked.material.name} is kept yet.", width=WIDTH)
    known = QUANTITIES.get(checked.material.quantity)
    unit = f" ({known.unit})" if known and known.unit else ""
    ends = [zone.lower, zone.upper, *(one.check.measured for one in checked.verdicts)]
    room = 0.12 * (max(ends) - min(ends))
    up: Spec = {
        "type": "quantitative",
        "scale": {"domain": [min(ends) - room, max(ends) + room], "zero": False, "nice": False},
        "axis": number_axis(f"measured{unit}", grid=False),
    }
    days = "[" + ",".join(f"'{point['day']}'" for point in points) + "]"
    across: Spec = {
        "field": "place",
        "type": "ordinal",
        "axis": {
            "title": None,
            "labelExpr": f"{days}[datum.value]",
            "labelAngle": 0 if len(points) <= _UPRIGHT else -40,
            "labelOverlap": True,
            "ticks": False,
        },
    }
    legend = {"title": None, "orient": "bottom", "labelFontSize": 12, "labelColor": INK}
    word: Spec = {"field": "judged", "type": "nominal", "legend": legend}
    outside = sum(verdict.judged != "inside" for verdict in checked.verdicts)
    return chart(
        f"{checked.material.name}: {len(points)} checks, {outside} outside the zone of "
        f"{zone_words(zone)}{unit}.",
        {
            "width": WIDTH - 90,
            "height": _HEIGHT,
            "data": {"values": points},
            "layer": [
                {
                    "data": {"values": [{"low": zone.lower, "high": zone.upper}]},
                    "mark": {"type": "rect", "color": SPRINGS_BACK_TINT},
                    "encoding": {"y": {"field": "low", **up}, "y2": {"field": "high"}},
                },
                {"mark": {"type": "rule", "color": INK}, "encoding": {"y": {"datum": zone.reference, **up}}},
                {
                    "mark": {"type": "point", "filled": True, "size": 80, "opacity": 1},
                    "encoding": {
                        "x": across,
                        "y": {"field": "measured", **up},
                        "shape": {
                            **word,
                            "scale": {"domain": _WORDS, "range": ["circle", "triangle-up", "diamond"]},
                        },
                        "color": {
                            **word,
                            "scale": {"domain": _WORDS, "range": [SPRINGS_BACK, STRESS, STAYS_BEHIND]},
                        },
                    },
                },
            ],
        },
    )
