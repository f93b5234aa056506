"""Several correlated properties of a product on one chart."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import chain

import numpy as np

from resile.compute.statistics.control.joint import (
    joint_contributions,
    joint_distances,
    joint_level,
    joint_set_up_limit,
    joint_watched_limit,
)
from resile.errors import InputError
from resile.judge.control.signals import signals_beyond
from resile.judge.findings import judge_measures
from resile.judge.wording import number_words, property_words
from resile.records.control.chart import SETTING_UP, WATCHED, ControlChart
from resile.records.control.production import ProductionResult, WatchedProperty
from resile.records.determination import Condition
from resile.records.finding import Finding, Measure
from resile.specifications.creep_recovery import load_finding_rules
from resile.workflows.control.doubts import FINDING_FILE
from resile.workflows.control.lots import Lot, gather_lots
from resile.workflows.control.setting_up import Floats, point_of

FALSE_ALARM = 0.0027
"""Chance of a false alarm at one lot, as of limits at three standard deviations."""
_SOURCE = "Hotelling 1947; limits after Tracy, Young and Mason 1992 (from memory, high)"


def joint_watch(
    series: Sequence[tuple[WatchedProperty, Sequence[ProductionResult]]],
    *,
    baseline_since: str = "",
    baseline_until: str = "",
    excluded: Mapping[str, str] | None = None,
    false_alarm: float = FALSE_ALARM,
) -> ControlChart:
    """Put several properties of each lot on one chart of their joint distance from the set-up.

    Parameters
    ----------
    series : sequence of (WatchedProperty, sequence of ProductionResult)
        Two or more properties; lots are matched by their labels.
    baseline_since, baseline_until : str
        Days of the set-up, both included.
    excluded : mapping of str to str, optional
        Reason by lot or key of a result.
    false_alarm : float
        Chance of a false alarm at one lot.

    Returns
    -------
    ControlChart
        Kind ``joint``; a signal names the property that adds most.

    Raises
    ------
    InputError
        With fewer than two properties, or without a lot that has them all.
    MeasurementError
        With too few lots in the set-up, or one property that follows from the others.
    """
    if len(series) < 2:
        raise InputError("joint chart: two or more properties are needed")
    properties = [watched for watched, _ in series]
    rows, incomplete = _together(series, baseline_since, baseline_until, dict(excluded or {}))
    leads = [row[0] for row in rows]
    reasons = ["; ".join(dict.fromkeys(lot.excluded for lot in row if lot.excluded)) for row in rows]
    values = np.array([[lot.mean for lot in row] for row in rows])
    phases = [lead.phase for lead in leads]
    counts = [phase == SETTING_UP and not why for phase, why in zip(phases, reasons, strict=True)]
    level = joint_level(values[counts])
    size = {"count": level.count, "properties": len(series)}
    limits = {
        SETTING_UP: joint_set_up_limit(false_alarm=false_alarm, **size),
        WATCHED: joint_watched_limit(false_alarm=false_alarm, **size),
    }
    distances, parts = joint_distances(values, level=level), joint_contributions(values, level=level)
    points = tuple(
        point_of(_joined(row, why), distance, 0.0, float(len(series)), limits[row[0].phase])
        for row, why, distance in zip(rows, reasons, distances, strict=True)
    )
    signals = signals_beyond(
        points,
        rule="joint-distance",
        what="joint distance",
        source=_SOURCE,
        sinces=range(len(points)),
        shown=number_words,
        reason=lambda index: _most(properties, parts[index], values[index] - level.mean),
    )
    product = next((watched.product for watched in properties if watched.product), "")
    return ControlChart(
        kind="joint",
        property=WatchedProperty(
            product=product, quantity="joint_distance", unit="", condition=Condition.UNKNOWN
        ),
        title="joint distance of " + ", ".join(property_words(one.quantity) for one in properties),
        unit="",
        points=points,
        centre=float(len(series)),
        standard_deviation=1.0,
        basis=f"means and covariance of {level.count} lots; limit of the set-up from the beta distribution, "
        "of watched lots from F",
        signals=signals,
        parameters={"false_alarm": false_alarm, "properties": float(len(series))},
        false_alarm_every=1.0 / false_alarm,
        findings=_doubts(level.count, phases, incomplete),
    )


def _together(
    series: Sequence[tuple[WatchedProperty, Sequence[ProductionResult]]],
    since: str,
    until: str,
    excluded: dict[str, str],
) -> tuple[list[list[Lot]], int]:
    """Give the lots that have every property, and how many have not."""
    labels = {r.lot or r.key for _, results in series for r in results}
    known = labels | {r.key for _, results in series for r in results}
    for name in excluded:
        if name not in known:
            raise InputError(f"{name}: left out of the chart, but no lot and no result has that name")
    tables = []
    for watched, results in series:
        names = set(chain.from_iterable((r.lot or r.key, r.key) for r in results))
        reasons = {name: why for name, why in excluded.items() if name in names}
        lots = gather_lots(results, watched, baseline_since=since, baseline_until=until, excluded=reasons)
        tables.append({lot.label: lot for lot in lots})
    whole = [label for label in tables[0] if all(label in table for table in tables)]
    if not whole:
        raise InputError("joint chart: no lot has every one of the properties")
    return [[table[label] for table in tables] for label in whole], len(labels) - len(whole)


def _joined(row: Sequence[Lot], excluded: str) -> Lot:
    """Give one lot that stands for all its properties: the mean of each, in the units of the glossary."""
    return Lot(
        label=row[0].label,
        when=row[0].when,
        values=tuple(sum(lot.values) / len(lot.values) for lot in row),
        scaled=tuple(lot.mean for lot in row),
        keys=tuple(key for lot in row for key in lot.keys),
        phase=row[0].phase,
        excluded=excluded,
    )


def _most(properties: Sequence[WatchedProperty], parts: Floats, away: Floats) -> str:
    """Name the property that lies furthest from where the others put it."""
    most = int(np.argmax(parts))
    side = "above" if away[most] > 0.0 else "below"
    words = property_words(properties[most].quantity)
    return f"{words} adds most ({number_words(float(parts[most]))}), {side} the mean of the set-up"


def _doubts(count: int, phases: Sequence[str], incomplete: int) -> tuple[Finding, ...]:
    measures = (
        Measure("watched_lots", phases.count(WATCHED), "lots"),
        Measure("incomplete_lots", incomplete, "lots"),
        Measure("joint_set_up_lots", count, "lots"),
    )
    return judge_measures(measures, load_finding_rules(FINDING_FILE))
