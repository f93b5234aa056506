"""Scores of a laboratory in comparison rounds, and where they are heading."""

from __future__ import annotations

from dataclasses import dataclass

from resile.records.finding import Finding
from resile.records.register.laboratories import RoundResult


@dataclass(frozen=True, slots=True, kw_only=True)
class RoundScore:
    """One result of one round, scored.

    Attributes
    ----------
    result : RoundResult
        What was reported and assigned.
    z, z_prime, zeta, en : float or None
        Scores; None where the sheet does not give what they need. `z_prime` counts the doubt of the assigned
        value in, `zeta` and `en` the laboratory's own uncertainty.
    kind : str
        The score that `judged` rests on: ``z``, ``z-prime``, ``zeta`` or ``en``.
    judged : str
        ``satisfactory``, ``questionable`` or ``action``; empty where nothing could be scored.
    difference_limit : float or None
        Published difference of two laboratories (d2s) at the assigned value, in the unit of the quantity.
    within_difference_limit : bool or None
        True where the result lies within it of the assigned value.
    """

    result: RoundResult
    z: float | None = None
    z_prime: float | None = None
    zeta: float | None = None
    en: float | None = None
    kind: str = ""
    judged: str = ""
    difference_limit: float | None = None
    within_difference_limit: bool | None = None

    @property
    def judged_score(self) -> float | None:
        """The score that the word rests on; None where there is none."""
        return {"z": self.z, "z-prime": self.z_prime, "zeta": self.zeta, "en": self.en}.get(self.kind)


@dataclass(frozen=True, slots=True, kw_only=True)
class ScoreTrend:
    """Scores of one property over the rounds.

    Attributes
    ----------
    quantity : str
        Name from the glossary.
    condition : str
        Residue.
    count : int
        Scores, oldest first.
    mean_score, mean_score_standard : float
        Mean of the scores and its standard deviation where the laboratory has no bias: 1/sqrt(count).
    same_side : int
        How many of the newest scores in a row lie on one side of zero.
    score_slope : float or None
        Change of the score a round, by least squares; None below three rounds.
    score_slope_standard : float or None
        Its standard deviation where every score has the standard deviation one.
    weighted : tuple of float
        Exponentially weighted average after each score.
    weighted_limits : tuple of float
        Its limit either side of zero after each score.
    """

    quantity: str
    condition: str
    count: int
    mean_score: float
    mean_score_standard: float
    same_side: int
    score_slope: float | None
    score_slope_standard: float | None
    weighted: tuple[float, ...]
    weighted_limits: tuple[float, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class RoundScores:
    """All rounds scored.

    Attributes
    ----------
    scores : tuple of RoundScore
        Oldest first.
    trends : tuple of ScoreTrend
        One a property and residue.
    findings : tuple of Finding
        Scores and trends worth a look.
    """

    scores: tuple[RoundScore, ...]
    trends: tuple[ScoreTrend, ...] = ()
    findings: tuple[Finding, ...] = ()
