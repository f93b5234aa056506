"""Lots on a control chart: filled, hollow where left out, a numbered diamond where they raise a signal."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from resile.records.control.chart import ControlChart, ControlPoint
from resile.report.figures.control.chart_axes import SCATTER_TITLES, drawn_value
from resile.report.figures.style import MUTED, PAPER, STAYS_BEHIND, STRAIN, Spec, rows

_SIZE, _MANY = 34.0, 80
"""Area of a dot [px²], and lots from which on dots are drawn smaller."""


def lots_drawn(
    control: ControlChart, order: dict[str, int], x: Spec, y: Spec, *, looked_into: str = ""
) -> list[Spec]:
    """Draw the lots of a chart.

    Parameters
    ----------
    control : ControlChart
        The chart.
    order : dict of str to int
        Place of each lot.
    x, y : dict
        Axes.
    looked_into : str
        Lot up to which signals were looked into: those are hollow diamonds; empty for none.
    """
    numbers: dict[int, list[str]] = {}
    for number, signal in enumerate(control.signals, 1):
        numbers.setdefault(signal.index, []).append(signal_mark(control, number))
    counted = [(i, p) for i, p in enumerate(control.points) if not p.excluded]
    plain = [p for i, p in counted if i not in numbers]
    hollow = [p for p in control.points if p.excluded]

    def data(points: Sequence[ControlPoint], **more: list[Any]) -> Spec:
        return rows(
            place=[order[p.label] for p in points],
            value=[drawn_value(control, p.plotted) for p in points],
            **more,
        )

    size = _SIZE * min(1.0, max(_MANY / len(order), 0.4))
    at = {"x": x, "y": y}
    layers: list[Spec] = [
        {
            "data": data([p for _, p in counted], stretch=_stretches(control, order)),
            "mark": {"type": "line", "color": STRAIN, "strokeWidth": 1.0},
            "encoding": {**at, "detail": {"field": "stretch"}},
        },
        {
            "data": data(plain),
            "mark": {"type": "point", "filled": True, "color": STRAIN, "size": size, "opacity": 1},
            "encoding": at,
        },
        {
            "data": data(hollow),
            "mark": {
                "type": "point",
                "filled": False,
                "color": MUTED,
                "size": 1.8 * size,
                "strokeWidth": 1.3,
            },
            "encoding": at,
        },
    ]
    return [*layers, *_signals_drawn(control, numbers, order, x, y, looked_into)]


def _signals_drawn(
    control: ControlChart, numbers: dict[int, list[str]], order: dict[str, int], x: Spec, y: Spec, until: str
) -> list[Spec]:
    """Draw a diamond for a signal, filled while nobody has looked into it, with its number above it."""
    if not numbers:
        return []
    signalled = sorted(numbers)
    points = [control.points[place] for place in signalled]
    answered = order.get(until, 0)
    table = rows(
        place=[order[p.label] for p in points],
        value=[drawn_value(control, p.plotted) for p in points],
        number=[", ".join(numbers[place]) for place in signalled],
        looked_into=[order[p.label] <= answered for p in points],
    )
    diamond: Spec = {"type": "point", "shape": "diamond", "color": STAYS_BEHIND, "size": 110, "opacity": 1}
    hollow: Spec = {"filled": False, "fill": PAPER, "strokeWidth": 1.6}
    number: Spec = {"type": "text", "dy": -11, "color": STAYS_BEHIND, "fontWeight": 600}
    at = {"x": x, "y": y}
    layers: list[Spec] = [
        {
            "data": table,
            "transform": [{"filter": f"datum.looked_into == {word}"}],
            "mark": {**diamond, **look},
            "encoding": at,
        }
        for word, look in (("true", hollow), ("false", {"filled": True}))
    ]
    return [*layers, {"data": table, "mark": number, "encoding": {**at, "text": {"field": "number"}}}]


def _stretches(control: ControlChart, order: dict[str, int]) -> list[int]:
    """Number the stretches of points without a gap: no line leads over lots that are left out."""
    places = [order[point.label] for point in control.points if not point.excluded]
    stretch, found = 0, []
    for before, place in zip([*places[:1], *places], places, strict=False):
        stretch += place > before + 1
        found.append(stretch)
    return found


def signal_mark(control: ControlChart, number: int) -> str:
    """Give the mark of a signal: a number, or a letter on the chart of the scatter.

    Parameters
    ----------
    control : ControlChart
        The chart that raises it.
    number : int
        Place in its list, from 1.
    """
    if control.kind not in SCATTER_TITLES:
        return str(number)
    letters = ""
    while number > 0:
        number, rest = divmod(number - 1, 26)
        letters = chr(ord("a") + rest) + letters
    return letters
