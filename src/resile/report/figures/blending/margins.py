"""How far a recipe stands from each limit, in standard deviations of a batch."""

from __future__ import annotations

from resile.records.blending.recipe import Recipe, RecipeLine
from resile.report.blend_words import at_words, short_limit
from resile.report.figures.style import (
    INK,
    MUTED,
    SPRINGS_BACK,
    STAYS_BEHIND,
    WIDTH,
    Spec,
    chart,
    empty_chart,
    number_axis,
    rows,
)
from resile.report.numbers import fixed, shown_probability

_MOST = 6.0
_ROW = 24
_LABELS = 215


def figure_recipe_margins(recipe: Recipe) -> Spec:
    """Draw the margin of every limit as a bar, the smallest first.

    Parameters
    ----------
    recipe : Recipe
        Its lines.

    Returns
    -------
    dict
        Bars from the limit; one that misses points to the left. The words behind a bar are the probability
        that a batch keeps this limit. A margin of more than six is cut, and marked so.
    """
    told = [line for line in recipe.lines if line.margin_standards is not None]
    if not told:
        return empty_chart("No trial tells of any limit.", width=WIDTH - 90)
    lines = sorted(told, key=_margin)
    names = _names(lines)
    low = min(-0.5, min(_margin(line) for line in lines) * 1.1)
    low = max(low, -_MOST)
    x: Spec = {
        "field": "margin",
        "type": "quantitative",
        "scale": {"domain": [low, _MOST + 1.4], "nice": False},
        "axis": number_axis(
            "distance to the limit, in standard deviations of a batch", values=list(range(int(low), 7))
        ),
    }
    y: Spec = {
        "field": "limit",
        "type": "nominal",
        "sort": names,
        "axis": {"title": None, "labelLimit": _LABELS, "labelColor": INK, "ticks": False, "domain": False},
    }
    margins = [max(low, min(_margin(line), _MOST)) for line in lines]
    words = [
        f"{shown_probability(line.probability)}{' ▸' if _margin(line) > _MOST else ''}"
        f"{'  outside the trials' if line.extrapolated else ''}"
        for line in lines
    ]
    bars = [
        {
            "data": rows(
                limit=[n for n, m in zip(names, margins, strict=True) if (m < 0) is bad],
                margin=[m for m in margins if (m < 0) is bad],
            ),
            "mark": {"type": "bar", "color": colour, "height": 11},
            "encoding": {"x": x, "y": y},
        }
        for bad, colour in ((False, SPRINGS_BACK), (True, STAYS_BEHIND))
    ]
    layers: list[Spec] = [
        *bars,
        {
            "data": rows(margin=[0.0]),
            "mark": {"type": "rule", "color": INK, "strokeWidth": 1.4},
            "encoding": {"x": x},
        },
        {
            "data": rows(limit=names, margin=[max(m, 0.0) for m in margins], words=words),
            "mark": {"type": "text", "align": "left", "dx": 6, "color": MUTED, "fontSize": 11},
            "encoding": {"x": x, "y": y, "text": {"field": "words"}},
        },
    ]
    said = "; ".join(
        f"{name} {fixed(_margin(line), 1)} ({shown_probability(line.probability)})"
        for name, line in zip(names, lines, strict=True)
    )
    return chart(
        f"Distance of the recipe to each limit in standard deviations: {said}.",
        {"width": WIDTH - _LABELS - 20, "height": _ROW * len(lines), "layer": layers},
    )


def _margin(line: RecipeLine) -> float:
    return 0.0 if line.margin_standards is None else line.margin_standards


def _names(lines: list[RecipeLine]) -> list[str]:
    """Give short words for each limit, each of them once."""
    found: list[str] = []
    for line in lines:
        words = f"{short_limit(line.limit)}{at_words(line.limit.response)}"
        found.append(words if words not in found else f"{words} ({found.count(words) + 1})")
    return found
