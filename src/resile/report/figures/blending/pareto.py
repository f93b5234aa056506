"""What more certainty costs: the cheapest recipe for each probability of the whole grade."""

from __future__ import annotations

from collections.abc import Sequence

from resile.records.blending.design import ParetoPoint
from resile.report.figures.style import (
    INK,
    PAPER,
    STAYS_BEHIND,
    STRAIN,
    WIDTH,
    Spec,
    chart,
    empty_chart,
    number_axis,
    rows,
    text_mark,
)
from resile.report.numbers import fixed, shown_probability

_HEIGHT = 190
_RECIPE: Spec = {"type": "point", "shape": "diamond", "filled": True, "size": 150, "opacity": 1}
_PLACES = (0.5, 0.8, 0.9, 0.95, 0.99, 0.999)


def figure_pareto(
    points: Sequence[ParetoPoint],
    *,
    required: float,
    currency: str = "",
    chosen: tuple[float, float] | None = None,
) -> Spec:
    """Draw cost against probability.

    Parameters
    ----------
    points : sequence of ParetoPoint
        Cheapest recipe for each probability.
    required : float
        Probability asked for.
    currency : str
        Of the cost.
    chosen : tuple of (float, float) or None
        Probability and cost of the recipe.

    Returns
    -------
    dict
        The probability is drawn by how rarely a batch misses, so that the steps from 90 to 99 and to 99.9 %
        are seen alike.
    """
    if not points:
        return empty_chart("No recipe reaches any of the probabilities.", width=WIDTH - 90)
    some = sorted((p for p in points), key=lambda p: p.probability)
    least = min(0.5, *(p.probability for p in some))
    most = max(0.99, *(p.probability for p in some))
    ticks = [place for place in _PLACES if least - 1e-9 <= place <= most + 1e-9]
    x: Spec = {
        "field": "rare",
        "type": "quantitative",
        "scale": {"type": "log", "domain": [1.0 - least, (1.0 - most) * 0.8], "nice": False},
        "axis": {
            "title": "probability that a batch keeps the whole grade (%)",
            "values": [1.0 - place for place in ticks],
            "labelExpr": "format(100 * (1 - datum.value), '.4~r')",
            "grid": True,
        },
    }
    unit = f"{currency}/t" if currency else "per tonne"
    costs = [p.cost_per_tonne for p in some] + ([chosen[1]] if chosen else [])
    room = 0.15 * (max(costs) - min(costs)) or 1.0
    y: Spec = {
        "field": "cost",
        "type": "quantitative",
        "scale": {"domain": [min(costs) - room, max(costs) + room], "nice": False, "zero": False},
        "axis": number_axis(f"cost of the components ({unit})", tickCount=5),
    }
    data = rows(rare=[1.0 - p.probability for p in some], cost=[p.cost_per_tonne for p in some])
    encoding = {"x": x, "y": y}
    layers: list[Spec] = [
        {
            "data": data,
            "mark": {"type": "line", "color": STRAIN, "strokeWidth": 1.6},
            "encoding": encoding,
        },
        {
            "data": data,
            "mark": {"type": "point", "color": STRAIN, "fill": PAPER, "size": 50, "opacity": 1},
            "encoding": encoding,
        },
        {
            "data": rows(rare=[1.0 - required]),
            "mark": {"type": "rule", "color": STAYS_BEHIND, "strokeDash": [6, 3], "strokeWidth": 1.4},
            "encoding": {"x": x},
        },
        {
            "data": rows(rare=[1.0 - required]),
            "mark": text_mark(
                f"asked for: {100.0 * required:.4g} %",
                color=STAYS_BEHIND,
                align="right",
                dx=-5,
                y=8,
                fontWeight=600,
            ),
            "encoding": {"x": x},
        },
    ]
    if chosen is not None:
        here = rows(rare=[1.0 - chosen[0]], cost=[chosen[1]])
        layers += [
            {
                "data": here,
                "mark": {
                    "type": "point",
                    "shape": "diamond",
                    "filled": True,
                    "color": INK,
                    "size": 150,
                    "opacity": 1,
                },
                "encoding": encoding,
            },
            {
                "data": here,
                "mark": text_mark("recipe", color=INK, align="left", dx=9, dy=10, fontWeight=600),
                "encoding": encoding,
            },
        ]
    told = "; ".join(f"{shown_probability(p.probability)} for {fixed(p.cost_per_tonne, 1)}" for p in some)
    return chart(
        f"Cost per tonne against the probability that a batch keeps the whole grade: {told}.",
        {"width": WIDTH - 90, "height": _HEIGHT, "layer": layers},
    )
