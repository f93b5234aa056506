"""How each laboratory of a study stands to the others: its mean, and its scatter."""

from __future__ import annotations

from typing import Any

from resile.records.laboratories import InterlaboratoryStudy, MaterialStatistics
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
)

_A_ROW = 5
_STEP = 20


def figure_consistency(study: InterlaboratoryStudy, *, what: str) -> Spec:
    """Draw the consistency of the laboratories, one panel a material.

    Parameters
    ----------
    study : InterlaboratoryStudy
        Worked out.
    what : str
        ``h`` for the means, ``k`` for the scatter.

    Returns
    -------
    dict
        Laboratories down, the statistic across as a stem from its neutral value; dashed marks are critical
        values; beyond them a filled diamond and the number, else a circle.
    """
    drawn = [one for one in study.materials if _values(one, what)]
    panels = [_panel(one, what, study, named=at % _A_ROW == 0) for at, one in enumerate(drawn)]
    if not panels:
        return empty_chart(f"No laboratory has a value of {what}.", width=WIDTH)
    beyond = [
        f"laboratory {cell.laboratory} on {one.material}"
        for one in study.materials
        for cell in one.cells
        if (cell.h_beyond if what == "h" else cell.k_beyond)
    ]
    name = "mean against the others" if what == "h" else "scatter against all together"
    said = (
        f"beyond its critical value: {', '.join(beyond)}" if beyond else "none is beyond its critical value"
    )
    grouped = [{"hconcat": panels[at : at + _A_ROW]} for at in range(0, len(panels), _A_ROW)]
    return chart(f"Consistency {what} of each laboratory ({name}); {said}.", {"vconcat": grouped})


def _values(one: MaterialStatistics, what: str) -> list[dict[str, Any]]:
    found = []
    for cell in one.cells:
        value = cell.h if what == "h" else cell.k
        limit = one.h_critical if what == "h" else cell.k_critical
        if value is not None:
            found.append(
                {
                    "laboratory": cell.laboratory,
                    "value": round(value, 4),
                    "critical": limit,
                    "below": None if limit is None or what == "k" else -limit,
                    "neutral": 0.0 if what == "h" else 1.0,
                    "state": "beyond" if (cell.h_beyond if what == "h" else cell.k_beyond) else "within",
                }
            )
    return found


def _panel(one: MaterialStatistics, what: str, study: InterlaboratoryStudy, *, named: bool) -> Spec:
    points = _values(one, what)
    many = min(len(study.materials), _A_ROW)
    top = max(max(abs(p["value"]), p["critical"] or 0.0) for p in points) * 1.25
    domain = [-top, top] if what == "h" else [0.0, top]
    down: Spec = {
        "field": "laboratory",
        "type": "nominal",
        # Tested or not, a laboratory has its row in every panel: names stand beside the first alone.
        "scale": {"domain": list(study.table.laboratories)},
        "axis": {"title": None, "ticks": False, "domain": False, "labelLimit": 110, "labels": named},
    }
    axis = number_axis(f"{what}, {one.material}", grid=False, tickCount=4, titleLimit=120)
    across: Spec = {"type": "quantitative", "scale": {"domain": domain, "nice": False}, "axis": axis}
    state: Spec = {"field": "state", "type": "nominal", "legend": None}
    names = ["within", "beyond"]
    limits = [
        {
            "mark": {"type": "tick", "thickness": 1.5, "size": _STEP, "color": MUTED},
            "encoding": {"y": down, "x": {"field": field, **across}},
        }
        for field in ("critical", "below")
    ]
    return {
        "width": (WIDTH - 120) / many - 14,
        "height": {"step": _STEP},
        "data": {"values": points},
        "layer": [
            {
                "mark": {"type": "rule", "color": MUTED},
                "encoding": {"x": {"datum": points[0]["neutral"], **across}},
            },
            *limits,
            {
                "mark": {"type": "rule", "strokeWidth": 2},
                "encoding": {
                    "y": down,
                    "x": {"field": "neutral", **across},
                    "x2": {"field": "value"},
                    "color": {**state, "scale": {"domain": names, "range": [SPRINGS_BACK, STAYS_BEHIND]}},
                },
            },
            {
                "mark": {"type": "point", "filled": True, "size": 60, "opacity": 1},
                "encoding": {
                    "y": down,
                    "x": {"field": "value", **across},
                    "shape": {**state, "scale": {"domain": names, "range": ["circle", "diamond"]}},
                    "color": {**state, "scale": {"domain": names, "range": [SPRINGS_BACK, STAYS_BEHIND]}},
                },
            },
            {
                "transform": [{"filter": "datum.state == 'beyond'"}],
                "mark": {"type": "text", "dy": -9, "color": INK, "fontSize": 11},
                "encoding": {
                    "y": down,
                    "x": {"field": "value", **across},
                    "text": {"field": "value", "format": ".2f"},
                },
            },
        ],
    }
