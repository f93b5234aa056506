"""The numbers and words by which laboratories are compared, as read from a file."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class ScoreWords:
    """Bounds of one kind of score.

    Attributes
    ----------
    kind : str
        ``z``, ``z-prime``, ``zeta`` or ``en``.
    satisfactory_to : float
        Largest distance from zero that is satisfactory.
    action_from : float
        Distance from zero from which it asks for action; questionable lies between.
    source : str
        Where the bounds come from.
    """

    kind: str
    satisfactory_to: float
    action_from: float
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ComparisonPractice:
    """How laboratories are compared.

    Attributes
    ----------
    identifier, title, checked : str
        Name of the file, what it holds, who compared it with its sources.
    range_multiplier : float
        Standard deviations in r and R.
    consistency_significance, outlier_significance : float
        Of h and k, and of Cochran and Grubbs.
    negligible_share : float
        Doubt of an assigned value, as a share of the standard deviation of the round, up to which z stands
        and beyond which z' takes its place.
    scores : mapping of str to ScoreWords
        By kind.
    score_weight, score_width : float
        Of the newest score in the weighted average, and its limits in standard deviations.
    tolerance_factor : float
        Of a tolerance zone.
    zone_figures : int
        Significant figures of a tolerance zone at least, where the reference is written with fewer decimals.
    zone_rounding : str
        How the zone and the checks beside it are rounded: ``none``, ``half-even`` or ``half-up``.
    fewest_checks : int
        Checks from which their own scatter may stand in for a site deviation.
    comparison_significance : float
        Of the comparison of an own precision with a published one.
    component_coverage : float
        Of intervals of components of variance.
    sources : mapping of str to str
        Where each group of numbers comes from.
    """

    identifier: str
    title: str
    checked: str
    range_multiplier: float
    consistency_significance: float
    outlier_significance: float
    negligible_share: float
    scores: Mapping[str, ScoreWords]
    score_weight: float
    score_width: float
    tolerance_factor: float
    zone_figures: int
    zone_rounding: str
    fewest_checks: int
    comparison_significance: float
    component_coverage: float
    sources: Mapping[str, str]
