"""A rule that compares the numbers of one summary with one another."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from resile.records.finding import Severity


@dataclass(frozen=True, slots=True)
class SummaryCheck:
    """One check of a creep-recovery summary, as read from ``specifications/findings/summary.toml``.

    Attributes
    ----------
    code : str
        Code of the finding it raises.
    severity : Severity
        Weight of that finding.
    rule : str
        The rule in words.
    limits : mapping of str to float
        Thresholds by name; empty for a check that follows from the definitions alone.
    source, advice : str
        Where the thresholds come from; what to do.
    """

    code: str
    severity: Severity
    rule: str
    limits: Mapping[str, float] = field(default_factory=dict)
    source: str = ""
    advice: str = ""
