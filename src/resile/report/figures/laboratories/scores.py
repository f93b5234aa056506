"""Scores of the laboratory over the rounds, one panel a property."""

from __future__ import annotations

from collections.abc import Sequence

from resile.records.laboratories import RoundScore, RoundScores, ScoreTrend
from resile.report.figures.style import (
    INK,
    MUTED,
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
from resile.report.words import CONDITION_WORDS, symbol_of

_HEIGHT = 150
_WORDS = ["satisfactory", "questionable", "action"]
_UPRIGHT = 6


def figure_scores(scores: RoundScores) -> Spec:
    """Draw scores round after round.

    Parameters
    ----------
    scores : RoundScores
        Oldest first.

    Returns
    -------
    dict
        Rounds across, scores up; a band for what is satisfactory, dashed lines where action is asked for, a
        line for the weighted average; the word by shape and colour.
    """
    panels = [
        _panel(trend, [one for one in scores.scores if _belongs(one, trend)]) for trend in scores.trends
    ]
    if not panels:
        return empty_chart("No round has a score that can be drawn.", width=WIDTH)
    counts = {word: sum(one.judged == word for one in scores.scores) for word in _WORDS}
    said = ", ".join(f"{count} {word}" for word, count in counts.items() if count)
    return chart(f"Scores over the rounds: {said}.", {"vconcat": panels})


def _belongs(one: RoundScore, trend: ScoreTrend) -> bool:
    same = one.result.quantity == trend.quantity and str(one.result.condition) == trend.condition
    return same and _score(one) is not None


def _score(one: RoundScore) -> float | None:
    return {"z": one.z, "z-prime": one.z_prime, "zeta": one.zeta}.get(one.kind)


def _panel(trend: ScoreTrend, scored: Sequence[RoundScore]) -> Spec:
    labels = [f"{one.result.round} {one.result.material}".strip() for one in scored]
    points = [
        {
            "place": place,
            "label": label,
            "score": round(_score(one) or 0.0, 4),
            "judged": one.judged,
            "weighted": round(trend.weighted[place], 4),
        }
        for place, (label, one) in enumerate(zip(labels, scored, strict=True))
    ]
    top = max(3.6, *(abs(p["score"]) * 1.1 for p in points))  # type: ignore[arg-type]
    name = f"{symbol_of(trend.quantity)}, {CONDITION_WORDS[scored[0].result.condition]}"
    words = "[" + ",".join("'" + label.replace("\\", "").replace("'", "’") + "'" for label in labels) + "]"
    across: Spec = {
        "field": "place",
        "type": "ordinal",
        "axis": {
            "title": None,
            "labelExpr": f"{words}[datum.value]",
            "labelAngle": 0 if len(points) <= _UPRIGHT else -40,
            "ticks": False,
        },
    }
    up: Spec = {
        "type": "quantitative",
        "scale": {"domain": [-top, top], "nice": False},
        "axis": number_axis("score", grid=False),
    }
    legend = {"title": None, "orient": "bottom", "labelFontSize": 12, "labelColor": INK}
    word: Spec = {"field": "judged", "type": "nominal", "legend": legend}
    return {
        "title": name,
        "width": WIDTH - 90,
        "height": _HEIGHT,
        "data": {"values": points},
        "layer": [
            {
                "data": {"values": [{"low": -2.0, "high": 2.0}]},
                "mark": {"type": "rect", "color": SPRINGS_BACK_TINT},
                "encoding": {"y": {"field": "low", **up}, "y2": {"field": "high"}},
            },
            *(
                {
                    "mark": {"type": "rule", "color": MUTED, "strokeDash": [4, 3]},
                    "encoding": {"y": {"datum": end, **up}},
                }
                for end in (-3.0, 3.0)
            ),
            {"mark": {"type": "rule", "color": INK}, "encoding": {"y": {"datum": 0.0, **up}}},
            {
                "mark": {"type": "line", "color": STRESS, "strokeWidth": 1.5, "strokeDash": [2, 2]},
                "encoding": {"x": across, "y": {"field": "weighted", **up}},
            },
            {
                "mark": {"type": "point", "filled": True, "size": 80, "opacity": 1},
                "encoding": {
                    "x": across,
                    "y": {"field": "score", **up},
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
    }
