"""A control chart: points in order of time, limits, signals by shape and number, changes of level.

Filled circles are lots; a diamond with a number raises a signal, and the number is that of the list beneath;
a hollow circle is left out of the set-up. The set-up lies on a tinted ground. The limit of the specification,
where it is known, is a line of its own with its name: control limits say nothing about conformity.
"""

from __future__ import annotations

from collections.abc import Sequence

from resile.records.control.chart import SETTING_UP, ChangePoint, ControlChart
from resile.report.figures.control.chart_axes import drawn_limit, lots_encoding, value_axis
from resile.report.figures.control.chart_levels import (
    control_limits,
    grounds,
    levels_found,
    sigma_lines,
    specification_limit,
)
from resile.report.figures.control.chart_points import lots_drawn
from resile.report.figures.control.scales import limit_words
from resile.report.figures.style import WIDTH, Spec, chart

_WIDTH, _HEIGHT, _BESIDE_HEIGHT = WIDTH - 100, 230, 90
_LIMIT_ROOM, _FAR_LIMIT_ROOM = 45, 75


def figure_control_chart(
    control: ControlChart,
    *,
    changes: Sequence[ChangePoint] = (),
    looked_into: str = "",
    height: int = _HEIGHT,
) -> Spec:
    """Draw a control chart, with the chart of the scatter below it.

    Parameters
    ----------
    control : ControlChart
        Points, limits, signals.
    changes : sequence of ChangePoint, optional
        Changes of level that are drawn over it.
    looked_into : str, optional
        Lot up to which somebody has looked into the signals; those are hollow diamonds.
    height : int, optional
        Of the panel of the values [px].

    Returns
    -------
    dict
        Vega-Lite specification. Jnr stands on a logarithmic axis in 1/kPa; sums and joint distances have no
        unit.
    """
    upper = _panel(control, changes, height, looked_into)
    if control.beside is None or not control.beside.points:
        return chart(_told(control, changes), upper)
    lower = _panel(control.beside, changes, _BESIDE_HEIGHT, looked_into, whole=control)
    return chart(_told(control, changes), {"vconcat": [upper, lower], "spacing": 10})


def _panel(
    control: ControlChart,
    changes: Sequence[ChangePoint],
    height: int,
    looked_into: str,
    *,
    whole: ControlChart | None = None,
) -> Spec:
    lots = (whole or control).points
    order = {point.label: place for place, point in enumerate(lots, 1)}
    x = lots_encoding(lots, quiet=control.beside is not None)
    axis = value_axis(control, changes, height)
    y = axis.encoding
    layers = [
        *grounds(whole or control, order, x, named=whole is None),
        *sigma_lines(control, y),
        *control_limits(control, order, x, axis),
        *specification_limit(control, axis),
        *levels_found(control, changes, x, y),
        *lots_drawn(control, order, x, y, looked_into=looked_into),
    ]
    return {"width": _WIDTH - _room_for_limit(whole or control, changes), "height": height, "layer": layers}


def _room_for_limit(control: ControlChart, changes: Sequence[ChangePoint]) -> int:
    """Give how much narrower the panels are for the words of a limit at their right edge [px]."""
    limit = drawn_limit(control)
    if limit is None:
        return 0
    return _LIMIT_ROOM if value_axis(control, changes, _HEIGHT).shows(limit) else _FAR_LIMIT_ROOM


def _told(control: ControlChart, changes: Sequence[ChangePoint]) -> str:
    """Say what a person sees who cannot see the picture."""
    points = control.points
    told = (
        f"Control chart of {control.title}: {len(points)} lots from {points[0].when} to {points[-1].when}, "
        f"{sum(p.phase == SETTING_UP for p in points)} of them in the set-up, "
        f"{sum(bool(p.excluded) for p in points)} left out. "
    )
    count = len(control.signals)
    told += f"{count} {'signal' if count == 1 else 'signals'}." if count else "No signal."
    if drawn_limit(control) is not None:
        told += f" The limit of the specification is {limit_words(control.property)}."
    if changes:
        told += " Changes of level about " + ", ".join(change.when for change in changes) + "."
    return told
