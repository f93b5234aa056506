"""Dose of a recycling agent from one blend tested without it and with one dose."""

from __future__ import annotations

import math

from resile.errors import MeasurementError
from resile.records.blending.reclaimed import RecyclingDose


def recycling_dose(
    without_c: tuple[float, float],
    with_c: tuple[float, float],
    *,
    tested_percent: float,
    wanted_high_c: float,
    contract_high_c: float | None = None,
) -> RecyclingDose:
    """Give the dose that brings the high temperature of a blend down to a wanted one.

    Parameters
    ----------
    without_c : tuple of float
        High and low temperature of the blend without agent [°C].
    with_c : tuple of float
        The same with the tested dose [°C].
    tested_percent : float
        That dose [%].
    wanted_high_c : float
        High temperature wanted, for example that of a blend that has served [°C].
    contract_high_c : float or None
        High temperature that must be kept [°C].

    Returns
    -------
    RecyclingDose
        Dose, low temperature at it, and the largest dose that keeps the contract.

    Raises
    ------
    MeasurementError
        Where the agent does not lower the high temperature, or the wanted one is above that of the blend.

    Notes
    -----
    Straight lines: ``dose = (H0 - H_wanted)/(H0 - H_tested) x tested``. Beyond the tested dose the line is
    extended, and that is told.

    References
    ----------
    FHWA Turner-Fairbank, sheet on dosage of recycling agents (2025).

    Examples
    --------
    >>> found = recycling_dose((77.4, -22.2), (65.55, -32.0), tested_percent=5.0, wanted_high_c=71.35)
    >>> round(found.dose_percent, 3)
    2.553
    """
    numbers = (*without_c, *with_c, tested_percent, wanted_high_c)
    if not all(math.isfinite(one) for one in numbers) or tested_percent <= 0.0:
        raise MeasurementError("recycling agent: every temperature must be a number and the dose above zero")
    fall = without_c[0] - with_c[0]
    if fall <= 0.0:
        raise MeasurementError(
            f"recycling agent: {tested_percent:g} % of it took the high temperature from {without_c[0]:g} to "
            f"{with_c[0]:g} °C; needed is a fall"
        )
    if wanted_high_c > without_c[0]:
        raise MeasurementError(
            f"recycling agent: the blend without it is at {without_c[0]:g} °C, "
            f"below the wanted {wanted_high_c:g} °C"
        )
    dose = (without_c[0] - wanted_high_c) / fall * tested_percent
    largest = None
    if contract_high_c is not None:
        largest = max(0.0, (without_c[0] - contract_high_c) / fall * tested_percent)
    return RecyclingDose(
        dose_percent=dose,
        high_c=wanted_high_c,
        low_c=without_c[1] + (with_c[1] - without_c[1]) * dose / tested_percent,
        largest_percent=largest,
        extrapolated=dose > tested_percent,
        largest_extrapolated=largest is not None and largest > tested_percent,
    )
