"""A dispute on one axis: the determinations, the zones about the limit, what a referee would settle."""

from __future__ import annotations

from typing import Any

from resile.records.laboratories import DisputeFound
from resile.report.figures.style import (
    INK,
    MUTED,
    SPRINGS_BACK_TINT,
    STAYS_BEHIND_TINT,
    STRAIN,
    UNLIKELY_TINT,
    WIDTH,
    Spec,
    chart,
    number_axis,
)
from resile.report.words import symbol_of

ANSWER_WORDS = {
    "conforms-shown": "conformity shown",
    "not-shown": "neither shown",
    "failure-shown": "failure shown",
    "open": "open",
}
_TINTS = {"accepted": SPRINGS_BACK_TINT, "refused": STAYS_BEHIND_TINT, "open": UNLIKELY_TINT}
_ZONE_TINTS = {
    "conforms-shown": SPRINGS_BACK_TINT,
    "not-shown": UNLIKELY_TINT,
    "failure-shown": STAYS_BEHIND_TINT,
}
_ROW = 34


def figure_dispute(found: DisputeFound) -> Spec:
    """Draw a dispute.

    Parameters
    ----------
    found : DisputeFound
        Worked out.

    Returns
    -------
    dict
        Values across; a row for each laboratory with every determination and its mean, a row for the zones,
        and, where the laboratories do not agree, a row for the results of a referee, numbered as in the
        table.
    """
    dispute = found.dispute
    low, high = _ends(found)
    unit = f" ({dispute.unit})" if dispute.unit else ""
    zones = [
        _bar(
            "value settled",
            zone.lowest,
            zone.highest,
            ANSWER_WORDS[zone.answer],
            _ZONE_TINTS[zone.answer],
            low,
            high,
        )
        for zone in found.zones
    ]
    referee = [
        _bar("result of referee", one.lowest, one.highest, str(place), _TINTS[one.consequence], low, high)
        for place, one in enumerate(found.outcomes, 1)
    ]
    bars = [bar for bar in (*zones, *referee) if bar is not None]
    parties = [one for one in (dispute.first, dispute.second, dispute.third) if one is not None]
    dots = [{"row": one.name, "value": value} for one in parties for value in one.values]
    means = [{"row": one.name, "value": sum(one.values) / len(one.values)} for one in parties]
    order = [*(one.name for one in parties), "value settled", *(["result of referee"] if referee else [])]
    down: Spec = {
        "field": "row",
        "type": "nominal",
        "sort": order,
        "axis": {"title": None, "ticks": False, "domain": False, "labelLimit": 150},
    }
    across: Spec = {
        "type": "quantitative",
        "scale": {"domain": [low, high], "zero": False, "nice": False},
        "axis": number_axis(f"{symbol_of(dispute.quantity)}{unit}", grid=False),
    }
    layers: list[Spec] = [
        {
            "data": {"values": bars},
            "mark": {"type": "bar", "height": 22, "stroke": MUTED, "strokeWidth": 0.7},
            "encoding": {
                "y": down,
                "x": {"field": "low", **across},
                "x2": {"field": "high"},
                "color": {"field": "tint", "type": "nominal", "scale": None},
            },
        },
        {
            "data": {"values": [bar for bar in bars if bar["room"]]},
            "mark": {"type": "text", "color": INK, "fontSize": 12},
            "encoding": {"y": down, "x": {"field": "middle", **across}, "text": {"field": "words"}},
        },
        {
            "data": {"values": [{"limit": dispute.limit}]},
            "mark": {"type": "rule", "color": INK, "strokeWidth": 1.5, "strokeDash": [5, 3]},
            "encoding": {"x": {"field": "limit", **across}},
        },
        {
            "data": {"values": means},
            "mark": {"type": "tick", "thickness": 3, "size": 22, "color": STRAIN},
            "encoding": {"y": down, "x": {"field": "value", **across}},
        },
        {
            "data": {"values": dots},
            "mark": {"type": "point", "filled": False, "size": 55, "color": STRAIN, "opacity": 1},
            "encoding": {"y": down, "x": {"field": "value", **across}},
        },
    ]
    return chart(
        f"Determinations of {', '.join(one.name for one in parties)}, and the zones about the limit of "
        f"{dispute.limit:g}{unit}; settled: {found.settled_by}.",
        {"width": WIDTH - 170, "height": {"step": _ROW}, "layer": layers},
    )


def _ends(found: DisputeFound) -> tuple[float, float]:
    dispute = found.dispute
    parties = [one for one in (dispute.first, dispute.second, dispute.third) if one is not None]
    places = [value for one in parties for value in one.values]
    places += [dispute.limit - found.proof, dispute.limit + found.proof]
    places += [end for one in found.outcomes for end in (one.lowest, one.highest) if end is not None]
    room = 0.15 * (max(places) - min(places))
    return min(places) - room, max(places) + room


def _bar(
    row: str, lowest: float | None, highest: float | None, words: str, tint: str, low: float, high: float
) -> dict[str, Any] | None:
    start, end = max(low, low if lowest is None else lowest), min(high, high if highest is None else highest)
    if end <= start:
        return None
    share = (end - start) / (high - low) * (WIDTH - 170)
    return {
        "row": row,
        "low": start,
        "high": end,
        "middle": (start + end) / 2.0,
        "words": words,
        "tint": tint,
        "room": share > 7.0 * len(words) + 4.0,
    }
