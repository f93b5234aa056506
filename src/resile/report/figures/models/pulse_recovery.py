"""The picture of what is late in coming back after a passing wheel, and when the next one comes."""

from __future__ import annotations

from resile.records.models.pulse_train import TrafficComparison
from resile.report.figures.models.traffic import index_digits
from resile.report.figures.style import (
    INK,
    MUTED,
    SPRINGS_BACK,
    STAYS_BEHIND,
    STRAIN,
    STRESS,
    Spec,
    chart,
    empty_chart,
    number_axis,
    rows,
    text_mark,
)

_WIDTH, _HEIGHT = 520, 210
_COLOURS = (STRAIN, STAYS_BEHIND, SPRINGS_BACK, STRESS, MUTED, INK)
_DASHES = ([1, 0], [7, 3], [2, 2], [9, 3, 2, 3], [4, 2], [12, 4])
MOST_CURVES = len(_COLOURS)
"""More in one picture cannot be told apart; the table holds the rest."""
_TIMES_S = (0.01, 0.1, 1.0, 10.0, 100.0, 1000.0)


def figure_pulse_recovery(comparison: TrafficComparison) -> Spec:
    """Draw how the delayed strain of one pulse comes back, against time to the next axle.

    Parameters
    ----------
    comparison : TrafficComparison
        With binders followed by the models of their records.

    Returns
    -------
    dict
        A curve a binder, as so many times what the pulse leaves for good; time on a logarithmic scale; the
        next axle as a dashed line.
    """
    drawn = [(one.name, one.recovery) for one in comparison.binders if one.recovery is not None][:MOST_CURVES]
    if not drawn:
        return empty_chart("No binder is followed by a model.", width=_WIDTH)
    names = [name for name, _ in drawn]
    rest = comparison.train.rest_s
    points = [
        (name, time, value)
        for name, found in drawn
        for time, value in zip(found.after_s, found.delayed_per_flow, strict=True)
    ]
    first, last = _TIMES_S[0], _TIMES_S[-1]
    top = max(1.1 * max(value for *_, value in points), 0.1)
    x = {
        "field": "time",
        "type": "quantitative",
        "scale": {"type": "log", "domain": [first, last], "nice": False},
        "axis": number_axis("time after the wheel (s)", values=list(_TIMES_S), grid=False),
    }
    y = {
        "field": "value",
        "type": "quantitative",
        "scale": {"domain": [0.0, top], "nice": True},
        "axis": number_axis("delayed strain (flow of the pulse = 1)", tickCount=5),
    }
    few = len(names)
    key = {"orient": "top", "title": None, "labelColor": INK, "labelLimit": 200, "symbolSize": 300}
    colour = {
        "field": "binder",
        "type": "nominal",
        "scale": {"domain": names, "range": list(_COLOURS[:few])},
        "legend": {**key, "columns": 3, "symbolType": "stroke", "symbolStrokeWidth": 2},
    }
    dash = {**colour, "scale": {"domain": names, "range": list(_DASHES[:few])}}
    layers: list[Spec] = [
        {
            "data": rows(
                binder=[name for name, *_ in points],
                time=[time for _, time, _ in points],
                value=[value for *_, value in points],
            ),
            "mark": {"type": "line", "strokeWidth": 1.8},
            "encoding": {"x": x, "y": y, "color": colour, "strokeDash": dash},
        }
    ]
    if first <= rest <= last:
        side = -5 if rest > last / 20.0 else 5
        align = "right" if side < 0 else "left"
        words = text_mark("next axle", color=MUTED, align=align, dx=side, baseline="top")
        at_rest = {"data": rows(time=[rest], value=[top])}
        layers += [
            {**at_rest, "mark": {"type": "rule", "color": MUTED, "strokeDash": [4, 3]}, "encoding": {"x": x}},
            {**at_rest, "mark": words, "encoding": {"x": x, "y": y}},
        ]
    told = "; ".join(
        f"{name} from {index_digits(found.delayed_at_once)} at once, {found.still_percent:.0f} % of it "
        "there when the next axle comes"
        for name, found in drawn
    )
    return chart(
        f"Delayed strain after one pulse, the flow of the pulse being 1: {told}.",
        {"width": _WIDTH, "height": _HEIGHT, "layer": layers},
    )
