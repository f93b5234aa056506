"""An own precision set beside the published statement, at the middle of the values it was found for."""

from __future__ import annotations

import math

from resile.judge.results.precision import precision_at
from resile.records.laboratories.beside import PrecisionBeside
from resile.records.quantity import QUANTITIES
from resile.records.register import OwnPrecision
from resile.specifications.load import load_all_precision


def beside_published(own: OwnPrecision, value: float | None = None) -> PrecisionBeside | None:
    """Set an own precision beside the published one.

    Parameters
    ----------
    own : OwnPrecision
        As kept or proposed.
    value : float or None
        Level, in the unit of the quantity; the middle of the range it was found for where not given (the
        geometric one where both ends are above zero).

    Returns
    -------
    PrecisionBeside or None
        None where no level is known or a ratio is asked at zero.
    """
    level = _middle(own) if value is None else value
    if level is None or (own.relative and level == 0.0):
        return None
    published = precision_at(level, own.quantity, own.condition, load_all_precision())
    mine = 100.0 if own.relative else 1.0
    theirs = 100.0 / abs(level) if own.relative else 1.0
    return PrecisionBeside(
        quantity=own.quantity,
        condition=own.condition,
        value=level,
        unit="%" if own.relative else QUANTITIES[own.quantity].unit,
        repeatability=own.repeatability * mine,
        intermediate=own.intermediate * mine,
        bias=own.bias * mine,
        bias_standard=own.bias_standard * mine,
        standard=own.standard * mine,
        published_repeatability=_scaled(published.repeatability, theirs),
        published_reproducibility=_scaled(published.reproducibility, theirs),
        note=published.note,
    )


def _middle(own: OwnPrecision) -> float | None:
    low, high = own.lowest, own.highest
    if low is None or high is None:
        return low if high is None else high
    return math.sqrt(low * high) if low > 0.0 else (low + high) / 2.0


def _scaled(amount: float | None, by: float) -> float | None:
    return None if amount is None else amount * by
