"""Components of variance with their intervals, as standard deviations."""

from __future__ import annotations

from resile.records.laboratories import VarianceComponents
from resile.report.figures.style import (
    INK,
    SPRINGS_BACK,
    SPRINGS_BACK_TINT,
    WIDTH,
    Spec,
    chart,
    number_axis,
)

_STEP = 34


def figure_components(found: VarianceComponents) -> Spec:
    """Draw standard deviations of the components.

    Parameters
    ----------
    found : VarianceComponents
        Worked out.

    Returns
    -------
    dict
        Factors down, standard deviations across: a filled dot for the estimate, a bar for its interval, cut
        off with an arrow head where it goes on.
    """
    largest = max(one.standard_deviation for one in found.components)
    top = 3.0 * largest
    points = [
        {
            "source": one.source,
            "deviation": one.standard_deviation,
            "lower": one.lower,
            "upper": min(one.upper, top) if one.upper is not None else top,
            "on": one.upper is None or one.upper > top,
            "share": f"{one.share_percent:.0f} %",
        }
        for one in found.components
    ]
    unit = f" ({found.unit})" if found.unit else ""
    down: Spec = {
        "field": "source",
        "type": "nominal",
        "sort": [one.source for one in found.components],
        "axis": {"title": None, "ticks": False, "domain": False, "labelLimit": 190},
    }
    across: Spec = {
        "type": "quantitative",
        "scale": {"domain": [0.0, top * 1.04], "nice": False},
        "axis": number_axis(f"standard deviation{unit}", grid=False),
    }
    biggest = max(found.components, key=lambda one: one.variance)
    return chart(
        f"Components of variance; {biggest.source} takes the largest share, {biggest.share_percent:.0f} %.",
        {
            "width": WIDTH - 220,
            "height": {"step": _STEP},
            "data": {"values": points},
            "layer": [
                {
                    "mark": {"type": "bar", "height": 14, "color": SPRINGS_BACK_TINT},
                    "encoding": {"y": down, "x": {"field": "lower", **across}, "x2": {"field": "upper"}},
                },
                {
                    "transform": [{"filter": "datum.on"}],
                    "mark": {
                        "type": "point",
                        "shape": "triangle-right",
                        "filled": True,
                        "size": 70,
                        "color": SPRINGS_BACK,
                        "opacity": 1,
                    },
                    "encoding": {"y": down, "x": {"field": "upper", **across}},
                },
                {
                    "mark": {
                        "type": "point",
                        "filled": True,
                        "size": 80,
                        "color": SPRINGS_BACK,
                        "opacity": 1,
                    },
                    "encoding": {"y": down, "x": {"field": "deviation", **across}},
                },
                {
                    "mark": {"type": "text", "dy": -13, "color": INK, "fontSize": 11},
                    "encoding": {
                        "y": down,
                        "x": {"field": "deviation", **across},
                        "text": {"field": "share"},
                    },
                },
            ],
        },
    )
