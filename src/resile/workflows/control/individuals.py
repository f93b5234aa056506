"""Chart of single values (or means of lots) with the chart of their moving ranges beside it."""

from __future__ import annotations

import math

import numpy as np

from resile.compute.statistics.control.chart_constants import chart_constants
from resile.compute.statistics.control.set_up import level_from_moving_ranges, moving_ranges
from resile.records.control.chart import SETTING_UP, ChartSignal, ControlChart, ControlPoint
from resile.workflows.control.setting_up import ChartRequest

_WIDTH = 3.0


def chart_individuals(request: ChartRequest) -> ControlChart:
    """Put one value a lot on a chart with limits from the moving ranges of the set-up.

    Parameters
    ----------
    request : ChartRequest
        Lots, and what is watched.

    Returns
    -------
    ControlChart
        With the chart of moving ranges beside it.
    """
    lots = request.lots
    values = np.array([lot.mean for lot in lots])
    in_set_up = np.array([lot.phase == SETTING_UP for lot in lots])
    left_out = np.array([bool(lot.excluded) for lot in lots])
    level = level_from_moving_ranges(values[in_set_up], left_out=left_out[in_set_up])
    centre, half = request.centre(level.centre), _WIDTH * level.standard_deviation
    points = tuple(
        ControlPoint(
            label=lot.label,
            when=lot.when,
            values=lot.values,
            plotted=float(value),
            lower=centre - half,
            centre=centre,
            upper=centre + half,
            phase=lot.phase,
            excluded=lot.excluded,
            keys=lot.keys,
        )
        for lot, value in zip(lots, values, strict=True)
    )
    signals = tuple(
        ChartSignal(
            index=index,
            rule="beyond-limit",
            text=f"Lot {point.label} lies beyond a control limit.",
            source="Shewhart 1931",
            since=index,
        )
        for index, point in enumerate(points)
        if not point.excluded and not point.lower <= point.plotted <= point.upper
    )
    constants = chart_constants(2)
    mean_range = level.standard_deviation * constants.d2
    ranges = moving_ranges(values, left_out=left_out)
    beside = ControlChart(
        kind="moving-range",
        property=request.watched,
        title="moving range",
        unit="",
        points=tuple(
            ControlPoint(
                label=lot.label,
                when=lot.when,
                values=lot.values,
                plotted=float(moved),
                lower=0.0,
                centre=mean_range,
                upper=constants.upper_range * mean_range,
                phase=lot.phase,
                excluded=lot.excluded,
                keys=lot.keys,
            )
            for lot, moved in zip(lots, ranges, strict=True)
            if not math.isnan(moved)
        ),
        centre=mean_range,
        standard_deviation=level.standard_deviation,
        basis="",
    )
    return ControlChart(
        kind="individuals",
        property=request.watched,
        title=request.watched.quantity,
        unit=request.watched.unit,
        points=points,
        centre=centre,
        standard_deviation=level.standard_deviation,
        basis=f"mean and mean moving range over 1.1284 of {level.count} lots of the set-up",
        signals=signals,
        beside=beside,
        parameters={"width": _WIDTH},
    )
