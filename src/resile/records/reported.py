"""A conclusion that somebody else reported, beside what the reported results give."""

from __future__ import annotations

from dataclasses import dataclass

from resile.records.determination import Determination
from resile.records.finding import Finding


@dataclass(frozen=True, slots=True)
class Computed:
    """A value with the span that the rounding of its inputs leaves.

    Attributes
    ----------
    value : float
        From the inputs as printed.
    lowest, highest : float
        Over half a unit of the last printed digit of every input.
    """

    value: float
    lowest: float
    highest: float


@dataclass(frozen=True, slots=True)
class ReportedComparison:
    """One reported conclusion and the value, word or outcome that follows from the results.

    Attributes
    ----------
    reported : Determination
        The conclusion, with its place.
    computed : Computed or None
        What follows, by the declared rule; None for words and where nothing follows.
    computed_text : str
        The same in words, for a class or an outcome.
    rule : str
        How it follows: ``"log"``, ``"linear"``, ``"both"`` (either interpolation, within rounding),
        ``"definition"``, ``"limits"``, ``"mean"``; ``"neither"`` where it does not, empty where not checked.
    findings : tuple of Finding
        Why it differs or could not be checked; empty where it follows.
    """

    reported: Determination
    computed: Computed | None = None
    computed_text: str = ""
    rule: str = ""
    findings: tuple[Finding, ...] = ()

    @property
    def checked(self) -> bool:
        """Whether there was something to compare with."""
        return bool(self.rule)

    @property
    def reproduced(self) -> bool:
        """Whether the conclusion follows from the results, by the declared rule."""
        return self.checked and not self.findings

    @property
    def deviation(self) -> float | None:
        """Reported less computed, in the unit of the quantity; None for words."""
        value = self.reported.value
        return None if self.computed is None or value is None else value - self.computed.value


@dataclass(frozen=True, slots=True)
class ComparisonSummary:
    """How many conclusions of one kind a file reports, and how they compare.

    Attributes
    ----------
    file, quantity : str
        Name of the file and of the quantity.
    published, reproduced, differing, unchecked : int
        Reported; those that follow by the declared rule; those that do not; those with nothing to compare.
    rules : tuple of str
        Rules by which they follow.
    largest_deviation : float or None
        Of those that follow, in the unit of the quantity; None for words.
    codes : tuple of str
        Findings that explain the rest.
    """

    file: str
    quantity: str
    published: int
    reproduced: int
    differing: int
    unchecked: int
    rules: tuple[str, ...] = ()
    largest_deviation: float | None = None
    codes: tuple[str, ...] = ()
