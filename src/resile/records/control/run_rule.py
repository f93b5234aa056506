"""Rules about runs of points, and sets of them as they were published."""

from __future__ import annotations

from dataclasses import dataclass

RULE_KINDS = ("beyond", "within", "outside", "trend", "alternating")


@dataclass(frozen=True, slots=True, kw_only=True)
class RunRule:
    """A rule about a run of points.

    Attributes
    ----------
    name : str
        Name within its set.
    kind : str
        ``beyond`` (k of m points beyond the distance, all on one side of the centre line), ``within`` (on
        either side), ``outside`` (on either side, none within), ``trend`` (each above, or each below, the one
        before) or ``alternating`` (up and down in turn).
    count, of : int
        k of m points; the same number where all points of the run must comply.
    distance : float
        Distance from the centre line, in standard deviations of what is plotted; 0 for the line.
    sentence : str
        The rule in words.
    source : str
        Where it comes from, with its evidence mark.
    """

    name: str
    kind: str
    count: int
    of: int
    distance: float
    sentence: str
    source: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class RunRuleSet:
    """Rules that were published together.

    Attributes
    ----------
    identifier : str
        Name by which the set is chosen.
    title, document, evidence : str
        What it is, where it was published, and how it came here.
    notes : tuple of str
        What to know before it is switched on.
    rules : tuple of RunRule
        In the order of the document.
    """

    identifier: str
    title: str
    document: str
    evidence: str
    notes: tuple[str, ...]
    rules: tuple[RunRule, ...]
