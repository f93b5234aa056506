"""The check at the border that statistics of a row of numbers share."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from resile.errors import MeasurementError


def finite_row(values: ArrayLike, what: str, *, least: int = 1) -> NDArray[np.float64]:
    """Give numbers as a row, all of them finite.

    Parameters
    ----------
    values : array_like of float, any shape
        Numbers; flattened in their order.
    what : str
        What they are used for, for the sentence of a refusal.
    least : int
        How many are needed.

    Returns
    -------
    ndarray of float, shape (n,)
        The same numbers.

    Raises
    ------
    MeasurementError
        Where there are fewer, or one is not finite.

    References
    ----------
    By definition.

    Examples
    --------
    >>> finite_row([[1, 2], [3, 4]], "mean").tolist()
    [1.0, 2.0, 3.0, 4.0]
    """
    row = np.asarray(values, dtype=float).ravel()
    if len(row) < least:
        needed = "one number is" if least == 1 else f"{least} numbers are"
        raise MeasurementError(f"{what}: {len(row)} found; at least {needed} needed")
    if not np.isfinite(row).all():
        raise MeasurementError(f"{what}: every number must be finite")
    return row
