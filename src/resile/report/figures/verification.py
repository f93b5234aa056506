"""What an instrument showed beside what it should have shown, over the years."""

from __future__ import annotations

from collections.abc import Sequence

from resile.records.register import Verification
from resile.report.figures.style import (
    INK,
    SPRINGS_BACK,
    SPRINGS_BACK_TINT,
    STAYS_BEHIND,
    WIDTH,
    Spec,
    chart,
    empty_chart,
    number_axis,
)

_HEIGHT = 150
_UPRIGHT = 6  # as many days can be read level beside each other


def figure_verifications(verifications: Sequence[Verification]) -> Spec:
    """Draw measured minus reference beside the tolerance, one mark a verification.

    Parameters
    ----------
    verifications : sequence of Verification
        Of one thing and in one unit, the oldest first; those without numbers are left out.

    Returns
    -------
    dict
        Days across, differences up; a band for the tolerance; passed and failed by mark, colour and word.
    """
    told = [one for one in verifications if one.measured is not None and one.reference is not None]
    if not told:
        return empty_chart("No reading is kept with its reference.", width=WIDTH)
    unit = told[-1].unit
    points = [
        {
            "day": one.done[:10],
            "difference": round((one.measured or 0.0) - (one.reference or 0.0), 9),
            "outcome": "passed" if one.passed else "failed",
            "low": None if one.tolerance is None else -one.tolerance,
            "high": one.tolerance,
        }
        for one in told
    ]
    across: Spec = {
        "field": "day",
        "type": "ordinal",
        "scale": {"paddingInner": 0, "paddingOuter": 0},
        "axis": {"title": None, "labelAngle": 0 if len(points) <= _UPRIGHT else -40, "ticks": False},
    }
    title = f"measured − reference, {unit}" if unit else "measured − reference"
    outcomes = ["passed", "failed"]
    failed = sum(not one.passed for one in told)
    return chart(
        f"{told[-1].what}: {len(told)} verifications, {failed} failed; the last one lies "
        f"{points[-1]['difference']:g} {unit} from its reference on {points[-1]['day']}.",
        {
            "width": WIDTH - 90,
            "height": _HEIGHT,
            "data": {"values": points},
            "layer": [
                {
                    "mark": {"type": "bar", "color": SPRINGS_BACK_TINT, "width": {"band": 1.0}},
                    "encoding": {
                        "x": across,
                        "y": {"field": "low", "type": "quantitative", "axis": number_axis(title)},
                        "y2": {"field": "high"},
                    },
                },
                {
                    "mark": {"type": "point", "filled": True, "size": 90, "opacity": 1},
                    "encoding": {
                        "x": across,
                        "y": {"field": "difference", "type": "quantitative", "axis": number_axis(title)},
                        "shape": _by(outcomes, ["circle", "diamond"], "outcome"),
                        "color": _by(outcomes, [SPRINGS_BACK, STAYS_BEHIND], "outcome"),
                    },
                },
                {"mark": {"type": "rule", "color": INK}, "encoding": {"y": {"datum": 0}}},
            ],
        },
    )


def _by(domain: list[str], values: list[str], field: str) -> Spec:
    return {
        "field": field,
        "type": "nominal",
        "scale": {"domain": domain, "range": values},
        "legend": {"title": None, "orient": "bottom", "labelFontSize": 12, "labelColor": INK},
    }
