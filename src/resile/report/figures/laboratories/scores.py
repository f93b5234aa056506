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
    panels = []
    for trend in scores.trends:
        scored = [one for one in scores.scores if _belongs(one, trend)]
        name = f"{symbol_of(trend.quantity)}, {CONDITION_WORDS[scored[0].result.condition]}"
        panels.append({"title": name, **_panel(scored, trend.weighted)})
    if not panels:
        return empty_chart("No round has a score that can be drawn.", width=WIDTH)
    counts = {word: sum(one.judged == word for one in scores.scores) for word in _WORDS}
    said = ", ".join(f"{count} {word}" for word, count in counts.items() if count)
    return chart(f"Scores over the rounds: {said}.", {"vconcat": panels})


def figure_one_property(scores: Sequence[RoundScore]) -> Spec:
    """Draw the scores of one property, without the average.

    Parameters
    ----------
    scores : sequence of RoundScore
        Oldest first; those without a score are left out.

    Returns
    -------
    dict
        A panel as of `figure_scores`; where every score is En, the band ends at one and no line asks for
        action.
    """
    told = [one for one in scores if one.judged_score is not None]
    if not told:
        return empty_chart("No round of this property could be scored.", width=WIDTH)
    bad = sum(one.judged != _WORDS[0] for one in told)
    newest = told[-1]
    return chart(
        f"{len(told)} scores over the rounds, {bad} of them not satisfactory; the newest is "
        f"{newest.judged_score:+.2f} in {newest.result.round}, {newest.judged}.",
        _panel(told),
    )


def _belongs(one: RoundScore, trend: ScoreTrend) -> bool:
    same = one.result.quantity == trend.quantity and str(one.result.condition) == trend.condition
    return same and one.kind not in ("", "en")


def _panel(scored: Sequence[RoundScore], weighted: Sequence[float] = ()) -> Spec:
    only_en = all(one.kind == "en" for one in scored)
    good = 1.0 if only_en else 2.0
    points = [
        {"place": place, "score": round(one.judged_score or 0.0, 4), "judged": one.judged}
        for place, one in enumerate(scored)
    ]
    average = [{"place": place, "weighted": round(at, 4)} for place, at in enumerate(weighted)]
    top = max(1.8 * good, *(abs(one.judged_score or 0.0) * 1.1 for one in scored))
    across = _rounds_across([f"{one.result.round} {one.result.material}".strip() for one in scored])
    up: Spec = {
        "type": "quantitative",
        "scale": {"domain": [-top, top], "nice": False},
        "axis": number_axis("score", grid=False),
    }
    dashed = {"type": "rule", "color": MUTED, "strokeDash": [4, 3]}
    line = {"type": "line", "color": STRESS, "strokeWidth": 1.5, "strokeDash": [2, 2]}
    layers: list[Spec] = [
        {
            "data": {"values": [{"low": -good, "high": good}]},
            "mark": {"type": "rect", "color": SPRINGS_BACK_TINT},
            "encoding": {"y": {"field": "low", **up}, "y2": {"field": "high"}},
        },
        *(
            {"mark": dashed, "encoding": {"y": {"datum": end, **up}}}
            for end in (() if only_en else (-3.0, 3.0))
        ),
        {"mark": {"type": "rule", "color": INK}, "encoding": {"y": {"datum": 0.0, **up}}},
    ]
    if average:
        spread = {"x": across, "y": {"field": "weighted", **up}}
        layers.append({"data": {"values": average}, "mark": line, "encoding": spread})
    layers.append(
        {
            "mark": {"type": "point", "filled": True, "size": 80, "opacity": 1},
            "encoding": {
                "x": across,
                "y": {"field": "score", **up},
                "shape": _by_word(["circle", "triangle-up", "diamond"]),
                "color": _by_word([SPRINGS_BACK, STRESS, STAYS_BEHIND]),
            },
        }
    )
    return {"width": WIDTH - 90, "height": _HEIGHT, "data": {"values": points}, "layer": layers}


def _rounds_across(labels: Sequence[str]) -> Spec:
    words = "[" + ",".join("'" + label.replace("\\", "").replace("'", "’") + "'" for label in labels) + "]"
    return {
        "field": "place",
        "type": "ordinal",
        "axis": {
            "title": None,
            "labelExpr": f"{words}[datum.value]",
            "labelAngle": 0 if len(labels) <= _UPRIGHT else -40,
            "ticks": False,
        },
    }


def _by_word(values: list[str]) -> Spec:
    return {
        "field": "judged",
        "type": "nominal",
        "scale": {"domain": _WORDS, "range": values},
        "legend": {"title": None, "orient": "bottom", "labelFontSize": 12, "labelColor": INK},
    }
