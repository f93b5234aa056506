"""A master curve as plain data for machines."""

from __future__ import annotations

from typing import Any

from resile.records.models.master_curve import CurvePoint, Isotherm, MasterCurve, SmoothCurve
from resile.records.models.parameter import ModelParameter
from resile.report.machine.records import finding_to_json

Json = dict[str, Any]


def master_curve_to_json(curve: MasterCurve) -> Json:
    """Give a master curve with glossary names.

    Parameters
    ----------
    curve : MasterCurve
        As fitted.

    Returns
    -------
    dict
        Parameters with intervals, isotherms with residuals, every point, findings.
    """
    return {
        "sources": [{"path": source.path, "sha256": source.sha256} for source in curve.sources],
        "label": curve.label,
        "sample": curve.sample,
        "shape": str(curve.shape),
        "shift": str(curve.shift),
        "reference_c": curve.reference_c,
        "modulus_weight_decades": curve.modulus_weight_decades,
        "phase_weight_deg": curve.phase_weight_deg,
        "parameters": [_parameter(one) for one in curve.parameters],
        "shift_parameters": [_parameter(one) for one in curve.shift_parameters],
        "nodes_c": list(curve.nodes_c),
        "derived": [_parameter(one) for one in curve.derived],
        "modulus_rms_decades": curve.modulus_rms_decades,
        "modulus_worst_decades": curve.modulus_worst_decades,
        "phase_rms_deg": curve.phase_rms_deg,
        "phase_worst_deg": curve.phase_worst_deg,
        "lowest_reduced_frequency_rad_s": curve.lowest_reduced_frequency_rad_s,
        "highest_reduced_frequency_rad_s": curve.highest_reduced_frequency_rad_s,
        "repeated_rows": curve.repeated_rows,
        "residual_correlations": list(curve.residual_correlations),
        "smooth": _smooth(curve.smooth),
        "isotherms": [_isotherm(one) for one in curve.isotherms],
        "points": [_point(one) for one in curve.points],
        "measures": {measure.name: measure.value for measure in curve.measures},
        "findings": [finding_to_json(finding) for finding in curve.findings],
    }


def _parameter(parameter: ModelParameter) -> Json:
    return {
        "name": parameter.name,
        "value": parameter.value,
        "unit": parameter.unit,
        "lower": parameter.lower,
        "upper": parameter.upper,
        "fitted": parameter.fitted,
        "where": parameter.where,
    }


def _smooth(smooth: SmoothCurve) -> Json:
    return {
        "degree": smooth.degree,
        "shift": str(smooth.shift),
        "shift_parameters": [_parameter(one) for one in smooth.shift_parameters],
        "nodes_c": list(smooth.nodes_c),
        "wlf_parameters": [_parameter(one) for one in smooth.wlf_parameters],
        "modulus_rms_decades": smooth.modulus_rms_decades,
        "modulus_worst_decades": smooth.modulus_worst_decades,
    }


def _isotherm(isotherm: Isotherm) -> Json:
    return {
        "label": isotherm.label,
        "temperature_c": isotherm.temperature_c,
        "lowest_temperature_c": isotherm.lowest_temperature_c,
        "highest_temperature_c": isotherm.highest_temperature_c,
        "points": isotherm.points,
        "log_shift": isotherm.log_shift,
        "modulus_rms_decades": isotherm.modulus_rms_decades,
        "modulus_worst_decades": isotherm.modulus_worst_decades,
        "phase_rms_deg": isotherm.phase_rms_deg,
        "phase_worst_deg": isotherm.phase_worst_deg,
        "slope_phase_mean_deg": isotherm.slope_phase_mean_deg,
        "slope_phase_worst_deg": isotherm.slope_phase_worst_deg,
    }


def _point(point: CurvePoint) -> Json:
    return {
        "isotherm": point.isotherm,
        "temperature_c": point.temperature_c,
        "angular_frequency_rad_s": point.angular_frequency_rad_s,
        "complex_modulus": point.complex_modulus,
        "phase_angle": point.phase_angle,
        "log_shift": point.log_shift,
        "reduced_frequency_rad_s": point.reduced_frequency_rad_s,
        "modulus_residual_decades": point.modulus_residual_decades,
        "phase_residual_deg": point.phase_residual_deg,
    }
