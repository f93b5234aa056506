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
        Half of the zone, in the unit of the reference.
    lower, upper : float
        Ends.
    """

    reference: float
    half_width: float
    lower: float
    upper: float


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckVerdict:
    """One check, judged.

    Attributes
    ----------
    check : CheckResult
        What was found.
    position : float
        Difference from the reference in half widths of the zone.
    judged : str
        ``inside``; ``repeat`` for the first check outside; ``outside`` where the one before was outside too.
    sentence : str
        The same in words.
    """

    check: CheckResult
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
