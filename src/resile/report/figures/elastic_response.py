"""Recovery against compliance with the elastic-response curve."""

from __future__ import annotations

from collections.abc import Sequence

from resile.records.creep_recovery import CreepRecoveryRun
from resile.report.figures.style import (
    INK,
    MUTED,
    SPRINGS_BACK,
    STRAIN,
    WIDTH,
    Spec,
    chart,
    number_axis,
    rows,
    text_mark,
)
from resile.report.numbers import shown

Point = tuple[str, float, float]
_DECIDING_STRESS_KPA = 3.2
_NAME_WIDTH, _NAME_HEIGHT = 0.2, 8.0
"""Room of a name, as a share of the axis of Jnr and in points of recovery [%]."""


def points_of(runs: Sequence[CreepRecoveryRun]) -> tuple[Point, ...]:
    """Give name, Jnr and recovery at 3.2 kPa of the runs that have both."""
    found = []
    for run in runs:
        level = run.level(_DECIDING_STRESS_KPA)
        if level is not None and level.jnr is not None and level.percent_recovery is not None:
            found.append((run.label or run.sample or "this run", level.jnr, level.percent_recovery))
    return tuple(found)


def figure_elastic_response(points: Sequence[Point], curve: Sequence[tuple[float, float]]) -> Spec:
    """Draw recovery at 3.2 kPa against Jnr at 3.2 kPa with the elastic-response curve.

    Parameters
    ----------
    points : sequence of (str, float, float)
        Name, Jnr [1/kPa] and recovery [%]; see `points_of`.
    curve : sequence of (float, float)
        Points (Jnr [1/kPa], recovery [%]) of the curve in drawing order, its step and its end included.

    Returns
    -------
    dict
        A Vega-Lite specification. A point carries its name, one alone its numbers too; names of points that
        lie close together stand above one another, in the order of the points.
    """
    end = max((jnr for jnr, _ in curve), default=2.0)
    right = max([end * 1.18, *(1.12 * jnr for _, jnr, _ in points)])
    low = min([0.0, *(1.1 * recovery for _, _, recovery in points)])
    x = {
        "field": "jnr",
        "type": "quantitative",
        "scale": {"domain": [0, right], "nice": False},
        "axis": number_axis("Jnr at 3.2 kPa (1/kPa)", tickCount=8),
    }
    y = {
        "field": "recovery",
        "type": "quantitative",
        "scale": {"domain": [low, 100], "nice": False},
        "axis": number_axis("recovery at 3.2 kPa (%)", tickCount=5),
    }
    layers = [*_curve_layers(curve, end, x, y), *_point_layers(points, right, x, y)]
    words = "; ".join(
        f"{name}: Jnr {shown(j, 'jnr_3.2')} 1/kPa, recovery {shown(r, 'percent_recovery_3.2')} %"
        for name, j, r in points
    )
    return chart(
        f"Recovery against Jnr at 3.2 kPa with the elastic-response curve. {words}.",
        {"width": WIDTH - 90, "height": 210, "layer": layers},
    )


def _curve_layers(curve: Sequence[tuple[float, float]], end: float, x: Spec, y: Spec) -> list[Spec]:
    if not curve:
        return []
    middle = min(curve, key=lambda point: abs(point[0] - 0.62 * end))
    return [
        {
            "data": rows(
                jnr=[jnr for jnr, _ in curve], recovery=[r for _, r in curve], step=list(range(len(curve)))
            ),
            "mark": {"type": "line", "color": SPRINGS_BACK, "strokeWidth": 2},
            "encoding": {"x": x, "y": y, "order": {"field": "step", "type": "quantitative"}},
        },
        {
            "data": rows(jnr=[end]),
            "mark": {"type": "rule", "color": MUTED, "strokeDash": [2, 3]},
            "encoding": {"x": x},
        },
        {
            "data": rows(jnr=[end], recovery=[97.0]),
            "mark": text_mark(
                f"nothing asked above {end:g}", align="right", baseline="top", dx=-5, color=MUTED
            ),
            "encoding": {"x": x, "y": y},
        },
        {
            "data": rows(jnr=[middle[0]], recovery=[middle[1]]),
            "mark": text_mark("least recovery of the curve", align="left", dy=-13, dx=2, color=SPRINGS_BACK),
            "encoding": {"x": x, "y": y},
        },
    ]


def _point_layers(points: Sequence[Point], right: float, x: Spec, y: Spec) -> list[Spec]:
    layers: list[Spec] = []
    for place, (name, jnr, recovery) in enumerate(points):
        aside = {"align": "right", "dx": -9} if jnr > 0.6 * right else {"align": "left", "dx": 9}
        numbers = f": Jnr {shown(jnr, 'jnr_3.2')}, recovery {shown(recovery, 'percent_recovery_3.2')} %"
        label = name if len(points) > 1 else f"{name}{numbers}"
        below = sum(
            abs(other - jnr) < _NAME_WIDTH * right and abs(height - recovery) < _NAME_HEIGHT
            for _, other, height in points[:place]
        )
        own = rows(jnr=[jnr], recovery=[recovery])
        layers += [
            {
                "data": own,
                "mark": {
                    "type": "point",
                    "shape": "diamond",
                    "filled": True,
                    "size": 90,
                    "color": STRAIN,
                    "opacity": 1,
                },
                "encoding": {"x": x, "y": y},
            },
            {
                "data": own,
                "mark": text_mark(
                    label, baseline="bottom", dy=-3 - 14 * below, color=INK, fontWeight=600, **aside
                ),
                "encoding": {"x": x, "y": y},
            },
        ]
    return layers
