"""What is told of each binder under traffic: its index, how far it carries, and the doubts it raises."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING

from resile.compute.rheology.traffic.rutting_index import relative_index
from resile.judge.findings import judge_measures
from resile.records.finding import Measure
from resile.records.models.pulse_train import BinderUnderTraffic
from resile.report.words import joined
from resile.specifications.creep_recovery import load_finding_rules
from resile.workflows.modelling.hot_hours import TemperatureHistory
from resile.workflows.modelling.recorded_binders import Followed, Way

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

RULES = "traffic_pulses"
BY_JNR, BY_MODEL = "jnr-line", "creep-model"
_MEASURE_OF = {
    "strain-beyond-tests": "strain_outside_percent",
    "strain-beyond-reach": "strain_beyond_reach_percent",
    "slope-from-kind": "slope_tested",
    "much-still-recovering": "retarded_percent",
    "records-by-jnr-alone": "records_unused",
    "next-axle-finds-strain": "standing_pulses",
    "shape-from-another-temperature": "model_away_c",
}
_LEAST = frozenset({"slope_tested"})
"""Measures whose worst is the least."""


def tell_binder(
    name: str, one: Followed, base: Followed, history: TemperatureHistory, reach_c: float
) -> BinderUnderTraffic:
    """Tell of one binder, against the reference.

    Parameters
    ----------
    name : str
        Its name.
    one, base : Followed
        The binder, and the reference.
    history : TemperatureHistory
        The pavement temperatures.
    reach_c : float
        How far beyond the tests a line is drawn elsewhere [°C].

    Returns
    -------
    BinderUnderTraffic
        By the models of both where both have one, else by the Jnr of both; without an index where neither is.
    """
    by_model = isinstance(one.by_model, Way) and isinstance(base.by_model, Way)
    way, against = (one.by_model, base.by_model) if by_model else (one.by_jnr, base.by_jnr)
    if not isinstance(way, Way) or not isinstance(against, Way):
        reasons = [two for two in (one.by_model, one.by_jnr) if isinstance(two, str)]
        reason = reasons[0] if reasons else "followed by another way than the reference can be"
        return BinderUnderTraffic(name, BY_JNR, None, reason=reason, records_at=one.records_at)
    hours, line = history.temperature_c, way.line

    def share(where: NDArray[np.bool_]) -> float:
        return 100.0 * float(way.strain.shares[where].sum())

    above, below = share(hours > line.warmest_c), share(hours < line.coldest_c)
    beyond = share((hours > line.warmest_c + reach_c) | (hours < line.coldest_c - reach_c))
    retarded = 100.0 * way.strain.retarded / way.strain.left
    unused = ""
    if not by_model and one.records_at:
        unused = (
            one.by_model if isinstance(one.by_model, str) else "the reference has no record to fit a model to"
        )
    measures = [
        Measure("strain_outside_percent", above + below, "%", name),
        Measure("strain_beyond_reach_percent", beyond, "%", name),
        Measure("slope_tested", float(one.slope_from != "kind"), "", name),
        Measure("retarded_percent", retarded, "%", name),
        Measure("records_unused", float(bool(unused)), "", name),
    ]
    if by_model and one.recovery is not None and one.model_c is not None:
        measures += [
            Measure("standing_pulses", one.recovery.standing_pulses, "", name),
            Measure("model_away_c", abs(one.model_c - way.strain.mean_c), "°C", name),
        ]
    jnr = one.by_jnr, base.by_jnr
    return BinderUnderTraffic(
        name=name,
        route=BY_MODEL if by_model else BY_JNR,
        index=relative_index(way.strain, against.strain),
        at_mean_high=relative_index(way.at_mean_high, against.at_mean_high),
        by_jnr=relative_index(jnr[0].strain, jnr[1].strain)
        if by_model and isinstance(jnr[0], Way) and isinstance(jnr[1], Way)
        else None,
        strain_mean_c=way.strain.mean_c,
        coldest_c=line.coldest_c,
        warmest_c=line.warmest_c,
        above_percent=above,
        below_percent=below,
        retarded_percent=retarded,
        slope_from=one.slope_from,
        slope_per_c=line.slope_per_c,
        slope_standard_per_c=math.sqrt(line.covariance[2]),
        slope_source=line.prior.source if line.prior is not None else "",
        records_at=one.records_at,
        record_levels_kpa=one.levels_kpa if by_model else (),
        model_c=one.model_c if by_model else None,
        recovery=one.recovery if by_model else None,
        model_reason=unused,
        measures=tuple(measures),
        findings=judge_measures(tuple(measures), load_finding_rules(RULES)),
    )


def measures_of_all(told: Sequence[BinderUnderTraffic]) -> list[Measure]:
    """Give the measures of single binders once for all that raise a doubt, at their worst, by name.

    Parameters
    ----------
    told : sequence of BinderUnderTraffic
        The binders.

    Returns
    -------
    list of Measure
        One a doubt.
    """
    by_code: dict[str, list[BinderUnderTraffic]] = {}
    for one in told:
        codes = [finding.code for finding in one.findings]
        for code in codes:
            if code != "strain-beyond-tests" or "strain-beyond-reach" not in codes:
                by_code.setdefault(code, []).append(one)
    found = []
    for code, name in _MEASURE_OF.items():
        binders = by_code.get(code, [])
        chosen = [m for one in binders for m in one.measures if m.name == name]
        if chosen:
            values = [m.value for m in chosen]
            worst = min(values) if name in _LEAST else max(values)
            found.append(Measure(name, worst, chosen[0].unit, joined([one.name for one in binders])))
    return found
