"""Recovery over the net polymer content: a curve that rises from a threshold to a plateau."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from resile.errors import MeasurementError

Floats = NDArray[np.float64]

WIDTHS_TO_END = 2.0
"""Widths from the middle of the rise to threshold and plateau: at 12 and 88 % of the plateau (own choice)."""


class RecoveryRise(NamedTuple):
    """Where the curve begins to rise and where it levels off.

    Attributes
    ----------
    threshold_percent, plateau_percent : float
        Polymer at 12 and at 88 % of the plateau [%].
    """

    threshold_percent: float
    plateau_percent: float


def recovery_curve(polymer_percent: ArrayLike, parameters: ArrayLike) -> Floats:
    """Give the recovery at a polymer content.

    Parameters
    ----------
    polymer_percent : array_like of float, shape (n,)
        Net polymer of the blend by mass [%].
    parameters : array_like of float, shape (3,)
        Plateau, middle and width of the rise [%].

    Returns
    -------
    ndarray of float, shape (n,)
        ``plateau/(1 + exp(-(c - middle)/width))`` [%].

    Notes
    -----
    An own choice of shape: published ladders say that recovery changes fast below a turning point and
    slowly above it, not along which curve.
    """
    plateau, middle, width = np.asarray(parameters, dtype=float)
    return np.asarray(plateau * _risen(polymer_percent, middle, width))


def recovery_slopes(polymer_percent: ArrayLike, parameters: ArrayLike) -> tuple[Floats, Floats]:
    """Give how the curve changes with its parameters and with the polymer.

    Parameters
    ----------
    polymer_percent : array_like of float, shape (n,)
        Net polymer of the blend by mass [%].
    parameters : array_like of float, shape (3,)
        Plateau, middle and width of the rise [%].

    Returns
    -------
    tuple of ndarray of float, shapes (n, 3) and (n,)
        On plateau, middle and width; on the polymer content [%/%].
    """
    plateau, middle, width = np.asarray(parameters, dtype=float)
    content = np.asarray(polymer_percent, dtype=float)
    risen = _risen(content, middle, width)
    along = plateau * risen * (1.0 - risen) / width
    return np.stack([risen, -along, -along * (content - middle) / width], axis=-1), np.asarray(along)


def recovery_rise(parameters: ArrayLike) -> RecoveryRise:
    """Give where the curve begins to rise and where it levels off.

    Parameters
    ----------
    parameters : array_like of float, shape (3,)
        Plateau, middle and width of the rise [%].

    Returns
    -------
    RecoveryRise
        Polymer two widths below and above the middle; the threshold is not below 0.

    Raises
    ------
    MeasurementError
        Where the width is not above zero.
    """
    _, middle, width = np.asarray(parameters, dtype=float)
    if not width > 0.0:
        raise MeasurementError("recovery curve: its width must be above zero")
    aside = WIDTHS_TO_END * float(width)
    return RecoveryRise(max(0.0, float(middle) - aside), float(middle) + aside)


def _risen(polymer_percent: ArrayLike, middle: float, width: float) -> Floats:
    away = (np.asarray(polymer_percent, dtype=float) - middle) / width
    return np.asarray(1.0 / (1.0 + np.exp(-np.clip(away, -500.0, 500.0))))
