"""Put the results of a product on a control chart; changes, causes and joint charts are beside it."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from resile.errors import InputError
from resile.records.control.chart import ControlChart
from resile.records.control.production import ProductionResult, WatchedProperty
from resile.workflows.control.causes import suggest_causes, suggest_for_lot
from resile.workflows.control.changing import changes
from resile.workflows.control.individuals import chart_individuals
from resile.workflows.control.joint import joint_watch
from resile.workflows.control.lots import gather_lots
from resile.workflows.control.remembering import chart_cumulative_sum, chart_weighted_average
from resile.workflows.control.replicated import chart_mean_and_deviation, chart_mean_and_range
from resile.workflows.control.setting_up import ChartRequest
from resile.workflows.control.who_tested import MeasuredProperty

_KINDS: Mapping[str, Callable[[ChartRequest], ControlChart]] = {
    "individuals": chart_individuals,
    "mean-and-range": chart_mean_and_range,
    "mean-and-deviation": chart_mean_and_deviation,
    "weighted-average": chart_weighted_average,
    "cumulative-sum": chart_cumulative_sum,
}
CHART_KINDS = tuple(_KINDS)
REMEMBERING = ("weighted-average", "cumulative-sum")
"""Kinds whose points hold those before them: they can begin anew."""

__all__ = [
    "CHART_KINDS",
    "REMEMBERING",
    "MeasuredProperty",
    "changes",
    "joint_watch",
    "suggest_causes",
    "suggest_for_lot",
    "watch",
]


def watch(
    results: Sequence[ProductionResult],
    watched: WatchedProperty,
    *,
    chart: str = "individuals",
    run_rules: Sequence[str] = (),
    baseline_since: str = "",
    baseline_until: str = "",
    excluded: Mapping[str, str] | None = None,
    parameters: Mapping[str, float] | None = None,
    anew_after: Sequence[str] = (),
) -> ControlChart:
    """Put results on a control chart.

    Parameters
    ----------
    results : sequence of ProductionResult
        In any order; several with one lot are its replicates.
    watched : WatchedProperty
        What is watched, on which scale, with which target.
    chart : str
        Kind of chart, one of `CHART_KINDS`.
    run_rules : sequence of str
        Names of run rules that are on beside the limits.
    baseline_since, baseline_until : str
        Days of the set-up, both included; without a last day every lot belongs to the set-up.
    excluded : mapping of str to str, optional
        Reason by lot or key of a result: left out of the set-up and of every rule, but shown.
    parameters : mapping of str to float, optional
        Settings of the chart by name.
    anew_after : sequence of str
        Lots after which sums or averages begin anew: their signal was looked into. Only for `REMEMBERING`.

    Returns
    -------
    ControlChart
        Points, limits, signals and doubts.

    Raises
    ------
    InputError
        For an unknown kind, rule or setting, a reason without a lot, a lot to begin after that is not there,
        or results that cannot be charted.
    """
    if chart not in _KINDS:
        raise InputError(f"chart {chart!r} is not known; there are {', '.join(CHART_KINDS)}")
    lots = gather_lots(
        results, watched, baseline_since=baseline_since, baseline_until=baseline_until, excluded=excluded
    )
    _check_anew(anew_after, [lot.label for lot in lots], chart)
    return _KINDS[chart](
        ChartRequest(
            watched=watched,
            lots=lots,
            run_rules=tuple(run_rules),
            parameters=dict(parameters or {}),
            within_lots=chart.startswith("mean-and-"),
            anew_after=frozenset(anew_after),
        )
    )


def _check_anew(anew_after: Sequence[str], labels: Sequence[str], chart: str) -> None:
    if anew_after and chart not in REMEMBERING:
        raise InputError(
            f"begin anew after lot {anew_after[0]}: the chart {chart!r} remembers nothing; "
            f"needed is one of {', '.join(REMEMBERING)}"
        )
    missing = [lot for lot in anew_after if lot not in labels]
    if missing:
        raise InputError(
            f"begin anew after lot {missing[0]}: there is no such lot; there are {labels[0]} to {labels[-1]}"
        )
