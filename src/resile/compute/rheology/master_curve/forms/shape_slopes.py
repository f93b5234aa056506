"""Shapes of a master curve by name, with the derivatives that a fit needs.

Parameters stand as a fit moves them: the logarithm for what spans decades. Which to use: CA for unmodified
binders (two numbers and the glassy modulus); CAM where the phase angle levels off below 90°; 2S2P1D for
modified binders, whose phase angle has a plateau, and for sweeps over many decades.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np
from numpy.typing import ArrayLike, NDArray

from resile.compute.rheology.master_curve.forms.shapes import (
    christensen_anderson_marasteanu_modulus,
    christensen_anderson_marasteanu_phase,
    christensen_anderson_modulus,
    christensen_anderson_phase,
)
from resile.records.models.master_curve import CurveShape

Floats = NDArray[np.float64]

_LN10 = math.log(10.0)
_LOG2 = math.log10(2.0)


@dataclass(frozen=True, slots=True)
class ShapeForm:
    """What a shape needs, within which bounds it is fitted, and where it holds.

    Attributes
    ----------
    parameters, units : tuple of str
        Names and units, in order; the first is the logarithm of the glassy modulus in kPa.
    lower, upper : tuple of float
        Bounds of a fit.
    validity : str
        Where it holds.
    source : str
        Where it comes from.
    """

    parameters: tuple[str, ...]
    units: tuple[str, ...]
    lower: tuple[float, ...]
    upper: tuple[float, ...]
    validity: str
    source: str


SHAPES: Mapping[CurveShape, ShapeForm] = MappingProxyType(
    {
        CurveShape.CA: ShapeForm(
            ("log_glassy_modulus", "log_crossover_frequency", "rheological_index"),
            ("log kPa", "log rad/s", ""),
            (5.0, -25.0, 0.3),
            (7.0, 25.0, 12.0),
            "unmodified binders, from the glass to about 80° of phase angle",
            "Christensen and Anderson 1992, as printed in lecture notes (Eq. 5 to 8)",
        ),
        CurveShape.CAM: ShapeForm(
            ("log_glassy_modulus", "log_location_frequency", "rheological_index", "viscous_exponent"),
            ("log kPa", "log rad/s", "", ""),
            (5.0, -25.0, 0.3, 0.3),
            (7.0, 25.0, 12.0, 2.0),
            "unmodified and lightly modified binders, from the glass to the viscous end",
            "Marasteanu and Anderson 1999, from memory (high)",
        ),
        CurveShape.TWO_S_TWO_P_ONE_D: ShapeForm(
            (
                "log_glassy_modulus",
                "log_characteristic_time",
                "creep_weight",
                "slow_exponent",
                "fast_exponent",
                "log_dashpot_ratio",
            ),
            ("log kPa", "log s", "", "", "", ""),
            (5.0, -25.0, 1e-3, 0.01, 0.3, -1.0),
            (7.0, 25.0, 500.0, 0.6, 0.999, 12.0),
            "binders with and without polymer over many decades; static modulus taken as 0",
            "Olard and Di Benedetto 2003, from memory (high)",
        ),
    }
)
"""The shapes by name."""


@dataclass(frozen=True, slots=True)
class ShapeSlopes:
    """A shape at n frequencies, with its derivatives by the p parameters.

    Attributes
    ----------
    log_modulus, phase_deg : ndarray of float, shape (n,)
        ``log10`` of the modulus in kPa, and phase angle [°].
    log_modulus_by, phase_by : ndarray of float, shape (n, p)
        Their derivatives by each parameter.
    log_modulus_along, phase_along : ndarray of float, shape (n,)
        Their derivatives by ``log10`` of the frequency.
    """

    log_modulus: Floats
    phase_deg: Floats
    log_modulus_by: Floats
    phase_by: Floats
    log_modulus_along: Floats
    phase_along: Floats


def shape_slopes(
    shape: CurveShape | str, log_reduced_frequency: ArrayLike, parameters: ArrayLike
) -> ShapeSlopes:
    """Give a shape by its name, and its derivatives.

    Parameters
    ----------
    shape : CurveShape or str
        Name of the shape; see `SHAPES`.
    log_reduced_frequency : array_like of float, shape (n,)
        ``log10`` of the reduced frequency [rad/s].
    parameters : array_like of float, shape (p,)
        In the order of `SHAPES`.

    Returns
    -------
    ShapeSlopes

    Notes
    -----
    With ``u = (wc/w)^v``, ``f = u/(1 + u)``: ``d log|G*|/d log w = w' f`` and ``delta = 90 w' f``. With
    ``D`` the denominator of 2S2P1D: ``log|G*| = log G0 - Re ln D/ln 10``, ``delta = -Im ln D``.

    Examples
    --------
    >>> at_crossover = shape_slopes("CA", [1.0], [6.0, 1.0, 2.0])
    >>> round(float(at_crossover.log_modulus[0]), 9), float(at_crossover.phase_deg[0])
    (4.0, 45.0)
    """
    x = np.asarray(log_reduced_frequency, dtype=float)
    values = np.asarray(parameters, dtype=float).tolist()
    return _SLOPES[CurveShape(shape)](x, values)


def _christensen_anderson(x: Floats, values: list[float]) -> ShapeSlopes:
    log_glassy, log_crossover, index = values
    frequency = 10.0**x
    modulus = christensen_anderson_modulus(
        frequency,
        glassy_modulus=10.0**log_glassy,
        crossover_frequency_rad_s=10.0**log_crossover,
        rheological_index=index,
    )
    phase = christensen_anderson_phase(
        frequency, crossover_frequency_rad_s=10.0**log_crossover, rheological_index=index
    )
    return _of_the_family(x, np.log10(modulus), phase, [*values, 1.0], count=3)


def _marasteanu(x: Floats, values: list[float]) -> ShapeSlopes:
    log_glassy, log_location, index, exponent = values
    frequency = 10.0**x
    modulus = christensen_anderson_marasteanu_modulus(
        frequency,
        glassy_modulus=10.0**log_glassy,
        location_frequency_rad_s=10.0**log_location,
        rheological_index=index,
        viscous_exponent=exponent,
    )
    phase = christensen_anderson_marasteanu_phase(
        frequency,
        location_frequency_rad_s=10.0**log_location,
        rheological_index=index,
        viscous_exponent=exponent,
    )
    return _of_the_family(x, np.log10(modulus), phase, values, count=4)


def _of_the_family(
    x: Floats, log_modulus: Floats, phase: Floats, values: list[float], *, count: int
) -> ShapeSlopes:
    """Derivatives that CA and CAM share; CA is CAM with a viscous exponent of 1, which is not moved."""
    log_glassy, location, index, exponent = values
    power, apart = _LOG2 / index, location - x
    share = phase / (90.0 * exponent)
    spread = (log_glassy - log_modulus) * power / exponent  # log10(1 + u)
    turn = 90.0 * exponent * _LN10 * share * (1.0 - share)  # d delta/d(v (log wc - x))
    along = exponent * share
    by_power = exponent / power * (spread / power - share * apart)
    modulus_by = (np.ones_like(x), -along, -power / index * by_power, -spread / power)
    phase_by = (np.zeros_like(x), turn * power, -power / index * turn * apart, 90.0 * share)
    return ShapeSlopes(
        log_modulus,
        phase,
        np.column_stack(modulus_by[:count]),
        np.column_stack(phase_by[:count]),
        along,
        -turn * power,
    )


def _two_springs(x: Floats, values: list[float]) -> ShapeSlopes:
    log_glassy, log_time, weight, slow, fast, log_ratio = values
    turned = _LN10 * (x + log_time) + 0.5j * math.pi  # ln(i w tau)
    # The terms of `olard_di_benedetto_modulus`, as powers that the derivatives need once more.
    first, second = np.exp(-slow * turned), np.exp(-fast * turned)
    flow = np.exp(-turned - _LN10 * log_ratio)
    softening = 1.0 + weight * first + second + flow
    along = (slow * weight * first + fast * second + flow) / softening
    logarithm = -np.log(softening)
    by = np.column_stack(
        (
            np.ones_like(along),
            along,
            -first / softening / _LN10,
            weight * first * turned / softening / _LN10,
            second * turned / softening / _LN10,
            flow / softening,
        )
    )
    degrees = math.degrees(_LN10)
    return ShapeSlopes(
        log_glassy + logarithm.real / _LN10,
        np.degrees(logarithm.imag),
        by.real,
        degrees * by.imag,
        along.real,
        degrees * along.imag,
    )


_SLOPES = {
    CurveShape.CA: _christensen_anderson,
    CurveShape.CAM: _marasteanu,
    CurveShape.TWO_S_TWO_P_ONE_D: _two_springs,
}
