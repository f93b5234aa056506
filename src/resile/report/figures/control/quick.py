"""Quick tests: each lot as the others predict it, against what was found."""

from __future__ import annotations

from resile.records.control.surrogate import QuickTests
from resile.report.figures.control.scales import axis_ends, property_axis, property_title
from resile.report.figures.style import (
    HAIRLINE,
    INK,
    MUTED,
    SPRINGS_BACK,
    STAYS_BEHIND,
    STRESS,
    Spec,
    chart,
    rows,
    text_mark,
)
from resile.report.numbers import fixed

_SIDE = 340
_KINDS = (
    ("lot of the fit, inside the others", "circle", SPRINGS_BACK, True),
    ("lot of the fit, at their edge or outside", "triangle-up", STRESS, False),
    ("tested after the fit", "square", INK, True),
    ("tested after the fit, outside", "diamond", STAYS_BEHIND, False),
)


def figure_quick_tests(tests: QuickTests) -> Spec:
    """Draw what was found against what the other lots predict.

    Parameters
    ----------
    tests : QuickTests
        With lots left out and hints.

    Returns
    -------
    dict
        Predicted across, found up, the line of both alike, the limit both ways; kinds of lots by mark,
        colour and word.
    """
    watched = tests.slow.watched
    log = watched.scale == "log"
    points: list[tuple[str, float, float, str]] = []
    for one in tests.left_out:
        predicted, found = (10.0**value if log else value for value in (one.predicted, one.observed))
        points.append((one.lot, predicted, found, _KINDS[0 if one.place == "inside" else 1][0]))
    for hint in tests.hints:
        if hint.slow is not None:
            kind = _KINDS[3 if hint.place == "outside" else 2][0]
            points.append((hint.lot, hint.value, hint.slow, kind))
    seen = [value for one in points for value in (one[1], one[2])]
    within = [] if watched.limit is None else [watched.limit]
    ends = axis_ends([*seen, *_near(within, seen)], watched)
    x = property_axis(
        "predicted", watched, ends, title=f"predicted from the other lots: {property_title(watched)}"
    )
    y = property_axis("found", watched, ends, title=f"found: {property_title(watched)}")
    alike = rows(predicted=list(ends), found=list(ends))
    layers: list[Spec] = [
        {
            "data": alike,
            "mark": {"type": "line", "color": MUTED, "strokeWidth": 1},
            "encoding": {"x": x, "y": y},
        }
    ]
    for limit in _near(within, seen):
        layers += _limit(limit, ends, x, y)
    layers.append(_points(points, x, y))
    return chart(quick_tests_in_words(tests), {"width": _SIDE, "height": _SIDE, "layer": layers})


def quick_tests_in_words(tests: QuickTests) -> str:
    """Say what the picture shows.

    Parameters
    ----------
    tests : QuickTests
        As drawn.
    """
    error = (
        f"within a factor of {fixed(tests.error_factor, 2)} (one standard deviation)"
        if tests.error_factor is not None
        else f"with a standard deviation of {fixed(tests.standard, 2)} {tests.slow.watched.unit}"
    )
    return (
        f"{len(tests.lots)} lots of the fit, each predicted from the others {error}; "
        f"{fixed(100.0 * max(tests.r_squared_left_out, 0.0), 0)} % of the scatter explained on lots left out."
    )


def _near(limits: list[float], seen: list[float]) -> list[float]:
    low, high = min(seen), max(seen)
    return [one for one in limits if low - (high - low) <= one <= high + (high - low) and one > 0.0]


def _limit(limit: float, ends: tuple[float, float], x: Spec, y: Spec) -> list[Spec]:
    rule = {"type": "line", "color": STAYS_BEHIND, "strokeDash": [6, 3], "strokeWidth": 1.3}
    across = rows(predicted=list(ends), found=[limit, limit])
    up = rows(predicted=[limit, limit], found=list(ends))
    words = text_mark("limit", align="left", baseline="bottom", dx=3, dy=-2, color=STAYS_BEHIND)
    place = rows(predicted=[ends[0]], found=[limit])
    return [
        {"data": across, "mark": rule, "encoding": {"x": x, "y": y}},
        {"data": up, "mark": rule, "encoding": {"x": x, "y": y}},
        {"data": place, "mark": words, "encoding": {"x": x, "y": y}},
    ]


def _points(points: list[tuple[str, float, float, str]], x: Spec, y: Spec) -> Spec:
    kinds = [one for one in _KINDS if any(point[3] == one[0] for point in points)]
    names = [one[0] for one in kinds]
    by = {"field": "kind", "type": "nominal"}
    legend = {
        "title": None,
        "orient": "bottom",
        "columns": 1,
        "labelFontSize": 12,
        "labelColor": INK,
        "labelLimit": 0,
    }
    data = rows(
        lot=[one[0] for one in points],
        predicted=[one[1] for one in points],
        found=[one[2] for one in points],
        kind=[one[3] for one in points],
    )
    return {
        "data": data,
        "mark": {
            "type": "point",
            "filled": True,
            "size": 60,
            "opacity": 0.95,
            "stroke": HAIRLINE,
            "strokeWidth": 0.5,
        },
        "encoding": {
            "x": x,
            "y": y,
            "shape": {**by, "scale": {"domain": names, "range": [one[1] for one in kinds]}, "legend": legend},
            "color": {**by, "scale": {"domain": names, "range": [one[2] for one in kinds]}, "legend": legend},
            "tooltip": [{"field": "lot", "type": "nominal"}],
        },
    }
