"""The laboratory's own precision against a published one."""

from __future__ import annotations

import math
from collections.abc import Sequence

from resile.compute.statistics.own.bias import variance_ratio_limits
from resile.errors import InputError
from resile.judge.laboratories.own import comparison_words
from resile.judge.results.precision import precision_at
from resile.judge.wording import property_words
from resile.records.laboratories import OwnPrecisionFound, PrecisionComparison
from resile.records.specification import PrecisionStatement
from resile.specifications.laboratories import load_comparison_practice
from resile.specifications.load import load_all_precision


def compare_precision(
    found: OwnPrecisionFound,
    *,
    value: float | None = None,
    statements: Sequence[PrecisionStatement] | None = None,
) -> tuple[PrecisionComparison, ...]:
    """Compare the own repeatability, and the own scatter over days, with what is published.

    Parameters
    ----------
    found : OwnPrecisionFound
        Worked out, with degrees of freedom.
    value : float or None
        Level at which the published one is looked up; the geometric middle of the duplicates (their
        arithmetic middle where one is not above zero) where not given.
    statements : sequence of PrecisionStatement or None
        Published precision; all there is where not given.

    Returns
    -------
    tuple of PrecisionComparison
        Repeatability against repeatability; scatter over days against reproducibility, which it should not
        exceed. Empty where nothing is published at that level. The published variance counts as known.

    Raises
    ------
    InputError
        Where no level is known.
    """
    level = _level(found) if value is None else value
    published = precision_at(
        level, found.quantity, found.condition, load_all_precision() if statements is None else statements
    )
    significance = load_comparison_practice().comparison_significance
    scale = level if found.relative else 1.0
    compared = []
    for what, own, freedom, theirs in (
        ("repeatability", found.repeatability, found.repeatability_freedom, published.repeatability),
        ("intermediate", found.intermediate, found.intermediate_freedom, published.reproducibility),
    ):
        if theirs is None or theirs <= 0.0:
            continue
        limits = variance_ratio_limits(freedom, significance=significance)
        ratio = (own * scale / theirs) ** 2
        judged, sentence = comparison_words(what, own * scale, theirs, ratio, limits)
        compared.append(
            PrecisionComparison(
                what=what,
                value=level,
                own=own * scale,
                published=theirs,
                own_freedom=freedom,
                ratio=ratio,
                lower_critical=limits[0],
                upper_critical=limits[1],
                judged=judged,
                sentence=sentence,
                note=published.note,
            )
        )
    return tuple(compared)


def _level(found: OwnPrecisionFound) -> float:
    if found.lowest is None or found.highest is None:
        raise InputError(
            f"{property_words(found.quantity)}: the level is not known; name the value to compare at"
        )
    if found.lowest > 0.0:
        return math.sqrt(found.lowest * found.highest)
    return (found.lowest + found.highest) / 2.0
