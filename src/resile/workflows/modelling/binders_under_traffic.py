"""Every binder of a range under one train of pulses, and its index against the reference."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from resile.compute.rheology.traffic.rutting_index import (
    StrainOfBinder,
    TrafficBinder,
    binder_of_line,
    jnr_at_stress,
    relative_index,
    strain_of_binder,
)
from resile.errors import InputError
from resile.judge.findings import judge_measures
from resile.records.determination import Condition, Result
from resile.records.finding import Measure, Severity, worst_severity
from resile.records.models.pulse_train import (
    BinderUnderTraffic,
    LoadTrain,
    StrainByTemperature,
    TrafficComparison,
)
from resile.records.range import Binder, BinderRange, TemperatureHabit
from resile.records.temperature_line import TemperatureLine
from resile.report.words import joined
from resile.specifications.creep_recovery import load_finding_rules
from resile.specifications.evidence import load_evidence
from resile.specifications.habits import load_temperature_habits
from resile.workflows.choosing.properties import BinderProperties, line_through
from resile.workflows.judging.agreement import Yardstick, agree
from resile.workflows.modelling.hot_hours import TemperatureHistory

if TYPE_CHECKING:
    from numpy.typing import NDArray

_RULES = "traffic_pulses"
_SPECIFICATION = "m332-2014"
_STATES = (Condition.SHORT_TERM_AGED, Condition.RECOVERED, Condition.UNKNOWN)
_BAND_C = 5.0
_MEASURE_OF = {
    "strain-beyond-tests": "strain_outside_percent",
    "strain-beyond-reach": "strain_beyond_reach_percent",
    "slope-from-kind": "slope_tested",
    "much-still-recovering": "retarded_percent",
}
_HIGH_KPA = 3.2


@dataclass(frozen=True, slots=True)
class _Followed:
    binder: TrafficBinder
    line: TemperatureLine
    strain: StrainOfBinder
    at_mean_high: StrainOfBinder


def compare_binders(
    offered: BinderRange, history: TemperatureHistory, train: LoadTrain, *, reference: str = ""
) -> TrafficComparison:
    """Give the index of every binder against a reference.

    Parameters
    ----------
    offered : BinderRange
        Binders with their results.
    history : TemperatureHistory
        Pavement temperatures.
    train : LoadTrain
        The load.
    reference : str
        Name of the reference; the first binder of the range where empty.

    Returns
    -------
    TrafficComparison
        Least index first; binders that cannot be followed last, with the reason.

    Raises
    ------
    InputError
        Where there is no binder, no such reference, or the reference cannot be followed.
    """
    named = _reference(offered, reference)
    agreed, habit = agree(_SPECIFICATION), load_temperature_habits()["jnr_3.2"]
    followed = {binder.name: _follow(binder, agreed, habit, history, train) for binder in offered.binders}
    base = followed[named]
    if isinstance(base, str):
        raise InputError(f"reference '{named}': {base}; choose another (--reference), or test it")
    told = [
        _told(binder.name, followed[binder.name], base, history, habit.reach_c) for binder in offered.binders
    ]
    told.sort(key=lambda one: math.inf if one.index is None else one.index.value)
    measures = (
        Measure("binders_compared", float(sum(one.index is not None for one in told))),
        Measure("days_counted", float(history.told.days)),
        *_of_all(told),
    )
    words = " ".join((offered.title, *offered.remarks, *(binder.remark for binder in offered.binders)))
    return TrafficComparison(
        reference=named,
        binders=tuple(told),
        train=train,
        hours=history.told,
        bands=_bands(base.strain, history.temperature_c),
        pulses=train.pulses_per_hour * len(history.temperature_c),
        evidence=load_evidence("rutting"),
        findings=(*judge_measures(measures, load_finding_rules(_RULES)), *offered.findings),
        invented="invented" in words.casefold(),
    )


def _reference(offered: BinderRange, wanted: str) -> str:
    names = [binder.name for binder in offered.binders]
    if not names:
        raise InputError(f"{offered.title}: the range holds no binder")
    if not wanted:
        return names[0]
    found = [name for name in names if name.casefold() == wanted.casefold()]
    if not found:
        raise InputError(f"reference '{wanted}': no such binder; the range holds {', '.join(names[:12])}")
    return found[0]


def _follow(
    binder: Binder,
    agreed: Yardstick,
    habit: TemperatureHabit,
    history: TemperatureHistory,
    train: LoadTrain,
) -> _Followed | str:
    """Follow one binder through the train, or say why it cannot be."""
    results = BinderProperties(binder, agreed, {}).results
    tested = _tested(results, "jnr_3.2")
    if train.stress_kpa < _HIGH_KPA:
        tested = _at_stress(tested, _tested(results, "jnr_0.1"), train.stress_kpa)
    if not tested:
        also = "" if train.stress_kpa >= _HIGH_KPA else " with Jnr at 0.1 kPa beside it"
        return f"no Jnr at 3.2 kPa of the short-term aged binder at a known temperature{also}"
    line = line_through(tested, habit, binder.kind)
    if isinstance(line, str):
        return line
    made = binder_of_line(line)
    return _Followed(
        made,
        line,
        strain_of_binder(made, train, history.temperature_c),
        strain_of_binder(made, train, [history.told.mean_high_c]),
    )


def _tested(results: Sequence[Result], quantity: str) -> list[Result]:
    for condition in _STATES:
        found = [
            r
            for r in results
            if r.quantity == quantity
            and r.condition is condition
            and r.temperature_c is not None
            and r.value is not None
            and worst_severity(r.findings) is not Severity.INVALID
        ]
        if found:
            return found
    return []


def _at_stress(high: Sequence[Result], low: Sequence[Result], stress_kpa: float) -> list[Result]:
    """Carry Jnr to a stress between both of the test, where both were tested at one temperature."""
    beside = {(r.condition, r.temperature_c): r.value for r in low}
    found = []
    for result in high:
        small = beside.get((result.condition, result.temperature_c))
        if small and result.value and small > 0.0 and result.value > 0.0:
            value = float(jnr_at_stress(small, result.value, stress_kpa))
            found.append(replace(result, value=value, uncertainty=None))
    return found


def _told(
    name: str, one: _Followed | str, base: _Followed, history: TemperatureHistory, reach_c: float
) -> BinderUnderTraffic:
    if isinstance(one, str):
        return BinderUnderTraffic(name, "jnr-line", None, reason=one)
    hours, line = history.temperature_c, one.line

    def share(where: NDArray[np.bool_]) -> float:
        return 100.0 * float(one.strain.shares[where].sum())

    above, below = share(hours > line.warmest_c), share(hours < line.coldest_c)
    beyond = share((hours > line.warmest_c + reach_c) | (hours < line.coldest_c - reach_c))
    retarded = 100.0 * one.strain.retarded / one.strain.left
    measures = (
        Measure("strain_outside_percent", above + below, "%", name),
        Measure("strain_beyond_reach_percent", beyond, "%", name),
        Measure("slope_tested", float(line.prior is None), "", name),
        Measure("retarded_percent", retarded, "%", name),
    )
    return BinderUnderTraffic(
        name=name,
        route="jnr-line",
        index=relative_index(one.strain, base.strain),
        at_mean_high=relative_index(one.at_mean_high, base.at_mean_high),
        strain_mean_c=one.strain.mean_c,
        coldest_c=line.coldest_c,
        warmest_c=line.warmest_c,
        above_percent=above,
        below_percent=below,
        retarded_percent=retarded,
        measures=measures,
        findings=judge_measures(measures, load_finding_rules(_RULES)),
    )


def _of_all(told: Sequence[BinderUnderTraffic]) -> list[Measure]:
    """Give the measures of single binders once for all that raise a doubt, at their worst, by name."""
    by_code: dict[str, list[BinderUnderTraffic]] = {}
    for one in told:
        codes = [finding.code for finding in one.findings]
        for code in codes:
            if code != "strain-beyond-tests" or "strain-beyond-reach" not in codes:
                by_code.setdefault(code, []).append(one)
    found = []
    for code, name in _MEASURE_OF.items():
        binders = by_code.get(code, [])
        values = [m.value for one in binders for m in one.measures if m.name == name]
        if values:
            worst = min(values) if name == "slope_tested" else max(values)
            unit = "" if name == "slope_tested" else "%"
            found.append(Measure(name, worst, unit, joined([one.name for one in binders])))
    return found


def _bands(strain: StrainOfBinder, temperature_c: NDArray[np.float64]) -> tuple[StrainByTemperature, ...]:
    """Tell from which pavement temperatures the strain of the reference comes."""
    first = math.floor(float(temperature_c.min()) / _BAND_C)
    last = math.floor(float(temperature_c.max()) / _BAND_C)
    place = np.floor(temperature_c / _BAND_C).astype(int) - first
    count = last - first + 1
    hours = np.bincount(place, minlength=count) / len(temperature_c)
    shares = np.bincount(place, weights=strain.shares, minlength=count)
    return tuple(
        StrainByTemperature(
            _BAND_C * (first + i),
            _BAND_C * (first + i + 1),
            100.0 * float(hours[i]),
            100.0 * float(shares[i]),
        )
        for i in range(count)
    )
