"""Changes of level on the charts of a product, with what may have caused them, and the charts together."""

from __future__ import annotations

import math
from collections.abc import Sequence

from resile.errors import ResileError
from resile.records.control.chart import ChangePoint, ControlChart
from resile.records.control.production import ProductionResult
from resile.workflows.control.watching import MeasuredProperty, changes, joint_watch, suggest_causes
from resile.workflows.laboratory.control.produced import watched_property
from resile.workflows.laboratory.control.shown import SeenChart


def changes_of_charts(seen: Sequence[SeenChart]) -> dict[str, tuple[ChangePoint, ...]]:
    """Find changes of level on the charts of one product, each with the causes that fit all of them.

    Parameters
    ----------
    seen : sequence of SeenChart
        Charts of one product.

    Returns
    -------
    dict of str to tuple of ChangePoint
        By key of the chart. Where a property is on several charts, the first of them speaks for it when
        causes are looked for.
    """
    found = {one.kept.key: changes(one.chart) for one in seen if one.chart}
    lead: dict[str, str] = {}
    for one in seen:
        if one.chart:
            lead.setdefault(one.kept.value.quantity, one.kept.key)
    results = [result for one in seen for result in one.results.results]
    measured = {
        one.kept.value.quantity: MeasuredProperty(one.chart.property, _counted(one))
        for one in seen
        if one.chart and lead[one.kept.value.quantity] == one.kept.key
    }
    suggested = suggest_causes(
        {name: found[key] for name, key in lead.items()}, results=results, measured=measured
    )
    return {
        one.kept.key: suggested[one.kept.value.quantity]
        if lead[one.kept.value.quantity] == one.kept.key
        else found[one.kept.key]
        for one in seen
        if one.chart
    }


def leads_back(change: ChangePoint, values: ControlChart) -> bool:
    """Tell whether a change of level leads back to where the set-up was, from further away.

    Parameters
    ----------
    change : ChangePoint
        The change.
    values : ControlChart
        Single values or means of lots: centre and scatter of the set-up.
    """
    log = values.property.scale == "log" and min(change.before, change.after) > 0.0
    before, after = (math.log10(one) if log else one for one in (change.before, change.after))
    off, was_off = abs(after - values.centre), abs(before - values.centre)
    return off < values.standard_deviation and off < 0.5 * was_off


def _counted(seen: SeenChart) -> list[ProductionResult]:
    left_out = {one.result for one in seen.kept.value.excluded}
    return [one for one in seen.results.results if one.key not in left_out]


def joint_chart(seen: Sequence[SeenChart]) -> tuple[ControlChart | None, str]:
    """Put the watched properties of a product on one chart of their joint distance from the set-up.

    Parameters
    ----------
    seen : sequence of SeenChart
        Charts of one product; each property counts once.

    Returns
    -------
    tuple of (ControlChart or None, str)
        None with the reason where there is none.
    """
    lead: dict[tuple[str, str, float | None], SeenChart] = {}
    for one in seen:
        held = one.kept.value
        if one.chart:
            lead.setdefault((held.quantity, held.condition.value, held.temperature_c), one)
    charts = list(lead.values())
    if len(charts) < 2:
        return None, "two properties on charts are needed to watch them together"
    series = [(watched_property(one.kept.value, one.product), one.results.results) for one in charts]
    present = {result.key for _, results in series for result in results}
    excluded = {
        left.result: left.reason
        for one in charts
        for left in one.kept.value.excluded
        if left.result in present
    }
    first = charts[0].kept.value
    try:
        chart = joint_watch(
            series,
            baseline_since=first.baseline_since,
            baseline_until=first.baseline_until,
            excluded=excluded,
        )
    except ResileError as error:
        return None, str(error)
    return chart, ""
