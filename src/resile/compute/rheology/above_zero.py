"""What equations with powers and logarithms ask of their numbers."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from resile.errors import MeasurementError


def above_zero(where: str, name: str, values: ArrayLike) -> NDArray[np.float64]:
    """Give numbers as an array, or refuse them where one is not above zero.

    Parameters
    ----------
    where : str
        What is worked out, as the sentence of the refusal begins.
    name : str
        What the numbers are.
    values : array_like of float
        The numbers.

    Returns
    -------
    ndarray of float
        As they came.

    Raises
    ------
    MeasurementError
        Where one is not finite or not above zero.

    Examples
    --------
    >>> above_zero("bending beam", "stiffness", [300.0])
    array([300.])
    """
    numbers = np.asarray(values, dtype=float)
    if not np.isfinite(numbers).all() or np.any(numbers <= 0.0):
        raise MeasurementError(f"{where}: every {name} must be a finite number above zero")
    return numbers
