"""Where a check with a material of known value fell, and what to do."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from resile.judge.findings import judge_measures
from resile.judge.laboratories.rounds import same_side
from resile.judge.rounding import figure_decimals, rounded, written_decimals
from resile.judge.wording import MINUS, number_words
from resile.records.finding import Finding, FindingRule, Measure
from resile.records.laboratories import CheckVerdict, ToleranceZone
from resile.records.register.laboratories import CheckMaterial, CheckResult

INSIDE = "inside"
REPEAT = "repeat"
OUTSIDE = "outside"
_SLACK = 1e-9  # a difference that is a rounding of binary numbers alone is no difference


def stated_zone(
    reference: float, half_width: float, *, figures: int | None = None, rounding: str = "none"
) -> ToleranceZone:
    """Give a tolerance zone as checks are held against it.

    Parameters
    ----------
    reference, half_width : float
        Certified value and half of the zone, above zero, in one unit.
    figures : int or None
        Significant figures of the half width at least; None leaves the zone as it is: one that a method or a
        maker states.
    rounding : str
        ``none``, ``half-even`` or ``half-up``.

    Returns
    -------
    ToleranceZone
        Rounded to the last decimal of the reference as it is written, and to no fewer than those of
        `figures`, so that a reference written as 34 does not make a zone of whole units.

    Examples
    --------
    >>> zone = stated_zone(33.98, 0.1074267, figures=2, rounding="half-even")
    >>> zone.lower, zone.upper
    (33.87, 34.09)
    """
    decimals = None
    if figures is not None and rounding != "none":
        decimals = max(written_decimals(reference), figure_decimals(half_width, figures))
    half = rounded(half_width, decimals, rounding)
    return ToleranceZone(
        reference=reference,
        half_width=half,
        lower=rounded(reference - half, decimals, rounding),
        upper=rounded(reference + half, decimals, rounding),
        exact_half_width=half_width,
        decimals=decimals,
        rounding=rounding if decimals is not None else "none",
    )


def judge_checks(zone: ToleranceZone, checks: Sequence[CheckResult]) -> tuple[CheckVerdict, ...]:
    """Judge checks one after the other.

    Parameters
    ----------
    zone : ToleranceZone
        Both ends belong to it.
    checks : sequence of CheckResult
        Oldest first; each is rounded as the zone is before it is compared.

    Returns
    -------
    tuple of CheckVerdict
        ``inside``; ``repeat`` for the first outside; ``outside`` where the one before of the same instrument
        was outside too.
    """
    verdicts: list[CheckVerdict] = []
    before: dict[str, str] = {}
    for check in checks:
        compared = compared_with(zone, check.measured)
        position = (compared - zone.reference) / zone.half_width
        if abs(position) <= 1.0 + _SLACK:
            judged = INSIDE
        else:
            judged = OUTSIDE if before.get(check.instrument, INSIDE) != INSIDE else REPEAT
        before[check.instrument] = judged
        verdicts.append(
            CheckVerdict(
                check=check,
                compared=compared,
                position=position,
                judged=judged,
                sentence=_sentence(judged, check.measured, compared, zone),
            )
        )
    return tuple(verdicts)


def compared_with(zone: ToleranceZone, measured: float) -> float:
    """Give a reading rounded as the zone is that it is held against."""
    return rounded(measured, zone.decimals, zone.rounding)


def _sentence(judged: str, measured: float, compared: float, zone: ToleranceZone) -> str:
    found, lower, upper = _written(zone, compared, zone.lower, zone.upper)
    ends = f"{lower} to {upper}"
    if judged == INSIDE and abs(measured - zone.reference) > zone.exact_half_width * (1.0 + _SLACK):
        exact = zone.reference - zone.exact_half_width, zone.reference + zone.exact_half_width
        full = [number_words(one, measured, figures=6) for one in exact]
        read = number_words(measured, *exact, figures=6)
        return (
            f"{found} lies inside {ends}: the instrument may be used. It does so only as both are rounded: "
            f"{read} beside {full[0]} to {full[1]}."
        )
    return {
        INSIDE: f"{found} lies inside {ends}: the instrument may be used.",
        REPEAT: f"{found} lies outside {ends}: repeat the check before anything else is tested.",
        OUTSIDE: f"{found} lies outside {ends}, as the check before: do not use the instrument.",
    }[judged]


def _written(zone: ToleranceZone, *numbers: float) -> list[str]:
    if zone.decimals is not None:
        return [f"{one:.{zone.decimals}f}".replace("-", MINUS) for one in numbers]
    return [number_words(one, *(other for other in numbers if other != one), figures=4) for one in numbers]


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
    # A difference that a method or maker states stands as it is: no doubt is added to it.
    doubt_known = material.reference_expanded is not None or bool(material.tolerance)
    measures = [
        Measure("reference_doubt_known", float(doubt_known), where=where, flag=True),
        Measure("site_deviation_known", float(site_deviation_known), where=where, flag=True),
        Measure(
            "same_side", same_side([one.check.measured - material.reference for one in verdicts]), where=where
        ),
    ]
    if verdicts:
        newest = verdicts[-1]
        measures += [
            Measure("outside", float(newest.judged == OUTSIDE), where=where, flag=True),
            Measure("repeat", float(newest.judged == REPEAT), where=where, flag=True),
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
