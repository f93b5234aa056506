"""A linear amplitude sweep as plain data for machines."""

from __future__ import annotations

from typing import Any

from resile.records.models.amplitude_sweep import AmplitudeSweep, FatigueLaw
from resile.report.machine.records import account_to_json, finding_to_json

Json = dict[str, Any]


def amplitude_sweep_to_json(sweep: AmplitudeSweep) -> Json:
    """Give the analysis of one amplitude sweep with glossary names.

    Parameters
    ----------
    sweep : AmplitudeSweep
        As analysed.

    Returns
    -------
    dict
        Slope, laws (the leading one first), peak, curve, findings.
    """
    peak = None if sweep.peak is None else sweep.points[sweep.peak]
    return {
        "source": {"path": sweep.source.path, "sha256": sweep.source.sha256} if sweep.source else None,
        "label": sweep.label,
        "sample": sweep.sample,
        "temperature_c": sweep.temperature_c,
        "frequency_hz": sweep.frequency_hz,
        "modulus_slope": {
            "slope": sweep.slope.slope,
            "intercept": sweep.slope.intercept,
            "standard": sweep.slope.standard,
            "points": sweep.slope.points,
            "determination": sweep.slope.determination,
        },
        "stress_peak": None
        if peak is None
        else {
            "strain_percent": peak.strain_percent,
            "stress_kpa": peak.stress_kpa,
            "integrity": peak.integrity,
        },
        "laws": [_law(law) for law in sweep.laws],
        "curve": [
            {
                "time_s": point.time_s,
                "strain_percent": point.strain_percent,
                "stress_kpa": point.stress_kpa,
                "integrity": point.integrity,
                "damage": point.damage,
            }
            for point in sweep.points
        ],
        "measures": {measure.name: measure.value for measure in sweep.measures},
        "findings": [finding_to_json(finding) for finding in sweep.findings],
        "account": account_to_json(sweep.account) if sweep.account else None,
    }


def _law(law: FatigueLaw) -> Json:
    return {
        "convention": str(law.convention),
        "form": str(law.form),
        "failure": str(law.failure),
        "damage_exponent": law.damage_exponent,
        "integrity_initial": law.fit.initial,
        "loss_coefficient": law.fit.loss_coefficient,
        "loss_exponent": law.fit.loss_exponent,
        "fit_points": law.fit.points,
        "fit_scatter": law.fit.scatter,
        "loss_at_failure": law.loss_at_failure,
        "damage_at_failure": law.damage_at_failure,
        "coefficient_a": _with_interval(law.coefficient_a, law.a_low, law.a_high),
        "exponent_b": _with_interval(law.exponent_b, law.b_low, law.b_high),
        "lives": [
            {
                "strain_percent": life.strain_percent,
                "cycles": _with_interval(life.cycles, life.low, life.high),
            }
            for life in law.lives
        ],
    }


def _with_interval(value: float, low: float | None, high: float | None) -> Json:
    return {"value": value, "low": low, "high": high}
