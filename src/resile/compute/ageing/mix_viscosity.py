"""Viscosity after mixing and laying from that of the original binder: the one published relation at hand.

It is no kinetic law: it knows neither time nor temperature of mixing. None that could be coded is at hand.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from resile.errors import MeasurementError

INTERCEPT, INTERCEPT_BY_CODE = 0.054405, 0.004082
SLOPE, SLOPE_BY_CODE = 0.972035, 0.010886
"""NCHRP 1-37A, Part 2, chapter 2: from memory (medium)."""
CODES = (-1, 0, 1, 2)
"""Resistance to hardening, from excellent to poor: NCHRP 1-37A, from memory (low)."""
_CP_IN_PA_S = 1000.0
_LEAST_CP = 10.0


def mix_viscosity(original_pa_s: ArrayLike, *, hardening_code: int = 0) -> NDArray[np.float64]:
    """Give the viscosity of a binder after mixing and laying.

    Parameters
    ----------
    original_pa_s : array_like of float
        Viscosity of the original binder at one temperature, above 0.01 Pa·s [Pa·s].
    hardening_code : int
        Resistance to hardening: -1 excellent, 0 good, 1 fair, 2 poor.

    Returns
    -------
    ndarray of float
        Viscosity at the same temperature [Pa·s].

    Raises
    ------
    MeasurementError
        Where a viscosity is not above 0.01 Pa·s, or the code is none of the four.

    Notes
    -----
    ``log log eta_mix = a0 + a1 log log eta``, eta in cP, ``a0 = 0.054405 + 0.004082 code``,
    ``a1 = 0.972035 + 0.010886 code``. Unmodified binder of usual plants; how long and how hot it was mixed
    does not enter. Never in place of a test on the short-term aged residue.

    References
    ----------
    NCHRP 1-37A, Part 2, chapter 2: from memory (medium); meaning of the codes from memory (low).
    """
    viscosity = np.asarray(original_pa_s, dtype=float) * _CP_IN_PA_S
    if hardening_code not in CODES:
        raise MeasurementError(f"hardening code {hardening_code}: -1, 0, 1 or 2 is needed")
    if not np.isfinite(viscosity).all() or np.any(viscosity <= _LEAST_CP):
        raise MeasurementError("viscosity before mixing: a finite number above 0.01 Pa·s is needed")
    intercept = INTERCEPT + INTERCEPT_BY_CODE * hardening_code
    slope = SLOPE + SLOPE_BY_CODE * hardening_code
    double_log = intercept + slope * np.log10(np.log10(viscosity))
    return np.asarray(10.0 ** (10.0**double_log) / _CP_IN_PA_S)
