"""Binders under traffic as plain data for machines."""

from __future__ import annotations

from typing import Any

from resile.records.models.pulse_train import (
    BinderUnderTraffic,
    PulseRecovery,
    RelativeIndex,
    TrafficComparison,
)
from resile.report.machine.records import finding_to_json

Json = dict[str, Any]


def traffic_to_json(comparison: TrafficComparison) -> Json:
    """Give a comparison of binders under traffic with glossary names.

    Parameters
    ----------
    comparison : TrafficComparison
        As computed.

    Returns
    -------
    dict
        Load, hours, index of each binder, evidence, findings.
    """
    train, hours = comparison.train, comparison.hours
    return {
        "reference": comparison.reference,
        "invented": comparison.invented,
        "load": {
            "stress_kpa": train.stress_kpa,
            "speed_kmh": train.speed_kmh,
            "loaded_length_m": train.loaded_length_m,
            "pulse_s": train.pulse_s,
            "rest_s": train.rest_s,
            "pulses_per_hour": train.pulses_per_hour,
            "pulses": comparison.pulses,
        },
        "hours": {
            "site": hours.site,
            "model": hours.model,
            "depth_mm": hours.depth_mm,
            "within_c": hours.within_c,
            "days": hours.days,
            "days_of_record": hours.days_of_record,
            "years": hours.years,
            "hottest_week_c": hours.hottest_week_c,
            "highest_c": hours.highest_c,
            "mean_high_c": hours.mean_high_c,
        },
        "binders": [_binder(one) for one in comparison.binders],
        "strain_by_temperature": [
            {
                "from_c": band.from_c,
                "to_c": band.to_c,
                "hours_percent": band.hours_percent,
                "strain_percent_share": band.strain_percent_share,
            }
            for band in comparison.bands
        ],
        "evidence": [
            {
                "statement": one.statement,
                "source": one.source,
                "evidence": one.evidence,
                "weakness": one.weakness,
            }
            for one in comparison.evidence
        ],
        "findings": [finding_to_json(one) for one in comparison.findings],
        "sources": [{"path": one.path, "sha256": one.sha256} for one in comparison.sources],
    }


def _binder(one: BinderUnderTraffic) -> Json:
    return {
        "name": one.name,
        "route": one.route,
        "index": _index(one.index),
        "at_mean_high": _index(one.at_mean_high),
        "strain_mean_c": one.strain_mean_c,
        "coldest_c": one.coldest_c,
        "warmest_c": one.warmest_c,
        "above_percent": one.above_percent,
        "below_percent": one.below_percent,
        "retarded_percent": one.retarded_percent,
        "reason": one.reason,
        "by_jnr": _index(one.by_jnr),
        "slope_from": one.slope_from,
        "slope_per_c": one.slope_per_c,
        "slope_standard_per_c": one.slope_standard_per_c,
        "slope_source": one.slope_source,
        "records_at": list(one.records_at),
        "record_levels_kpa": list(one.record_levels_kpa),
        "model_c": one.model_c,
        "model_reason": one.model_reason,
        "recovery": _recovery(one.recovery),
        "findings": [finding_to_json(finding) for finding in one.findings],
    }


def _recovery(found: PulseRecovery | None) -> Json | None:
    if found is None:
        return None
    return {
        "temperature_c": found.temperature_c,
        "delayed_at_once": found.delayed_at_once,
        "still_percent": found.still_percent,
        "standing_pulses": found.standing_pulses,
        "after_s": list(found.after_s),
        "delayed_per_flow": list(found.delayed_per_flow),
    }


def _index(index: RelativeIndex | None) -> Json | None:
    return None if index is None else {"value": index.value, "low": index.low, "high": index.high}
