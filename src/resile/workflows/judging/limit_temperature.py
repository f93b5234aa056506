"""The temperature at which one property meets a limit, with the uncertainty that its results carry."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np

from resile.compute.statistics.critical.critical_temperature import critical_temperature
from resile.compute.statistics.critical.critical_uncertainty import with_uncertainty
from resile.errors import MeasurementError
from resile.records.correlation import ErrorCorrelation
from resile.records.critical_temperature import CriticalTemperature
from resile.records.determination import Result, Uncertainty

INTERPOLATION_RULES = {
    "rutting_parameter": "log",
    "fatigue_parameter": "log",
    "creep_stiffness": "log",
    "jnr_3.2": "log",
    "m_value": "linear",
    "failure_strain_percent": "linear",
}
"""ASTM D7643, recalled (high), confirmed by both FHWA data sets; Jnr3.2: no standard formula, own choice."""

SEED = 20_240_601
"""Of the generator each temperature is drawn with: the same file gives the same number."""
DRAWS = 20_000
"""The ends of a 95 % interval then scatter by 0.02 standard uncertainties: below the 0.1 °C that is shown."""


def temperature_at_limit(
    points: Sequence[Result],
    limit: float,
    correlation: ErrorCorrelation,
    *,
    both_rules: bool = False,
    allow_extrapolation: bool = False,
) -> CriticalTemperature:
    """Give the temperature at which results of one property meet a limit.

    Parameters
    ----------
    points : sequence of Result
        Of one quantity, each with a value and a temperature of its own.
    limit : float
        In the unit of the quantity.
    correlation : ErrorCorrelation
        What the errors at two temperatures share.
    both_rules, allow_extrapolation : bool
        See `resile.compute.statistics.critical.critical_temperature.critical_temperature`.

    Returns
    -------
    CriticalTemperature
        Without a temperature, and with the reason, where the results do not carry one; with an uncertainty
        where every result has one.

    Notes
    -----
    Where nothing is declared, the errors at the two temperatures share what is common to the laboratory:
    ``r = c1 c2/(u1 u2)``. The linear law is used where it holds, simulation with `SEED` where it does not.
    """
    rule = INTERPOLATION_RULES[points[0].quantity]
    temperatures = [r.temperature_c for r in points if r.temperature_c is not None]
    doubts = [r.uncertainty for r in points if r.uncertainty is not None]
    try:
        found = critical_temperature(
            temperatures,
            [r.value for r in points if r.value is not None],
            limit,
            rule=rule,
            both_rules=both_rules,
            allow_extrapolation=allow_extrapolation,
        )
        if len(doubts) < len(points) or found.temperature_c is None:
            return found
        return _with_uncertainty(found, dict(zip(temperatures, doubts, strict=True)), correlation)
    except MeasurementError as error:
        # A value of zero, say: the sample is still judged, and the reason stands where the number would be.
        return CriticalTemperature(None, limit, rule, reason=str(error))


def _with_uncertainty(
    found: CriticalTemperature, doubts: Mapping[float, Uncertainty], correlation: ErrorCorrelation
) -> CriticalTemperature:
    colder, warmer = (doubts[point.temperature_c] for point in found.points)
    shared = correlation.between_temperatures
    if shared is None:
        shared = colder.common_standard * warmer.common_standard / (colder.standard * warmer.standard)
    points = tuple(replace(p, standard=doubts[p.temperature_c].standard) for p in found.points)
    return with_uncertainty(
        replace(found, points=points, correlation=min(shared, 1.0)),
        degrees_of_freedom=(colder.degrees_of_freedom, warmer.degrees_of_freedom),
        distribution="log-normal" if found.rule == "log" else "normal",
        rng=np.random.default_rng(SEED),
        draws=DRAWS,
        only_where_needed=True,
    )
