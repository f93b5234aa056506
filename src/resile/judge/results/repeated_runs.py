"""Whether the values of several runs of one binder lie as near to each other as the test method lets them."""

from __future__ import annotations

import statistics
from collections.abc import Iterable, Sequence

from resile.judge.results.precision import precision_at, range_factor
from resile.records.determination import Condition
from resile.records.repeats import Repeats
from resile.records.specification import PrecisionStatement


def judge_repeats(
    values: Sequence[float | None],
    quantity: str,
    condition: Condition,
    statements: Iterable[PrecisionStatement],
) -> Repeats:
    """Set the spread of several runs against the repeatability limit.

    Parameters
    ----------
    values : sequence of float or None
        One a run, in the unit of the quantity.
    quantity : str
        Name from the glossary.
    condition : Condition
        Residue tested.
    statements : iterable of PrecisionStatement
        Published precision.

    Returns
    -------
    Repeats
        For two runs the limit is the printed difference of two results (d2s); for more, the range factor of
        ASTM C670 times the single-operator standard deviation.
    """
    given = [value for value in values if value is not None]
    if len(given) < 2:
        return Repeats(quantity, tuple(values), note="two values are needed")
    mean, spread = statistics.fmean(given), max(given) - min(given)
    level = precision_at(mean, quantity, condition, statements)
    if len(given) == 2:
        limit = level.repeatability_limit
    else:
        limit = None if level.repeatability is None else range_factor(len(given)) * level.repeatability
    return Repeats(
        quantity,
        tuple(values),
        spread,
        100.0 * spread / mean if mean > 0.0 else None,
        limit,
        100.0 * limit / mean if limit is not None and mean > 0.0 else None,
        None if limit is None else spread <= limit,
        level.note,
    )
