"""How many samples stand where before and after: two columns of classes, joined by bands as wide as many."""

from __future__ import annotations

from collections import defaultdict
from typing import Any

from resile.records.rejudging import NO_CLASS, NOT_ASKED, NOT_SETTLED, JudgedBy, Rejudging
from resile.report.figures.style import (
    HAIRLINE,
    INK,
    MUTED,
    SPRINGS_BACK,
    STAYS_BEHIND,
    STRESS,
    Spec,
    chart,
    empty_chart,
)

_HEIGHT, _GAP = 280.0, 0.03
_LEFT, _RIGHT, _BAR = 0.0, 1.0, 0.025
_STEPS = 24
_LABEL = 0.16
_WORDS = {"same": "as before", "worse": "▼ lower", "better": "▲ higher", "other": "not asked on one side"}
_COLOURS = {"same": HAIRLINE, "worse": STAYS_BEHIND, "better": SPRINGS_BACK, "other": STRESS}

Flows = dict[tuple[str, str], int]
Spans = dict[str, tuple[float, float]]


def figure_standings(found: Rejudging) -> Spec:
    """Draw where samples stand before and after.

    Parameters
    ----------
    found : Rejudging
        As judged.

    Returns
    -------
    dict
        Classes from severe (top) to none; a band a change, with its sign and number; bands of those that
        stand as they stood are pale.
    """
    flows = flows_of(found)
    if not flows:
        return empty_chart("No sample was tested at a temperature of these documents.", width=560)
    left, right = order_of(found.before), order_of(found.after)
    before = _spans({name: sum(n for (b, _), n in flows.items() if b == name) for name in left})
    after = _spans({name: sum(n for (_, a), n in flows.items() if a == name) for name in right})
    bands, labels = _bands(flows, before, after, (left, right))
    across: Spec = {
        "field": "x",
        "type": "quantitative",
        "axis": None,
        "scale": {"domain": [-0.36, 1.36], "nice": False},
    }
    up: Spec = {
        "field": "y",
        "type": "quantitative",
        "axis": None,
        "scale": {"domain": [-0.08, 1.02], "nice": False},
    }
    kinds = [kind for kind in _WORDS if any(band["kind"] == _WORDS[kind] for band in bands)]
    layers: list[Spec] = [
        {
            "data": {"values": bands},
            "mark": {"type": "area", "opacity": 0.75, "line": False},
            "encoding": {
                "x": across,
                "y": up,
                "y2": {"field": "y2"},
                "detail": {"field": "band"},
                "color": {
                    "field": "kind",
                    "type": "nominal",
                    "scale": {
                        "domain": [_WORDS[one] for one in kinds],
                        "range": [_COLOURS[one] for one in kinds],
                    },
                    "legend": {"title": None, "orient": "bottom", "labelFontSize": 12, "labelColor": INK},
                },
            },
        },
        _texts(labels, across, up, align="center", weight=600),
    ]
    for spans, at, align in ((before, _LEFT, "right"), (after, _RIGHT, "left")):
        layers += _column(spans, at, align, flows, across, up)
    heads = [
        {"x": _LEFT, "y": -0.055, "words": _head(found.before)},
        {"x": _RIGHT, "y": -0.055, "words": _head(found.after)},
    ]
    layers.append(_texts(heads, across, up, align="center", weight=600))
    return chart(standings_in_words(found), {"width": 560, "height": _HEIGHT, "layer": layers})


def flows_of(found: Rejudging) -> Flows:
    """Sum up the standings over the temperatures.

    Parameters
    ----------
    found : Rejudging
        As judged.

    Returns
    -------
    dict of (str, str) to int
        Samples by class before and after.
    """
    flows: Flows = defaultdict(int)
    for one in found.standings:
        flows[one.class_before, one.class_after] += one.count
    return dict(flows)


def order_of(side: JudgedBy) -> list[str]:
    """Give the standings of one way of judging, the most severe class first."""
    return [*reversed(side.classes), NOT_SETTLED, NO_CLASS, NOT_ASKED]


def standings_in_words(found: Rejudging) -> str:
    """Say what the picture shows.

    Parameters
    ----------
    found : Rejudging
        As judged.

    Returns
    -------
    str
        How many stay, and each change.
    """
    flows = flows_of(found)
    left, right = order_of(found.before), order_of(found.after)
    same = sum(n for pair, n in flows.items() if kind_of(pair, (left, right)) == "same")
    moved = [
        f"{before} to {after} {number:,}"
        for (before, after), number in sorted(flows.items(), key=lambda one: -one[1])
        if kind_of((before, after), (left, right)) != "same"
    ]
    return f"{same:,} samples stand as before; " + ("; ".join(moved) if moved else "none changes") + "."


def kind_of(pair: tuple[str, str], orders: tuple[list[str], list[str]]) -> str:
    """Tell whether a pair of standings is the same, worse, better, or cannot be compared."""
    before, after = pair
    if NOT_ASKED in pair:
        return "same" if before == after else "other"
    if orders[0] == orders[1]:
        step = orders[1].index(after) - orders[0].index(before)
    else:
        step = _level(after) - _level(before)
    return "same" if step == 0 else "worse" if step > 0 else "better"


def _level(standing: str) -> int:
    return {NOT_SETTLED: 1, NO_CLASS: 2}.get(standing, 0)


def _head(side: JudgedBy) -> str:
    return f"{side.specification}, {side.decision_rule}"


def _spans(numbers: dict[str, int]) -> Spans:
    """Give each class its part of the height, from the top down, with gaps between."""
    there = {name: number for name, number in numbers.items() if number}
    room = 1.0 - _GAP * (len(there) - 1)
    total, top, spans = sum(there.values()), 1.0, {}
    for name, number in there.items():
        height = room * number / total
        spans[name] = (top - height, top)
        top -= height + _GAP
    return spans


def _bands(
    flows: Flows, before: Spans, after: Spans, orders: tuple[list[str], list[str]]
) -> tuple[list[dict[str, Any]], list[dict[str, Any]]]:
    starts = {name: span[1] for name, span in before.items()}
    ends = {name: span[1] for name, span in after.items()}
    sums = {
        "before": {name: sum(n for (b, _), n in flows.items() if b == name) for name in before},
        "after": {name: sum(n for (_, a), n in flows.items() if a == name) for name in after},
    }
    points: list[dict[str, Any]] = []
    labels: list[dict[str, Any]] = []
    placed = [(b, a) for b in orders[0] for a in orders[1] if flows.get((b, a))]
    for pair in placed:
        was, now = pair
        number, kind = flows[pair], kind_of(pair, orders)
        left = (before[was][1] - before[was][0]) * number / sums["before"][was]
        right = (after[now][1] - after[now][0]) * number / sums["after"][now]
        tops = (starts[was], ends[now])
        starts[was] -= left
        ends[now] -= right
        name = f"{was} to {now}"
        for step in range(_STEPS + 1):
            part = step / _STEPS
            ease = part * part * (3.0 - 2.0 * part)
            top = tops[0] + (tops[1] - tops[0]) * ease
            thick = left + (right - left) * ease
            x = _LEFT + _BAR + (_RIGHT - _LEFT - 2.0 * _BAR) * part
            points.append({"band": name, "kind": _WORDS[kind], "x": x, "y": top, "y2": top - thick})
        if kind in ("worse", "better"):
            # Near the left column, where bands lie side by side in the order of the classes.
            ease = _LABEL * _LABEL * (3.0 - 2.0 * _LABEL)
            middle = tops[0] - left / 2.0 + (tops[1] - right / 2.0 - tops[0] + left / 2.0) * ease
            sign = "▼" if kind == "worse" else "▲"
            labels.append({"x": _LABEL, "y": middle, "words": f"{sign} {number:,}"})
    return points, _apart(labels)


def _apart(labels: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Move labels that would lie on one another aside."""
    spread = sorted(labels, key=lambda one: -one["y"])
    for place, one in enumerate(spread):
        crowded = place and abs(spread[place - 1]["y"] - one["y"]) < 0.055
        one["x"] = _LABEL if not crowded or spread[place - 1]["x"] != _LABEL else _LABEL + 0.16
    return spread


def _column(spans: Spans, at: float, align: str, flows: Flows, across: Spec, up: Spec) -> list[Spec]:
    side = 0 if align == "right" else 1
    own = [
        {
            "x": at - _BAR if side == 0 else at,
            "x2": at if side == 0 else at + _BAR,
            "y": low,
            "y2": high,
        }
        for low, high in spans.values()
    ]
    words = [
        {
            "x": at - 0.045 if side == 0 else at + 0.045,
            "y": 0.5 * (low + high),
            "words": f"{name}  {sum(n for pair, n in flows.items() if pair[side] == name):,}",
        }
        for name, (low, high) in spans.items()
    ]
    bars = {
        "data": {"values": own},
        "mark": {"type": "rect", "color": MUTED},
        "encoding": {"x": across, "x2": {"field": "x2"}, "y": up, "y2": {"field": "y2"}},
    }
    return [bars, _texts(words, across, up, align=align, weight=400)]


def _texts(words: list[dict[str, Any]], across: Spec, up: Spec, *, align: str, weight: int) -> Spec:
    return {
        "data": {"values": words},
        "mark": {"type": "text", "align": align, "baseline": "middle", "color": INK, "fontWeight": weight},
        "encoding": {"x": across, "y": up, "text": {"field": "words"}},
    }
