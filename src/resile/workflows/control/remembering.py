"""Charts that remember: exponentially weighted averages, and cumulative sums."""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeVar

import numpy as np

from resile.compute.statistics.control.cumulative_sum import cumulative_sums
from resile.compute.statistics.control.set_up import SetUpLevel
from resile.compute.statistics.control.weighted_average import weighted_average_limits, weighted_averages
from resile.errors import InputError
from resile.judge.control.signals import signals_beyond
from resile.judge.wording import number_words
from resile.records.control.chart import ControlChart, ControlPoint
from resile.workflows.control.doubts import doubts_of_chart
from resile.workflows.control.lots import Lot
from resile.workflows.control.promises import (
    cumulative_sum_settings,
    false_alarm_every,
    weighted_average_settings,
)
from resile.workflows.control.setting_up import (
    ChartRequest,
    Floats,
    moving_range_chart,
    point_of,
    title_of,
)

_AVERAGE_SOURCE = "Roberts 1959; ISO 7870-6 (from memory, high)"
_SUM_SOURCE = "Page 1954; ISO 7870-4 (from memory, high)"
_Made = TypeVar("_Made")


def chart_weighted_average(request: ChartRequest) -> ControlChart:
    """Put exponentially weighted averages on a chart whose limits grow to those of the steady state.

    Parameters
    ----------
    request : ChartRequest
        Lots; settings ``weight`` and ``width``, the latter with as many false alarms as limits at three
        standard deviations where it is not given.

    Returns
    -------
    ControlChart
        Averages begin at the centre line with the first lot, again with the first watched lot, and again
        behind each lot after which they are to begin anew.
    """
    _refuse_rules(request)
    settings = weighted_average_settings(request.parameters)
    level = request.level()
    centre, deviation = request.centre(level.centre), level.standard_deviation

    def stretch(values: Floats) -> list[tuple[float, float]]:
        averages = weighted_averages(values, weight=settings["weight"], start=centre)
        halves = weighted_average_limits(values.size, weight=settings["weight"], width=settings["width"])
        return list(zip(averages.tolist(), (halves * deviation).tolist(), strict=True))

    made = _by_stretch(request, stretch, (centre, 0.0))
    points = tuple(
        point_of(lot, average, centre - half, centre, centre + half)
        for lot, (average, half) in zip(request.lots, made, strict=True)
    )
    signals = signals_beyond(
        points,
        rule="weighted-average",
        what="weighted average",
        source=_AVERAGE_SOURCE,
        sinces=_sinces(points, request.anew_after),
        shown=request.shown,
        each=False,
    )
    every = false_alarm_every("weighted-average", (), settings)
    return ControlChart(
        kind="weighted-average",
        property=request.watched,
        title=f"weighted average of {title_of(request.watched)}",
        unit=request.watched.unit,
        points=points,
        centre=centre,
        standard_deviation=deviation,
        basis=_basis(request, level),
        signals=signals,
        beside=moving_range_chart(request, level),
        parameters=settings,
        false_alarm_every=every,
        findings=doubts_of_chart(request, level, signals, every),
    )


def chart_cumulative_sum(request: ChartRequest) -> ControlChart:
    """Put both cumulative sums on one chart: the larger of them, the lower one below zero.

    Parameters
    ----------
    request : ChartRequest
        Lots; settings ``slack``, ``interval`` and ``head_start``, in standard deviations.

    Returns
    -------
    ControlChart
        Sums begin with the first lot, again with the first watched lot, and again behind each lot after which
        they are to begin anew.
    """
    _refuse_rules(request)
    settings = cumulative_sum_settings(request.parameters)
    level = request.level()
    centre, deviation, interval = request.centre(level.centre), level.standard_deviation, settings["interval"]

    def stretch(values: Floats) -> list[tuple[float, int]]:
        sums = cumulative_sums(
            (values - centre) / deviation,
            target=0.0,
            slack=settings["slack"],
            head_start=settings["head_start"],
        )
        above = sums.upper >= sums.lower
        plotted = np.where(above, sums.upper, -sums.lower)
        return list(
            zip(plotted.tolist(), np.where(above, sums.upper_run, sums.lower_run).tolist(), strict=True)
        )

    made = _by_stretch(request, stretch, (0.0, 0))
    points = tuple(
        point_of(lot, plotted, -interval, 0.0, interval)
        for lot, (plotted, _) in zip(request.lots, made, strict=True)
    )
    signals = signals_beyond(
        points,
        rule="cumulative-sum",
        what="cumulative sum",
        source=_SUM_SOURCE,
        sinces=_begun(points, [run for _, run in made]),
        shown=number_words,
        each=False,
    )
    every = false_alarm_every("cumulative-sum", (), settings)
    return ControlChart(
        kind="cumulative-sum",
        property=request.watched,
        title=f"cumulative sum of {title_of(request.watched)}",
        unit="standard deviations",
        points=points,
        centre=0.0,
        standard_deviation=deviation,
        basis=_basis(request, level),
        signals=signals,
        beside=moving_range_chart(request, level),
        parameters=settings,
        false_alarm_every=every,
        findings=doubts_of_chart(request, level, signals, every),
    )


def _basis(request: ChartRequest, level: SetUpLevel) -> str:
    anew = [lot.label for lot in request.lots if lot.label in request.anew_after]
    begun = f"; begun anew after lot {', '.join(anew)}" if anew else ""
    return f"{request.centre_words()}; mean moving range over 1.1284 of {level.count} lots{begun}"


def _refuse_rules(request: ChartRequest) -> None:
    if request.run_rules:
        raise InputError(
            f"run rule {request.run_rules[0]!r}: points of this chart hold those before them, so rules about "
            "runs do not apply; use the chart of individuals"
        )


def _by_stretch(request: ChartRequest, make: Callable[[Floats], list[_Made]], nothing: _Made) -> list[_Made]:
    """Make the points of each stretch anew; a lot left out repeats what stood before it.

    A stretch ends with a phase, and with a lot after which the chart is to begin anew.
    """
    made: list[_Made] = []
    start = 0
    lots = request.lots
    for end in range(1, len(lots) + 1):
        ends = end == len(lots) or lots[end].phase != lots[start].phase
        if ends or lots[end - 1].label in request.anew_after:
            made += _stretch(lots[start:end], make, nothing)
            start = end
    return made


def _stretch(lots: tuple[Lot, ...], make: Callable[[Floats], list[_Made]], nothing: _Made) -> list[_Made]:
    counted = iter(make(np.array([lot.mean for lot in lots if not lot.excluded])))
    made: list[_Made] = []
    for lot in lots:
        made.append((made[-1] if made else nothing) if lot.excluded else next(counted))
    return made


def _sinces(points: tuple[ControlPoint, ...], anew_after: frozenset[str]) -> list[int]:
    """Give for each point the first of the points in a row on its side of the centre line."""
    sinces: list[int] = []
    for index, point in enumerate(points):
        last = points[index - 1] if index else point
        goes_on = point.phase == last.phase and last.label not in anew_after
        same = goes_on and (point.plotted - point.centre) * (last.plotted - last.centre) > 0.0
        sinces.append(sinces[-1] if index and same else index)
    return sinces


def _begun(points: tuple[ControlPoint, ...], runs: list[int]) -> list[int]:
    """Give for each point the lot with which its sum left zero; lots left out do not count."""
    counted: list[int] = []
    begun = []
    for index, (point, run) in enumerate(zip(points, runs, strict=True)):
        if not point.excluded:
            counted.append(index)
        begun.append(counted[-run] if 0 < run <= len(counted) else index)
    return begun
