"""A measure of how well a test was run, and the doubt it may raise."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class Severity(StrEnum):
    """How much a finding weighs: an ``invalid`` one keeps a result out of a verdict."""

    NOTE = "note"
    CAUTION = "caution"
    INVALID = "invalid"


@dataclass(frozen=True, slots=True)
class Measure:
    """One number that tells how a test went, before anyone judges it.

    Attributes
    ----------
    name : str
        Stable name, for example ``stress_deviation_percent``.
    value : float
        The number, at its worst place in the run.
    unit : str
        Unit as written for a person, for example ``"%"``; empty for a bare number or a count.
    where : str
        The place in words, for example ``"3.2 kPa, cycle 7"``; empty where it concerns the whole run.
    flag : bool
        True for a yes or no, told as 1 or 0: a finding shows neither as a number.
    """

    name: str
    value: float
    unit: str = ""
    where: str = ""
    flag: bool = False


@dataclass(frozen=True, slots=True)
class Finding:
    """A doubt that does not stop the work.

    Attributes
    ----------
    code : str
        Stable code, for example ``stress-off-nominal``.
    severity : Severity
        ``note``, ``caution`` or ``invalid``.
    message : str
        One sentence: where, what was found, against what.
    rule : str
        The rule in words, for example ``"mean stress within 1 % of nominal"``.
    value, limit : float or None
        The measured value and the threshold, in `unit`.
    unit : str
        Unit of `value` and `limit`.
    source : str
        Where the threshold comes from, or ``"common practice, no source"``.
    advice : str
        What to do.
    """

    code: str
    severity: Severity
    message: str
    rule: str = ""
    value: float | None = None
    limit: float | None = None
    unit: str = ""
    source: str = ""
    advice: str = ""


def worst_severity(findings: tuple[Finding, ...]) -> Severity | None:
    """Give the heaviest severity among findings, or None when there are none."""
    present = {finding.severity for finding in findings}
    for severity in (Severity.INVALID, Severity.CAUTION, Severity.NOTE):
        if severity in present:
            return severity
    return None


@dataclass(frozen=True, slots=True)
class FindingCondition:
    """One comparison of a finding rule; exactly one of the bounds is set.

    Attributes
    ----------
    measure : str
        Name of the `Measure` it looks at.
    above, below, unlike : float or None
        The condition holds for a value greater than, less than, or different from the bound.
    """

    measure: str
    above: float | None = None
    below: float | None = None
    unlike: float | None = None


@dataclass(frozen=True, slots=True)
class FindingRule:
    """When a finding is raised, and what it says; one table of a file under ``specifications/findings``.

    Attributes
    ----------
    code : str
        Stable code of the finding.
    severity : Severity
        Weight of the finding.
    conditions : tuple of FindingCondition
        All must hold; the first gives the value and limit shown.
    message : str
        Text with ``{value}``, ``{limit}``, ``{where}`` and the names of other measures.
    rule, source, advice : str
        As in `Finding`.
    """

    code: str
    severity: Severity
    conditions: tuple[FindingCondition, ...]
    message: str
    rule: str
    source: str
    advice: str
