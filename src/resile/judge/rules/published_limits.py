"""A result beside limits that published sources print: compared only where the ageing is the same."""

from __future__ import annotations

from collections.abc import Sequence

from resile.judge.results.conformity import meets
from resile.judge.wording import number_words
from resile.records.published_limit import LimitStanding, PublishedLimit


def stand_to_limits(
    value: float | None, ageing_h: float | None, limits: Sequence[PublishedLimit]
) -> tuple[LimitStanding, ...]:
    """Compare a value with published limits.

    Parameters
    ----------
    value : float or None
        In the unit of the limits; None gives no comparison.
    ageing_h : float or None
        Hours of pressure ageing that the value belongs to [h]; None where not stated.
    limits : sequence of PublishedLimit
        As loaded.

    Returns
    -------
    tuple of LimitStanding
        One a limit, in their order; a limit for other hours, or for hours unknown on either side, is not
        compared.
    """
    if value is None:
        return ()
    found = []
    for one in limits:
        reason = _why_not(ageing_h, one)
        met = None if reason else meets(value, one.limit, one.bound)
        found.append(LimitStanding(one, met, reason))
    return tuple(found)


def _why_not(ageing_h: float | None, one: PublishedLimit) -> str:
    if one.ageing_h is None:
        return "the source does not state the hours of ageing"
    if ageing_h is None:
        return "the hours of ageing of this result are not stated"
    if abs(ageing_h - one.ageing_h) > one.hours_tolerance_h:
        return f"this result is after {number_words(ageing_h)} h"
    return ""
