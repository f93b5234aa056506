"""Doubts about a chart: too few lots, signals in the set-up, neighbours that are alike."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

import numpy as np

from resile.compute.statistics.control.set_up import SetUpLevel, limit_standard_error
from resile.judge.findings import judge_measures
from resile.records.control.chart import SETTING_UP, WATCHED, ChartSignal
from resile.records.finding import Finding, Measure
from resile.specifications.creep_recovery import load_finding_rules
from resile.workflows.control.lots import Lot
from resile.workflows.control.setting_up import WIDTH, ChartRequest

FINDING_FILE = "control_chart"
_FEWEST = 8
"""Lots below which neither a correlation nor a ratio of scatters says anything."""


def doubts_of_chart(
    request: ChartRequest, level: SetUpLevel, signals: Sequence[ChartSignal], every: float | None
) -> tuple[Finding, ...]:
    """Give the doubts about a chart of one property.

    Parameters
    ----------
    request : ChartRequest
        Lots, and what is watched.
    level : SetUpLevel
        What the limits are made of.
    signals : sequence of ChartSignal
        Of the chart.
    every : float or None
        Lots from one false alarm to the next.

    Returns
    -------
    tuple of Finding
        The heaviest first.
    """
    measures = [*_of_set_up(request, level, signals), *_of_neighbours(request), *_of_replicates(request)]
    if every is not None:
        measures.append(Measure("false_alarm_every", every, "lots"))
    return judge_measures(measures, load_finding_rules(FINDING_FILE))


def _of_set_up(request: ChartRequest, level: SetUpLevel, signals: Sequence[ChartSignal]) -> Iterator[Measure]:
    lots = request.lots
    in_set_up = [lot for lot in lots if lot.phase == SETTING_UP]
    yield Measure("set_up_lots", level.count, "lots")
    yield Measure("limit_error", limit_standard_error(level, width=WIDTH), "standard deviations")
    yield Measure("watched_lots", sum(lot.phase == WATCHED for lot in lots), "lots")
    yield Measure("set_up_signals", sum(lots[signal.index].phase == SETTING_UP for signal in signals))
    left_out = sum(bool(lot.excluded) for lot in in_set_up)
    yield Measure("left_out_percent", 100.0 * left_out / len(in_set_up), "%")
    yield Measure("stamped_results", sum(lot.stamped for lot in lots))


def _of_neighbours(request: ChartRequest) -> Iterator[Measure]:
    """Measure how alike neighbouring lots of the set-up are."""
    values = np.array([lot.mean for lot in _counting(request)])
    if values.size < _FEWEST:
        return
    centred = values - values.mean()
    correlation = float(centred[1:] @ centred[:-1] / (centred @ centred))
    yield Measure("neighbour_correlation", correlation)
    yield Measure("neighbour_correlation_excess", correlation - 2.0 / math.sqrt(values.size))


def _of_replicates(request: ChartRequest) -> Iterator[Measure]:
    """Compare the scatter of means with what their replicates allow, where every lot has replicates."""
    lots = _counting(request)
    if len(lots) < _FEWEST or any(len(lot.scaled) < 2 for lot in lots) or not request.within_lots:
        return
    within = np.mean([np.var(lot.scaled, ddof=1) / len(lot.scaled) for lot in lots])
    if within > 0.0:
        ratio = math.sqrt(float(np.var([lot.mean for lot in lots], ddof=1)) / float(within))
        yield Measure("between_over_within", ratio)


def _counting(request: ChartRequest) -> list[Lot]:
    return [lot for lot in request.lots if lot.counts]
