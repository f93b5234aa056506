"""Uncertainty budget of a compliance: temperature, plate, gap, trimming and torque."""

from __future__ import annotations

import math
from collections.abc import Iterable

import numpy as np
from numpy.typing import ArrayLike, NDArray

from resile.errors import MeasurementError
from resile.records.uncertainty import BudgetComponent, UncertaintyBudget

# Jnr multiplies by about this for +6 °C near 60 °C, from memory of trade practice; unmodified binder 1.7 to
# 2.3 (G*/sin d of five FHWA Turner-Fairbank lanes, 2025).
JNR_FACTOR_PER_6_C = 2.2
# Torque goes with the fourth power of the radius at a given strain and gap (parallel plates), so does 1/Jnr.
RADIUS_EXPONENT = 4.0


def combined_standard(contributions: ArrayLike) -> NDArray[np.float64]:
    """Give the root sum of squares of uncorrelated contributions along the last axis.

    Parameters
    ----------
    contributions : array_like of float, shape (..., n)
        Standard uncertainties in the unit of the result.

    Returns
    -------
    ndarray of float, shape (...)
        Combined standard uncertainty.

    Raises
    ------
    MeasurementError
        Where a contribution is not finite.

    References
    ----------
    JCGM 100:2008, 5.1.2, for sensitivity coefficients already applied.

    Examples
    --------
    >>> float(combined_standard([3.0, 4.0]))
    5.0
    """
    parts = np.asarray(contributions, dtype=float)
    if not np.isfinite(parts).all():
        raise MeasurementError("uncertainty budget: every contribution must be a finite number")
    return np.asarray(np.sqrt(np.sum(parts**2, axis=-1)))


def standard_from_half_width(half_width: ArrayLike, *, shape: str = "rectangular") -> NDArray[np.float64]:
    """Give the standard uncertainty of a quantity known to lie within limits.

    Parameters
    ----------
    half_width : array_like of float
        Half the distance between the limits.
    shape : str
        ``"rectangular"`` or ``"triangular"``.

    Returns
    -------
    ndarray of float
        Half width over the square root of 3 or 6.

    Raises
    ------
    MeasurementError
        Where the shape is not known.

    References
    ----------
    JCGM 100:2008, 4.3.7 and 4.3.9.
    """
    divisors = {"rectangular": math.sqrt(3.0), "triangular": math.sqrt(6.0)}
    if shape not in divisors:
        raise MeasurementError(f"shape '{shape}' is not known; needed: {' or '.join(divisors)}")
    return np.asarray(np.abs(np.asarray(half_width, dtype=float)) / divisors[shape])


def jnr_budget(
    *,
    temperature_uncertainty_c: float = 0.0,
    diameter_uncertainty_mm: float = 0.0,
    gap_uncertainty_mm: float = 0.0,
    radius_uncertainty_percent: float = 0.0,
    torque_uncertainty_percent: float = 0.0,
    plate_diameter_mm: float = 25.0,
    nominal_gap_mm: float = 1.0,
    factor_per_6_c: float = JNR_FACTOR_PER_6_C,
) -> UncertaintyBudget:
    """Combine what is not known exactly about a creep-recovery test into the uncertainty of Jnr.

    Parameters
    ----------
    temperature_uncertainty_c : float
        Standard uncertainty of the specimen temperature [°C].
    diameter_uncertainty_mm : float
        Standard uncertainty of the plate diameter [mm].
    gap_uncertainty_mm : float
        Standard uncertainty of the gap [mm].
    radius_uncertainty_percent : float
        Standard uncertainty of the filled radius [% of the radius].
    torque_uncertainty_percent : float
        Standard uncertainty of the torque [%].
    plate_diameter_mm, nominal_gap_mm : float
        Plate diameter and gap [mm].
    factor_per_6_c : float
        Factor by which Jnr rises for +6 °C.

    Returns
    -------
    UncertaintyBudget
        For Jnr at both stresses; lines of zero are kept, so that the page shows what was left out.

    Raises
    ------
    MeasurementError
        Where an input is negative or not finite.

    Notes
    -----
    Contributions in % of Jnr: temperature ``100 (f^(u/6) - 1)``; diameter and filled radius ``4 u/R``; gap
    ``u/h``; torque ``u``. Root sum of squares of uncorrelated contributions. Check value: 0.1 °C, 0.1 mm on
    25 mm, 10 µm, 1 % of radius, 1 % give 1.3, 1.6, 1, 4, 1 and together about 4.7 %, dominated by filling.

    References
    ----------
    Parallel-plate geometry; JCGM 100:2008, 5.1.2. Temperature factor from memory of trade practice.
    """
    given = (
        temperature_uncertainty_c,
        diameter_uncertainty_mm,
        gap_uncertainty_mm,
        radius_uncertainty_percent,
        torque_uncertainty_percent,
    )
    if not all(math.isfinite(u) and u >= 0.0 for u in given):
        raise MeasurementError("uncertainty budget: standard uncertainties must be zero or above")
    if not (plate_diameter_mm > 0.0 and nominal_gap_mm > 0.0 and factor_per_6_c > 1.0):
        raise MeasurementError(
            "uncertainty budget: diameter and gap must be above zero, the factor above one"
        )
    lines = (
        BudgetComponent(
            "temperature",
            temperature_uncertainty_c,
            "°C",
            100.0 * (factor_per_6_c ** (temperature_uncertainty_c / 6.0) - 1.0),
            f"Jnr times {factor_per_6_c:g} for +6 °C",
        ),
        BudgetComponent(
            "plate diameter",
            diameter_uncertainty_mm,
            "mm",
            100.0 * RADIUS_EXPONENT * diameter_uncertainty_mm / plate_diameter_mm,
            "fourth power of the radius",
        ),
        BudgetComponent(
            "gap", gap_uncertainty_mm, "mm", 100.0 * gap_uncertainty_mm / nominal_gap_mm, "in proportion"
        ),
        BudgetComponent(
            "trimming",
            radius_uncertainty_percent,
            "% of radius",
            RADIUS_EXPONENT * radius_uncertainty_percent,
            "fourth power of the radius",
        ),
        BudgetComponent(
            "torque", torque_uncertainty_percent, "%", torque_uncertainty_percent, "in proportion"
        ),
    )
    return UncertaintyBudget(
        lines,
        _relative(line.contribution_percent for line in lines),
        ("jnr_0.1", "jnr_3.2"),
        # Every specimen is trimmed anew; the rest is the bench's own and shared by all its results.
        common_relative=_relative(line.contribution_percent for line in lines if line.name != "trimming"),
    )


def _relative(percents: Iterable[float]) -> float:
    return float(combined_standard(list(percents))) / 100.0
