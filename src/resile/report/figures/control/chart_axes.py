"""Axes of a control chart: lots along it, values up; a logarithmic one where the logarithm is watched."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from resile.records.control.chart import ChangePoint, ControlChart, ControlPoint
from resile.report.figures.style import Spec, decade_ticks, number_axis
from resile.report.words import symbol_of

SINGLE_KINDS = ("individuals", "mean-and-range", "mean-and-deviation")
"""Charts on which the result of a lot stands as it is: levels and the specification limit can be drawn."""
SCATTER_TITLES = {"moving-range": "moving range", "range": "range", "deviation": "standard deviation"}
"""What charts of the scatter show."""
_ON_SCALE = (*SINGLE_KINDS, "weighted-average")
_LABELS = 7
_LIMIT_WITHIN = 0.8
"""A limit further off than this share of what is drawn would press the lots flat: it is told in words."""


@dataclass(frozen=True, slots=True)
class ValueAxis:
    """The axis of the values.

    Attributes
    ----------
    encoding : dict
        Scale and axis, as a layer takes them.
    low, high : float
        Its ends, as drawn.
    log : bool
        True where it is logarithmic.
    height : int
        Its length [px].
    """

    encoding: Spec
    low: float
    high: float
    log: bool
    height: int

    def down(self, value: float) -> float:
        """Give how far below the upper end a value is drawn [px]."""
        low, high, at = (
            map(math.log, (self.low, self.high, value)) if self.log else (self.low, self.high, value)
        )
        return self.height * (high - at) / (high - low)

    def shows(self, value: float) -> bool:
        """Tell whether a value lies between the ends."""
        return self.low <= value <= self.high


def drawn_value(control: ControlChart, plotted: float) -> float:
    """Give what is drawn: the unit of the glossary where the axis is logarithmic."""
    return float(10.0**plotted) if is_log(control) else plotted


def is_log(control: ControlChart) -> bool:
    """Tell whether the values stand on a logarithmic axis."""
    return control.property.scale == "log" and control.kind in _ON_SCALE


def drawn_limit(control: ControlChart) -> float | None:
    """Give the specification limit where it can be laid over the lots: not over averages, sums and ranges."""
    return control.property.limit if control.kind in SINGLE_KINDS else None


def lots_encoding(lots: Sequence[ControlPoint], *, quiet: bool) -> Spec:
    """Give the axis of the lots.

    Parameters
    ----------
    lots : sequence of ControlPoint
        In order of time.
    quiet : bool
        True for a panel with another one below it: ticks alone.
    """
    return {
        "field": "place",
        "type": "quantitative",
        "scale": {"domain": [0.4, len(lots) + 0.6], "nice": False},
        "axis": _lots_axis(lots, quiet=quiet),
    }


def _lots_axis(lots: Sequence[ControlPoint], *, quiet: bool) -> Spec:
    """Label some lots, with their days; a panel with another one below it has ticks alone."""
    values = list(range(1, len(lots) + 1, max(1, math.ceil(len(lots) / _LABELS))))
    places = ", ".join(str(value) for value in values)
    at = f"[indexof([{places}], datum.value)]"
    labels = ", ".join(f"'{_safe(lots[value - 1].label)}'" for value in values)
    days = ", ".join(f"'{_safe(lots[value - 1].when[:10])}'" for value in values)
    return {
        "title": None if quiet else "lot and day",
        "values": values,
        "grid": False,
        "labelExpr": "''" if quiet else f"[[{labels}]{at}, [{days}]{at}]",
        "labelOverlap": False,
        "labelFlush": False,
    }


def _safe(text: str) -> str:
    return text.replace("\\", " ").replace("'", "’")


def value_axis(control: ControlChart, changes: Sequence[ChangePoint], height: int) -> ValueAxis:
    """Give the axis of the values, with room around what is drawn.

    Parameters
    ----------
    control : ControlChart
        The chart.
    changes : sequence of ChangePoint
        Levels that are drawn over it.
    height : int
        Of the panel [px].
    """
    low, high = _reach(control, changes)
    title, log = _axis_title(control), is_log(control)
    if log:
        room = (high / low) ** 0.08
        low, high = low / room, high * room
        scale: Spec = {"type": "log", "domain": [low, high], "nice": False}
        axis = number_axis(title, values=decade_ticks(low, high), grid=False)
    else:
        room = 0.08 * ((high - low) or 1.0)
        low, high = (0.0 if low == 0.0 else low - room), high + room
        scale = {"domain": [low, high], "nice": False, "zero": False}
        axis = number_axis(title, tickCount=3 if control.kind in SCATTER_TITLES else 6, grid=False)
    encoding: Spec = {"field": "value", "type": "quantitative", "scale": scale, "axis": axis}
    return ValueAxis(encoding, low, high, log, height)


def _reach(control: ControlChart, changes: Sequence[ChangePoint]) -> tuple[float, float]:
    levels = [level for p in control.points for level in (p.plotted, p.lower, p.upper)]
    drawn = [drawn_value(control, level) for level in levels if math.isfinite(level)]
    if control.kind in SINGLE_KINDS:
        drawn += [level for change in changes for level in (change.before, change.after)]
    low, high = min(drawn), max(drawn)
    limit = drawn_limit(control)
    if limit is not None and _near(low, high, limit, log=is_log(control)):
        low, high = min(low, limit), max(high, limit)
    return low, high


def _near(low: float, high: float, limit: float, *, log: bool) -> bool:
    if log:
        low, high, limit = math.log(low), math.log(high), math.log(limit)
    room = _LIMIT_WITHIN * (high - low)
    return low - room <= limit <= high + room


def _axis_title(control: ControlChart) -> str:
    if control.kind == "joint":
        return "joint distance T²"
    if control.kind == "cumulative-sum":
        return "cumulative sum, standard deviations"
    words = SCATTER_TITLES.get(control.kind) or symbol_of(control.property.quantity)
    if control.kind == "weighted-average":
        words = f"weighted average of {words}"
    return f"{words}, {control.unit}" if control.unit else words
