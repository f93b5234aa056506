"""Checks with a material of known value: the tolerance zone, and where each check fell."""

from __future__ import annotations

from dataclasses import dataclass

from resile.records.finding import Finding
from resile.records.register.laboratories import CheckMaterial, CheckResult


@dataclass(frozen=True, slots=True, kw_only=True)
class ToleranceZone:
    """Values that 95 of 100 checks of an instrument in order keep to.

    Attributes
    ----------
    reference : float
        Certified value.
    half_width : float
        Half of the zone as checks are held against it, in the unit of the reference.
    lower, upper : float
        Its ends; both belong to it.
    exact_half_width : float
        Half of the zone before it was rounded.
    decimals : int or None
        Decimals to which the zone, and every check beside it, is rounded; None where neither is.
    rounding : str
        ``none``, ``half-even`` or ``half-up``.
    """

    reference: float
    half_width: float
    lower: float
    upper: float
    exact_half_width: float
    decimals: int | None = None
    rounding: str = "none"


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckVerdict:
    """One check, judged.

    Attributes
    ----------
    check : CheckResult
        What was found.
    compared : float
        What was found, rounded as the zone is.
    position : float
        Its difference from the reference in half widths of the zone.
    judged : str
        ``inside``; ``repeat`` for the first check outside; ``outside`` where the one before was outside too.
    sentence : str
        The same in words.
    """

    check: CheckResult
    compared: float
    position: float
    judged: str
    sentence: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckChart:
    """Checks of one material, day by day.

    Attributes
    ----------
    material : CheckMaterial
        With its reference.
    zone : ToleranceZone
        What they are held against.
    verdicts : tuple of CheckVerdict
        Oldest first.
    mean_difference : float or None
        Mean of the checks less the reference; None without a check.
    findings : tuple of Finding
        What is worth a look.
    """

    material: CheckMaterial
    zone: ToleranceZone
    verdicts: tuple[CheckVerdict, ...]
    mean_difference: float | None = None
    findings: tuple[Finding, ...] = ()
