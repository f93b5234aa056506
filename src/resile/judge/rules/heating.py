"""The heatings of a can against the rule in force."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from resile.judge.wording import number_words
from resile.records.finding import Finding
from resile.records.house_rule import HeatingLimit, HeatingRule
from resile.records.register import Heating


@dataclass(frozen=True, slots=True)
class BeyondLimit:
    """One heating that lies beyond one limit.

    Attributes
    ----------
    limit : HeatingLimit
        The limit.
    finding : Finding
        What is said.
    """

    limit: HeatingLimit
    finding: Finding


def judge_heatings(
    heatings: Sequence[Heating], rule: HeatingRule, *, can: str, modified: bool
) -> tuple[tuple[BeyondLimit, ...], ...]:
    """Compare every heating of a can with the rule.

    Parameters
    ----------
    heatings : sequence of Heating
        All of one can, the first one first.
    rule : HeatingRule
        The rule in force.
    can : str
        What is written on the can.
    modified : bool
        True for polymer-modified binder.

    Returns
    -------
    tuple of tuple of BeyondLimit
        For each heating the limits it lies beyond, in the order of the rule.
    """
    kind = "modified" if modified else "unmodified"
    limits = [limit for limit in rule.limits if limit.binder in ("any", kind)]
    judged = []
    total = 0.0
    for place, heating in enumerate(heatings, start=1):
        total += heating.duration_min or 0.0
        measures = {
            "heating_count": float(place),
            "duration_min": heating.duration_min,
            "preparation_min": heating.preparation_min,
            "total_min": total,
            "temperature_c": heating.temperature_c,
        }
        where = f"can {can}, heating {place} on {heating.started[:10]}"
        found = [_beyond(limit, measures[limit.measure], where, heating) for limit in limits]
        judged.append(tuple(one for one in found if one is not None))
    return tuple(judged)


def heats_left(count: int, rule: HeatingRule) -> int | None:
    """Tell how often a can may still be heated.

    Parameters
    ----------
    count : int
        How often it was.
    rule : HeatingRule
        The rule in force.

    Returns
    -------
    int or None
        None where the rule does not limit it.
    """
    highest = [
        limit.highest
        for limit in rule.limits
        if limit.measure == "heating_count" and limit.highest is not None
    ]
    return max(0, int(min(highest)) - count) if highest else None


def _beyond(limit: HeatingLimit, value: float | None, where: str, heating: Heating) -> BeyondLimit | None:
    if value is None:
        return None
    above = limit.highest is not None and value > limit.highest
    below = limit.lowest is not None and value < limit.lowest
    if not (above or below):
        return None
    end = limit.highest if above else limit.lowest
    unit = f" {limit.unit}" if limit.unit else ""
    asked = f"{'at most' if above else 'at least'} {number_words(end or 0.0)}{unit}"
    permitted = " A person who may do so let it stand." if heating.permitted_by else ""
    finding = Finding(
        code=f"heated-beyond-limit-{limit.measure.removesuffix('_min').removesuffix('_c').replace('_', '-')}",
        severity=limit.severity,
        message=f"{where[0].upper()}{where[1:]}: {limit.title} is {number_words(value)}{unit}; "
        f"needed: {asked}.{permitted}",
        rule=f"{limit.title}: {asked}",
        value=value,
        limit=end,
        unit=limit.unit,
        source=limit.source,
        advice=limit.advice,
    )
    return BeyondLimit(limit, finding)
