"""Scores of one property over the rounds."""

from __future__ import annotations

from collections.abc import Sequence

from resile.records.laboratories import RoundScore
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

_HEIGHT = 170
_UPRIGHT = 6  # as many rounds can be read level beside each other
_WORDS = ("satisfactory", "questionable", "action")
_SHAPES = ("circle", "triangle-up", "diamond")
_COLOURS = (SPRINGS_BACK, STRESS, STAYS_BEHIND)


def figure_scores(scores: Sequence[RoundScore]) -> Spec:
    """Draw the scores of one property, one mark a result.

    Parameters
    ----------
    scores : sequence of RoundScore
        Oldest first; those without a score are left out.

    Returns
    -------
    dict
        Rounds across, scores up; a band of what is satisfactory (-2 to 2, or -1 to 1 for En), lines at -3
        and 3; the word by mark and colour.
    """
    told = [one for one in scores if one.judged]
    if not told:
        return empty_chart("No round of this property could be scored.", width=WIDTH)
    points = [{"round": one.result.day, "score": _score(one), "word": one.judged} for one in told]
    only_en = all(one.kind == "en" for one in told)
    good = 1.0 if only_en else 2.0
    most = max(1.2 if only_en else 3.4, *(abs(_score(one)) * 1.1 for one in told))
    across: Spec = {
        "field": "round",
        "type": "ordinal",
        "sort": None,
        "axis": {
            "title": None,
            "labelAngle": 0 if len(points) <= _UPRIGHT else -40,
            "ticks": False,
            "labelLimit": 150,
        },
    }
    up = {"type": "quantitative", "scale": {"domain": [-most, most]}, "axis": number_axis("score")}
    bad = sum(one.judged != "satisfactory" for one in told)
    return chart(
        f"{len(told)} scores over the rounds, {bad} of them not satisfactory; the newest is "
        f"{_score(told[-1]):+.2f} in {told[-1].result.round}, {told[-1].judged}.",
        {
            "width": WIDTH - 90,
            "height": _HEIGHT,
            "data": {"values": points},
            "layer": [
                {
                    "data": {"values": [{"low": -good, "high": good}]},
                    "mark": {"type": "rect", "color": SPRINGS_BACK_TINT},
                    "encoding": {"y": {"field": "low", **up}, "y2": {"field": "high"}},
                },
                *(
                    {
                        "data": {"values": [{"at": place}]},
                        "mark": {
                            "type": "rule",
                            "color": MUTED if place else INK,
                            "strokeDash": [5, 4] if place else [],
                        },
                        "encoding": {"y": {"field": "at", **up}},
                    }
                    for place in ((0.0,) if only_en else (-3.0, 0.0, 3.0))
                ),
                {
                    "mark": {"type": "point", "filled": True, "size": 110, "opacity": 1},
                    "encoding": {
                        "x": across,
                        "y": {"field": "score", **up},
                        "shape": _by(list(_SHAPES)),
                        "color": _by(list(_COLOURS)),
                    },
                },
            ],
        },
    )


def _score(one: RoundScore) -> float:
    found = {"z": one.z, "z-prime": one.z_prime, "zeta": one.zeta, "en": one.en}[one.kind]
    return round(found or 0.0, 3)


def _by(values: list[str]) -> Spec:
    return {
        "field": "word",
        "type": "nominal",
        "scale": {"domain": list(_WORDS), "range": values},
        "legend": {"title": None, "orient": "bottom", "labelFontSize": 12, "labelColor": INK},
    }
