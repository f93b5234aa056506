"""Where a check with a material of known value fell, and what to do."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from resile.judge.findings import judge_measures
from resile.judge.laboratories.rounds import same_side
from resile.judge.wording import number_words
from resile.records.finding import Finding, FindingRule, Measure
from resile.records.laboratories import CheckVerdict, ToleranceZone
from resile.records.register.laboratories import CheckMaterial, CheckResult

INSIDE = "inside"
REPEAT = "repeat"
OUTSIDE = "outside"
_SLACK = 1e-9  # a difference that is a rounding of binary numbers alone is no difference


def judge_checks(zone: ToleranceZone, checks: Sequence[CheckResult]) -> tuple[CheckVerdict, ...]:
    """Judge checks one after the other.

    Parameters
    ----------
    zone : ToleranceZone
        Both ends belong to it.
    checks : sequence of CheckResult
        Oldest first.

    Returns
    -------
    tuple of CheckVerdict
        ``inside``; ``repeat`` for the first outside; ``outside`` where the one before of the same instrument
        was outside too.
    """
    verdicts: list[CheckVerdict] = []
    before: dict[str, str] = {}
    for check in checks:
        position = (check.measured - zone.reference) / zone.half_width
        if abs(position) <= 1.0 + _SLACK:
            judged = INSIDE
        else:
            judged = OUTSIDE if before.get(check.instrument, INSIDE) != INSIDE else REPEAT
        before[check.instrument] = judged
        verdicts.append(
            CheckVerdict(
                check=check,
                position=position,
                judged=judged,
                sentence=_sentence(judged, check.measured, zone),
            )
        )
    return tuple(verdicts)


def _sentence(judged: str, measured: float, zone: ToleranceZone) -> str:
    found, *printed = (
        number_words(one, *(other for other in (measured, zone.lower, zone.upper) if other != one), figures=4)
        for one in (measured, zone.lower, zone.upper)
    )
    ends = f"{printed[0]} to {printed[1]}"
    return {
        INSIDE: f"{found} lies inside {ends}: the instrument may be used.",
        REPEAT: f"{found} lies outside {ends}: repeat the check before anything else is tested.",
        OUTSIDE: f"{found} lies outside {ends}, as the check before: do not use the instrument.",
    }[judged]


def check_findings(
    material: CheckMaterial,
    verdicts: Sequence[CheckVerdict],
    rules: Sequence[FindingRule],
    *,
    site_deviation_known: bool,
) -> tuple[Finding, ...]:
    """Give what is worth a look in the checks of one material.

    Parameters
    ----------
    material : CheckMaterial
        With its reference.
    verdicts : sequence of CheckVerdict
        Oldest first.
    rules : sequence of FindingRule
        Of check materials.
    site_deviation_known : bool
        False where the scatter of the checks stands in for it.

    Returns
    -------
    tuple of Finding
        The heaviest first.
    """
    where = material.name
    measures = [
        Measure("reference_doubt_known", float(material.reference_expanded is not None), where=where),
        Measure("site_deviation_known", float(site_deviation_known), where=where),
        Measure("same_side", same_side([one.position for one in verdicts]), where=where),
    ]
    if verdicts:
        newest = verdicts[-1]
        measures += [
            Measure("outside", float(newest.judged == OUTSIDE), where=where),
            Measure("repeat", float(newest.judged == REPEAT), where=where),
        ]
        days = days_between(material.until, newest.check.done)
        if days is not None:
            measures.append(Measure("days_expired", days, where=where))
    return judge_measures(measures, rules)


def days_between(first: str, second: str) -> int | None:
    """Give the days from one day to another; None where one of them is not a day.

    Parameters
    ----------
    first, second : str
        ISO 8601; only their days count.

    Returns
    -------
    int or None
        Negative where the second is the earlier one.
    """
    try:
        return (date.fromisoformat(second[:10]) - date.fromisoformat(first[:10])).days
    except ValueError:
        return None
