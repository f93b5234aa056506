"""delta-Tc: how far apart the critical temperatures of stiffness and m-value lie."""

from __future__ import annotations

import math

from resile.compute.statistics.uncertainty.coverage import coverage_factor, effective_degrees_of_freedom
from resile.errors import MeasurementError
from resile.records.critical_temperature import CriticalTemperature, CriticalTemperatureDifference


def critical_temperature_difference(
    stiffness: CriticalTemperature, slope: CriticalTemperature, *, covariance: float = 0.0
) -> CriticalTemperatureDifference:
    """Give delta-Tc: the critical temperature of stiffness less that of the m-value.

    Parameters
    ----------
    stiffness, slope : CriticalTemperature
        Of S and of m, from the same beams.
    covariance : float
        Of the two temperatures [°C²]. An error of the bath that both share has its own variance as
        covariance, and cancels in the difference.

    Returns
    -------
    CriticalTemperatureDifference
        None, with the reason, where either is missing.

    Raises
    ------
    MeasurementError
        Where the covariance is larger than the two uncertainties allow.

    Notes
    -----
    ``u^2 = u_S^2 + u_m^2 - 2 cov``. More negative: governed by the m-value, poorer relaxation.

    References
    ----------
    M. Anderson 2011; ASTM D7643; JCGM 100:2008, 5.2.2.
    """
    missing = [
        f"{name}: {part.reason}"
        for name, part in (("stiffness", stiffness), ("m-value", slope))
        if part.temperature_c is None
    ]
    if stiffness.temperature_c is None or slope.temperature_c is None:
        return CriticalTemperatureDifference(None, covariance=covariance, reason="; ".join(missing))
    standard, between, factor = None, None, 2.0
    if stiffness.standard is not None and slope.standard is not None:
        if abs(covariance) > stiffness.standard * slope.standard * (1.0 + 1e-9):
            raise MeasurementError(
                f"delta-Tc: a covariance of {covariance:g} °C² is more than the standard uncertainties "
                f"{stiffness.standard:g} and {slope.standard:g} °C allow"
            )
        variance = stiffness.standard**2 + slope.standard**2 - 2.0 * covariance
        standard = math.sqrt(max(variance, 0.0))
        shared = abs(stiffness.standard - slope.standard)
        between = (math.hypot(stiffness.standard, slope.standard), shared)
        factor = _coverage(stiffness, slope)
    return CriticalTemperatureDifference(
        stiffness.temperature_c - slope.temperature_c,
        standard,
        covariance,
        stiffness.extrapolated or slope.extrapolated,
        standard_range=between,
        coverage_factor=factor,
    )


def _coverage(stiffness: CriticalTemperature, slope: CriticalTemperature) -> float:
    """Give the coverage factor of the difference, as for independent parts."""
    freedom = [part.degrees_of_freedom or math.inf for part in (stiffness, slope)]
    parts = [part.standard or 0.0 for part in (stiffness, slope)]
    together = float(effective_degrees_of_freedom(parts, freedom))
    return float(coverage_factor(max(together, 1.0))) if math.isfinite(together) else 2.0
