"""Errors of quick tests on lots the model has not seen: lots left out of the fit, and lots after it.

Use `leave_one_lot_out` for each lot predicted from the others, `left_out_standard` for the scatter they tell,
`drift_of_errors` for what came after the fit.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike

from resile.compute.statistics.surrogates.line import fit_surrogate, predict_surrogate
from resile.errors import InputError
from resile.records.control.surrogate import ErrorDrift, LeftOutLot


def leave_one_lot_out(quick: ArrayLike, slow: ArrayLike, lots: Sequence[str]) -> tuple[LeftOutLot, ...]:
    """Predict every lot from the other lots alone.

    Parameters
    ----------
    quick : array_like of float, shape (n, k)
        Quick properties, one row a sample.
    slow : array_like of float, shape (n,)
        The slow property.
    lots : sequence of str, length n
        Lot of each sample: all samples of a lot are left out together.

    Returns
    -------
    tuple of LeftOutLot
        One a sample, in the order given.

    Raises
    ------
    InputError
        See `fit_surrogate`; where too few samples are left without a lot.

    References
    ----------
    Cross-validation by group, from the definition: no number of the lot enters its prediction.

    Examples
    --------
    >>> places = [[0.0], [1.0], [2.0], [3.0], [4.0]]
    >>> left = leave_one_lot_out(places, [1.0, 3.0, 5.0, 7.0, 9.0], list("abcde"))
    >>> [round(one.predicted, 6) for one in left]
    [1.0, 3.0, 5.0, 7.0, 9.0]
    """
    rows, seen = np.asarray(quick, dtype=float), np.asarray(slow, dtype=float)
    names = np.asarray(lots, dtype=object)
    if rows.ndim != 2 or names.shape != seen.shape or len(rows) != seen.size:
        raise InputError(
            f"quick tests: {seen.size} samples and {names.size} lots found; a lot each is needed"
        )
    found: list[LeftOutLot | None] = [None] * seen.size
    for lot in dict.fromkeys(lots):
        out = names == lot
        model = fit_surrogate(rows[~out], seen[~out])
        for place in np.flatnonzero(out):
            at = predict_surrogate(model, rows[place].tolist())
            found[int(place)] = LeftOutLot(
                lot=lot,
                observed=float(seen[place]),
                predicted=at.value,
                error=float(seen[place]) - at.value,
                leverage=at.leverage,
                place=at.place,
            )
    return tuple(one for one in found if one is not None)


def left_out_standard(left: Sequence[LeftOutLot]) -> float:
    """Give the scatter of a new value about the line, from lots left out.

    Parameters
    ----------
    left : sequence of LeftOutLot
        From `leave_one_lot_out`; one at least.

    Returns
    -------
    float
        ``sqrt(mean(e²/(1 + h)))``: without what the distance from the other lots adds.

    Raises
    ------
    InputError
        Where there is none.

    References
    ----------
    The variance of a prediction is ``s² (1 + h)``, NIST/SEMATECH e-Handbook, 4.5.1.

    Examples
    --------
    >>> left_out_standard([LeftOutLot("a", 1.0, 0.0, 1.0, 0.0, "inside")])
    1.0
    """
    if not left:
        raise InputError("quick tests: no lot was left out")
    return math.sqrt(sum(one.error**2 / (1.0 + one.leverage) for one in left) / len(left))


def drift_of_errors(errors: ArrayLike, standard: float, *, recent: int = 5) -> ErrorDrift:
    """Give how errors of prediction since the fit lie: their recent mean, and the largest.

    Parameters
    ----------
    errors : array_like of float, shape (n,)
        Observed less predicted, in the order of time, on the scale of the model.
    standard : float
        Standard deviation of one error by the fit, above zero.
    recent : int
        How many of the newest make the mean, one at least.

    Returns
    -------
    ErrorDrift
        Mean of the newest in its own standard errors, largest in standard deviations; zeros for no errors.

    Raises
    ------
    InputError
        Where a number is not finite or the standard deviation not above zero.

    Notes
    -----
    ``mean sqrt(m)/s`` over the newest ``m`` errors.

    References
    ----------
    Standard error of a mean, from the definition.

    Examples
    --------
    >>> drift_of_errors([0.1, 0.1, 0.1, 0.1], 0.1)
    ErrorDrift(count=4, mean_in_standard_errors=2.0..., largest_in_standards=1.0)
    """
    series = np.asarray(errors, dtype=float).ravel()
    if not np.isfinite(series).all() or not (math.isfinite(standard) and standard > 0.0) or recent < 1:
        raise InputError("quick tests: finite errors and a standard deviation above 0 are needed for a drift")
    if series.size == 0:
        return ErrorDrift(0, 0.0, 0.0)
    newest = series[-recent:]
    mean = float(newest.mean()) * math.sqrt(newest.size) / standard
    return ErrorDrift(int(series.size), mean, float(np.max(np.abs(series))) / standard)
