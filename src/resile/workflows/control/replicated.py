"""Charts of means of replicates, with the chart of their ranges or standard deviations beside it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from resile.compute.statistics.control.chart_constants import chart_constants
from resile.compute.statistics.control.set_up import (
    SetUpLevel,
    level_from_deviations,
    level_from_ranges,
)
from resile.errors import InputError
from resile.records.control.chart import ControlChart, ControlPoint
from resile.workflows.control.doubts import doubts_of_chart
from resile.workflows.control.lots import Lot
from resile.workflows.control.promises import false_alarm_every
from resile.workflows.control.setting_up import (
    WIDTH,
    ChartRequest,
    point_of,
    scatter_chart,
    signals_of_rules,
    title_of,
)


def chart_mean_and_range(request: ChartRequest) -> ControlChart:
    """Put means of replicates on a chart with limits from the ranges within lots.

    Parameters
    ----------
    request : ChartRequest
        Lots with two or more results each.

    Returns
    -------
    ControlChart
        With the chart of ranges beside it.
    """
    _refuse_single(request)
    level = level_from_ranges([lot.scaled for lot in request.lots if lot.counts])
    return _chart(request, level, _Scatter("mean-and-range", "range", "mean range over d2"))


def chart_mean_and_deviation(request: ChartRequest) -> ControlChart:
    """Put means of replicates on a chart with limits from the standard deviations within lots.

    Parameters
    ----------
    request : ChartRequest
        Lots with two or more results each.

    Returns
    -------
    ControlChart
        With the chart of standard deviations beside it.
    """
    _refuse_single(request)
    level = level_from_deviations([lot.scaled for lot in request.lots if lot.counts])
    return _chart(
        request, level, _Scatter("mean-and-deviation", "deviation", "mean standard deviation over c4")
    )


@dataclass(frozen=True, slots=True)
class _Scatter:
    """How the scatter within lots is told."""

    kind: str
    beside: str
    basis: str

    def point(self, lot: Lot, deviation: float) -> ControlPoint:
        constants = chart_constants(len(lot.scaled), width=WIDTH)
        if self.beside == "range":
            centre = constants.d2 * deviation
            lower, upper = constants.lower_range * centre, constants.upper_range * centre
            return point_of(lot, lot.scaled[-1] - lot.scaled[0], lower, centre, upper)
        centre = constants.c4 * deviation
        lower, upper = constants.lower_deviation * centre, constants.upper_deviation * centre
        return point_of(lot, float(np.std(lot.scaled, ddof=1)), lower, centre, upper)


def _refuse_single(request: ChartRequest) -> None:
    request.setting({})
    single = [lot.label for lot in request.lots if len(lot.scaled) < 2]
    if single:
        raise InputError(
            f"lot {single[0]}: one result only; a chart of replicates needs two or more in every lot, "
            "a chart of individuals takes one"
        )


def _chart(request: ChartRequest, level: SetUpLevel, scatter: _Scatter) -> ControlChart:
    centre, deviation = request.centre(level.centre), level.standard_deviation
    halves = WIDTH * deviation / np.sqrt([len(lot.scaled) for lot in request.lots])
    points = tuple(
        point_of(lot, lot.mean, centre - half, centre, centre + half)
        for lot, half in zip(request.lots, halves, strict=True)
    )
    scores = (request.means - centre) / (halves / WIDTH)
    signals = signals_of_rules(points, scores, request.run_rules, request.shown)
    every = false_alarm_every(scatter.kind, request.run_rules, {})
    title = scatter.beside if scatter.beside == "range" else "standard deviation"
    return ControlChart(
        kind=scatter.kind,
        property=request.watched,
        title=title_of(request.watched),
        unit=request.watched.unit,
        points=points,
        centre=centre,
        standard_deviation=deviation,
        basis=f"{request.centre_words()}; {scatter.basis} of {level.count} lots",
        signals=signals,
        beside=scatter_chart(
            request,
            scatter.beside,
            f"{title} of replicates",
            tuple(scatter.point(lot, deviation) for lot in request.lots),
            deviation,
        ),
        parameters={"width": WIDTH},
        false_alarm_every=every,
        findings=doubts_of_chart(request, level, signals, every),
    )
