"""Shifts of a master curve with temperature, each by author and year."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]


def kaelble_log_shift(
    temperature_c: ArrayLike, *, reference_c: float, defining_c: float, c1: float, c2: float
) -> Floats:
    """Give the shift with temperature by Kaelble, as modified by Rowe and Sharrock.

    Parameters
    ----------
    temperature_c : array_like of float, shape (n,) or scalar
        Temperature [°C].
    reference_c, defining_c : float
        Temperature of shift zero; temperature at which the form changes [°C].
    c1, c2 : float
        Constants [1], [°C].

    Returns
    -------
    ndarray of float
        ``log10 aT``: falls with temperature.

    Notes
    -----
    ``log aT = -C1 [(T - Td)/(C2 + |T - Td|) - (Tr - Td)/(C2 + |Tr - Td|)]``. Above ``Td``, with ``Tr = Td``,
    it is the equation of Williams, Landel and Ferry.

    References
    ----------
    Rowe and Sharrock 2011, from memory (high).

    Examples
    --------
    >>> round(float(kaelble_log_shift(20.0, reference_c=0.0, defining_c=0.0, c1=19.0, c2=92.0)), 6)
    -3.392857
    """

    def term(kelvin_apart: Floats) -> Floats:
        return kelvin_apart / (c2 + np.abs(kelvin_apart))

    here = np.asarray(temperature_c, dtype=float) - defining_c
    return np.asarray(-c1 * (term(here) - term(np.asarray(reference_c - defining_c))))
