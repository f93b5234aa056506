"""The severity of sampling over the lots, and what became of them."""

from __future__ import annotations

from resile.records.control.sampling import SamplingState
from resile.report.figures.style import (
    HAIRLINE,
    INK,
    MUTED,
    PAPER,
    SPRINGS_BACK,
    STAYS_BEHIND,
    STRESS,
    WIDTH,
    Spec,
    chart,
    empty_chart,
)

_HEIGHT = 120
_NEWEST = 60
_LEVELS = ("tightened", "normal", "relaxed")
_WORDS = {"accepted": "accepted", "not accepted": "not accepted", "open": "sampled, open", "": "not sampled"}
_MARKS = (
    ("accepted", "circle", SPRINGS_BACK),
    ("not accepted", "diamond", STAYS_BEHIND),
    ("sampled, open", "triangle-up", STRESS),
    ("not sampled", "cross", MUTED),
)


def figure_sampling(state: SamplingState) -> Spec:
    """Draw the newest lots at their severity.

    Parameters
    ----------
    state : SamplingState
        Lots with their severities.

    Returns
    -------
    dict
        Lots across, severities up, outcomes by mark, colour and word; extra samples stand with their lot and
        are not drawn.
    """
    made = [
        (lot, severity)
        for lot, severity in zip(state.lots, state.lot_severities, strict=True)
        if not lot.extra and severity in _LEVELS
    ][-_NEWEST:]
    if not made:
        return empty_chart("No lot has been made under this plan.", width=WIDTH)
    kept = [one for one in _LEVELS if any(level.severity == one for level in state.plan.levels)]
    values = [
        {"place": at, "lot": lot.lot, "severity": severity, "outcome": _WORDS[lot.outcome]}
        for at, (lot, severity) in enumerate(made)
    ]
    names = [one for one in _MARKS if any(value["outcome"] == one[0] for value in values)]
    step = max(1, len(values) // 20)
    x = {
        "field": "lot",
        "type": "ordinal",
        "sort": None,
        "axis": {
            "title": "lot",
            "labelAngle": -40,
            "values": [value["lot"] for value in values[::step]],
        },
    }
    y = {
        "field": "severity",
        "type": "ordinal",
        "sort": kept,
        "scale": {"domain": kept},
        "axis": {"title": None, "grid": True},
    }
    by = {"field": "outcome", "type": "nominal"}
    legend = {"title": None, "orient": "top", "labelFontSize": 12, "labelColor": INK}
    domain = [one[0] for one in names]
    return chart(
        sampling_in_words(state),
        {
            "width": WIDTH - 90,
            "height": _HEIGHT,
            "data": {"values": values},
            "layer": [
                {
                    "mark": {
                        "type": "line",
                        "interpolate": "step-after",
                        "color": HAIRLINE,
                        "strokeWidth": 2,
                    },
                    "encoding": {"x": x, "y": y, "order": {"field": "place", "type": "quantitative"}},
                },
                {
                    "mark": {
                        "type": "point",
                        "filled": True,
                        "size": 80,
                        "opacity": 1,
                        "stroke": PAPER,
                        "strokeWidth": 0.5,
                    },
                    "encoding": {
                        "x": x,
                        "y": y,
                        "shape": {
                            **by,
                            "scale": {"domain": domain, "range": [one[1] for one in names]},
                            "legend": legend,
                        },
                        "color": {
                            **by,
                            "scale": {"domain": domain, "range": [one[2] for one in names]},
                            "legend": legend,
                        },
                    },
                },
            ],
        },
    )


def sampling_in_words(state: SamplingState) -> str:
    """Say what the picture shows.

    Parameters
    ----------
    state : SamplingState
        As drawn.
    """
    failed = [one.lot for one in state.lots if one.outcome == "not accepted" and not one.extra]
    words = f"Sampling is {severity_words(state.severity)}. "
    return words + (f"Not accepted: {', '.join(failed)}." if failed else "No lot failed.")


def severity_words(severity: str) -> str:
    """Give a severity in words."""
    return "stopped" if severity == "stop" else severity
