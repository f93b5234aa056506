"""What becomes of loads, and what it costs, by the mean that is aimed at."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from resile.records.control.target import CostOfMargin, TargetStatement
from resile.report.figures.control.scales import (
    axis_ends,
    limit_words,
    property_axis,
    property_title,
    property_words,
)
from resile.report.figures.style import (
    INK,
    SPRINGS_BACK,
    STAYS_BEHIND,
    STRAIN,
    STRESS,
    WIDTH,
    Spec,
    chart,
    number_axis,
    rows,
    text_mark,
)
from resile.report.numbers import fixed, shown, shown_probability

Kind = tuple[str, str, str, list[int]]
"""Words of a line, the field it shows, colour, dashes."""

_UPPER, _LOWER = 170, 150
_SHOWN_FROM = 0.02  # share of loads that do both, from which means are worth showing
_SHARES: tuple[Kind, ...] = (
    ("conform", "conforms", STRAIN, [1, 0]),
    ("pass the test", "passes", STRESS, [6, 3]),
    ("do both", "both", SPRINGS_BACK, [2, 2]),
)
_COSTS: tuple[Kind, ...] = (
    ("margin given away", "given_away", STRAIN, [6, 3]),
    ("loads that fail", "failures", STAYS_BEHIND, [2, 2]),
    ("claims", "claims", STRESS, [8, 2, 2, 2]),
    ("together", "total", INK, [1, 0]),
)


def figure_target(statement: TargetStatement) -> Spec:
    """Draw the shares of loads, and the costs where prices were given, against the mean.

    Parameters
    ----------
    statement : TargetStatement
        With its curve.

    Returns
    -------
    dict
        Above the shares of loads that conform, pass and do both; below costs a tonne; the limit dashed, the
        target and the mean of least cost marked.
    """
    back = _back(statement)
    curve = [one for one in statement.curve if one.outcomes.both >= _SHOWN_FROM] or list(statement.curve)
    last = next((at for at, one in enumerate(curve) if one.outcomes.both > 0.99995), len(curve) - 1)
    curve = curve[: last + 1]
    watched = statement.watched
    assert watched.limit is not None
    ends = axis_ends([*(back(one.mean) for one in curve), watched.limit, statement.target], watched)
    x = property_axis("mean", watched, ends, title=f"mean aimed at: {property_title(watched)}")
    panels = [_shares(statement, curve, x)]
    if statement.prices is not None:
        panels.append(_costs(statement, curve, x))
    return chart(
        target_in_words(statement),
        {
            "vconcat": panels,
            "resolve": {
                "scale": {"color": "independent", "strokeDash": "independent"},
                "legend": {"color": "independent", "strokeDash": "independent"},
            },
        },
    )


def target_in_words(statement: TargetStatement) -> str:
    """Say what the picture shows.

    Parameters
    ----------
    statement : TargetStatement
        As drawn.
    """
    watched = statement.watched
    words = (
        f"{property_words(watched)}, limit {limit_words(watched)}: with a mean of "
        f"{shown(statement.target, watched.quantity)} {watched.unit} "
        f"{shown_probability(statement.outcomes.conforms)} "
        f"of loads conform and {shown_probability(statement.outcomes.passes)} pass their test."
    )
    if statement.cheapest is not None:
        best = shown(_back(statement)(statement.cheapest.mean), watched.quantity)
        words += f" A mean of {best} costs least, {fixed(statement.cheapest.total, 2)} a tonne."
    return words


def _back(statement: TargetStatement) -> Callable[[float], float]:
    return _power if statement.watched.scale == "log" else float


def _power(one: float) -> float:
    return float(10.0**one)


def _shares(statement: TargetStatement, curve: list[CostOfMargin], x: Spec) -> Spec:
    back = _back(statement)
    y = {
        "field": "share",
        "type": "quantitative",
        "scale": {"domain": [0, 100], "nice": False},
        "axis": number_axis("loads (%)", values=[0, 25, 50, 75, 100]),
    }
    values = [
        {"mean": back(one.mean), "share": 100.0 * getattr(one.outcomes, field), "what": words}
        for words, field, _, _ in _SHARES
        for one in curve
    ]
    layers = [_lines(values, x, y, _SHARES), *_marks(statement, x, 100.0)]
    data = rows(mean=[statement.target], share=[100.0 * getattr(statement.outcomes, statement.aim)])
    layers.append(_point(data, x, y, "target", below=True))
    return {"width": WIDTH - 70, "height": _UPPER, "layer": layers}


def _costs(statement: TargetStatement, curve: list[CostOfMargin], x: Spec) -> Spec:
    back = _back(statement)
    assert statement.cost is not None
    kept = [one for one in _COSTS if one[1] != "claims" or (statement.prices and statement.prices.per_claim)]
    top = 2.2 * max(statement.cost.total, statement.cheapest.total if statement.cheapest else 0.0, 1e-9)
    y = {
        "field": "cost",
        "type": "quantitative",
        "scale": {"domain": [min(0.0, -0.15 * top), top], "nice": False, "clamp": True},
        "axis": number_axis("cost a tonne", tickCount=5),
    }
    values = [
        {"mean": back(one.mean), "cost": getattr(one, field), "what": words}
        for words, field, _, _ in kept
        for one in curve
        if min(0.0, -0.15 * top) <= getattr(one, field) <= top
    ]
    layers = [_lines(values, x, y, kept), *_marks(statement, x, top, named=False)]
    if statement.cheapest is not None:
        data = rows(mean=[back(statement.cheapest.mean)], cost=[statement.cheapest.total])
        layers.append(_point(data, x, y, "costs least", below=False))
    return {"width": WIDTH - 70, "height": _LOWER, "layer": layers}


def _lines(values: list[Spec], x: Spec, y: Spec, rows_of: Sequence[Kind]) -> Spec:
    names = [one[0] for one in rows_of]
    legend = {"title": None, "orient": "top", "labelFontSize": 12, "labelColor": INK, "symbolSize": 260}
    by = {"field": "what", "type": "nominal", "sort": names}
    return {
        "data": {"values": values},
        "mark": {"type": "line", "strokeWidth": 1.8, "clip": True},
        "encoding": {
            "x": x,
            "y": y,
            "color": {
                **by,
                "scale": {"domain": names, "range": [one[2] for one in rows_of]},
                "legend": legend,
            },
            "strokeDash": {
                **by,
                "scale": {"domain": names, "range": [one[3] for one in rows_of]},
                "legend": legend,
            },
            "order": {"field": "mean", "type": "quantitative"},
        },
    }


def _marks(statement: TargetStatement, x: Spec, top: float, *, named: bool = True) -> list[Spec]:
    watched = statement.watched
    data = rows(mean=[watched.limit])
    rule = {"type": "rule", "color": STAYS_BEHIND, "strokeDash": [6, 3], "strokeWidth": 1.4}
    layers: list[Spec] = [{"data": data, "mark": rule, "encoding": {"x": x}}]
    if named:
        inward = watched.limit_is == "at_most"
        words = text_mark(
            "limit",
            align="left" if inward else "right",
            baseline="top",
            dx=5 if inward else -5,
            color=STAYS_BEHIND,
        )
        layers.append({"data": data, "mark": words, "encoding": {"x": x, "y": {"value": 2}}})
    return layers


def _point(data: Spec, x: Spec, y: Spec, words: str, *, below: bool) -> Spec:
    mark = {"type": "point", "filled": True, "size": 110, "color": INK, "opacity": 1}
    mark["shape"] = "circle" if below else "diamond"
    label = text_mark(words, dy=16 if below else -14, color=INK, fontWeight=600)
    return {
        "data": data,
        "layer": [
            {"mark": mark, "encoding": {"x": x, "y": y}},
            {"mark": label, "encoding": {"x": x, "y": y}},
        ],
    }
