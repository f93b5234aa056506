"""Every binder of a range under one train of pulses, and its index against the reference."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from resile.compute.rheology.traffic.rutting_index import StrainOfBinder, binder_of_line, jnr_at_stress
from resile.errors import InputError
from resile.judge.findings import judge_measures
from resile.records.determination import Condition, Result
from resile.records.finding import Measure, Severity, worst_severity
from resile.records.models.pulse_train import LoadTrain, StrainByTemperature, TrafficComparison
from resile.records.range import Binder, BinderRange, TemperatureHabit
from resile.records.reading import SourceFile
from resile.records.temperature_line import TemperatureLine
from resile.specifications.creep_recovery import load_finding_rules
from resile.specifications.evidence import load_evidence
from resile.specifications.habits import load_temperature_habits
from resile.workflows.choosing.properties import BinderProperties, line_through
from resile.workflows.judging.agreement import Yardstick, agree
from resile.workflows.modelling.hot_hours import TemperatureHistory
from resile.workflows.modelling.recorded_binders import (
    Followed,
    RecordedBinder,
    Way,
    follow_records,
    way_along,
)
from resile.workflows.modelling.told_binders import RULES, measures_of_all, tell_binder

if TYPE_CHECKING:
    from numpy.typing import NDArray

_SPECIFICATION = "m332-2014"
_STATES = (Condition.SHORT_TERM_AGED, Condition.RECOVERED, Condition.UNKNOWN)
_BAND_C = 5.0
_HIGH_KPA = 3.2


def compare_binders(
    offered: BinderRange | None,
    history: TemperatureHistory,
    train: LoadTrain,
    *,
    reference: str = "",
    recorded: Sequence[RecordedBinder] = (),
) -> TrafficComparison:
    """Give the index of every binder against a reference, like against like.

    Parameters
    ----------
    offered : BinderRange or None
        Binders with their results.
    history : TemperatureHistory
        Pavement temperatures.
    train : LoadTrain
        The load.
    reference : str
        Name of the reference; the first binder with records, else of the range, where empty.
    recorded : sequence of RecordedBinder
        Binders with records; one of the name of a binder of the range is that binder.

    Returns
    -------
    TrafficComparison
        Least index first; binders that cannot be followed last, with the reason. By the models of the records
        where binder and reference both have one, else by the Jnr of both.

    Raises
    ------
    InputError
        Where there is no binder, no such reference, or the reference cannot be followed.
    """
    habit = load_temperature_habits()["jnr_3.2"]
    binders = offered.binders if offered is not None else ()
    followed = _all_followed(binders, recorded, habit, history, train)
    title = offered.title if offered is not None else "records"
    named_reference = _reference(title, list(followed), reference)
    base = followed[named_reference]
    if not isinstance(base.by_jnr, Way) and not isinstance(base.by_model, Way):
        raise InputError(
            f"reference '{named_reference}': {base.by_model or base.by_jnr}; "
            "choose another (--reference), or test it"
        )
    told = [tell_binder(name, one, base, history, habit.reach_c) for name, one in followed.items()]
    told.sort(key=lambda one: math.inf if one.index is None else one.index.value)
    measures = (
        Measure("binders_compared", float(sum(one.index is not None for one in told))),
        Measure("days_counted", float(history.told.days)),
        *measures_of_all(told),
    )
    remarks = () if offered is None else (offered.title, *offered.remarks, *(one.remark for one in binders))
    way = base.by_model if isinstance(base.by_model, Way) else base.by_jnr
    assert isinstance(way, Way)
    return TrafficComparison(
        reference=named_reference,
        binders=tuple(told),
        train=train,
        hours=history.told,
        bands=_bands(way.strain, history.temperature_c),
        pulses=train.pulses_per_hour * len(history.temperature_c),
        evidence=load_evidence("rutting"),
        findings=(
            *judge_measures(measures, load_finding_rules(RULES)),
            *(offered.findings if offered is not None else ()),
        ),
        sources=_sources(recorded),
        invented="invented" in " ".join(remarks).casefold(),
    )


def _all_followed(
    binders: Sequence[Binder],
    recorded: Sequence[RecordedBinder],
    habit: TemperatureHabit,
    history: TemperatureHistory,
    train: LoadTrain,
) -> dict[str, Followed]:
    """Follow binders with records first, then those of the range that have none."""
    agreed = agree(_SPECIFICATION)
    listed = {binder.name.casefold(): binder for binder in binders}
    followed: dict[str, Followed] = {}
    known: dict[tuple[object, ...], Followed] = {}
    for one in recorded:
        own = listed.pop(one.name.casefold(), None)
        line = None if own is None else _line_of(own, agreed, habit, train)
        tested = line if isinstance(line, TemperatureLine) and line.prior is None else None
        kept = replace(one, kind=one.kind or ("" if own is None else own.kind))
        same = _records_of(kept, tested)
        if same not in known:
            known[same] = follow_records(kept, habit, train, history, tested=tested)
        followed[one.name] = known[same]
    followed |= {one.name: _follow(one, agreed, habit, history, train) for one in listed.values()}
    return followed


def _records_of(one: RecordedBinder, tested: TemperatureLine | None) -> tuple[object, ...]:
    """Tell binders of the very same records apart from others: their strain is one and the same."""
    runs = tuple((run.source.sha256 if run.source else id(run), run.label, run.sample) for run in one.runs)
    return runs, one.kind, tested


def _sources(recorded: Sequence[RecordedBinder]) -> tuple[SourceFile, ...]:
    found = [run.source for one in recorded for run in one.runs if run.source is not None]
    return tuple({one.sha256: one for one in found}.values())


def _reference(title: str, names: Sequence[str], wanted: str) -> str:
    if not names:
        raise InputError(f"{title}: there is no binder to compare")
    if not wanted:
        return names[0]
    found = [name for name in names if name.casefold() == wanted.casefold()]
    if not found:
        raise InputError(f"reference '{wanted}': no such binder; there are {', '.join(names[:12])}")
    return found[0]


def _follow(
    binder: Binder,
    agreed: Yardstick,
    habit: TemperatureHabit,
    history: TemperatureHistory,
    train: LoadTrain,
) -> Followed:
    """Follow one binder through the load by its results, or say why it cannot be."""
    line = _line_of(binder, agreed, habit, train)
    if isinstance(line, str):
        return Followed(line)
    slope_from = "results" if line.prior is None else "kind"
    return Followed(way_along(binder_of_line(line), line, train, history), slope_from=slope_from)


def _line_of(
    binder: Binder, agreed: Yardstick, habit: TemperatureHabit, train: LoadTrain
) -> TemperatureLine | str:
    results = BinderProperties(binder, agreed, {}).results
    tested = _tested(results, "jnr_3.2")
    if train.stress_kpa < _HIGH_KPA:
        tested = _at_stress(tested, _tested(results, "jnr_0.1"), train.stress_kpa)
    if not tested:
        also = "" if train.stress_kpa >= _HIGH_KPA else " with Jnr at 0.1 kPa beside it"
        return f"no Jnr at 3.2 kPa of the short-term aged binder at a known temperature{also}"
    return line_through(tested, habit, binder.kind)


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
