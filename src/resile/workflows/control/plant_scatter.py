"""Scatter of the test in the values of lots, and of the plant without it."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from resile.records.control.production import ProductionResult, WatchedProperty
from resile.records.finding import Finding, Measure
from resile.workflows.control.capability import capability
from resile.workflows.control.findings_beside import doubts_of
from resile.workflows.control.scatter import scatter_on_scale

_SHARED_BY_REPLICATES = "reproducibility"


@dataclass(frozen=True, slots=True)
class PlantScatter:
    """Scatter of the plant from load to load, from results of lots.

    Attributes
    ----------
    deviation : float
        Standard deviation on the watched scale.
    words : str
        Where it comes from.
    findings : tuple of Finding
        Doubts about it.
    """

    deviation: float
    words: str
    findings: tuple[Finding, ...]


def scatter_of_lots(
    given: str, results: Sequence[ProductionResult], watched: WatchedProperty
) -> tuple[float, str]:
    """Give the scatter that a test leaves in the value of a lot.

    Parameters
    ----------
    given : str
        As `scatter_on_scale` takes it, for one result.
    results : sequence of ProductionResult
        Several with one lot are averaged.
    watched : WatchedProperty
        Property with its limit and scale.

    Returns
    -------
    tuple of (float, str)
        Standard deviation on the watched scale, and where it comes from.

    Notes
    -----
    The mean of n results has the standard deviation ``u/sqrt(n)``; over lots with unequal n the mean of the
    variances is taken. What laboratories differ by is shared by replicates: a reproducibility stays.
    """
    standard, words = scatter_on_scale(given, watched, what="test")
    counts = list(Counter(one.lot for one in results).values())
    if given.strip() == _SHARED_BY_REPLICATES or not counts or max(counts) == 1:
        return standard, words
    part = math.fsum(1.0 / count for count in counts) / len(counts)
    return standard * math.sqrt(part), f"{words}, for the mean of {1.0 / part:.3g} results a lot"


def plant_of_lots(
    results: Sequence[ProductionResult], watched: WatchedProperty, own_test: str
) -> PlantScatter:
    """Take the scatter of the test off that of lots; where nothing would be left, take nothing off.

    Parameters
    ----------
    results : sequence of ProductionResult
        Of one product.
    watched : WatchedProperty
        Property with its limit and scale.
    own_test : str
        Scatter of one result within the laboratory, as `scatter_on_scale` takes it.

    Returns
    -------
    PlantScatter
        Without that of the test where they can be told apart.

    Raises
    ------
    ResileError
        Where there are too few lots, or the scatter of the test cannot be used.
    """
    standard, said = scatter_of_lots(own_test, results, watched)
    content = capability(results, watched, test_standard=standard)
    count = len(content.lots)
    if content.plant_deviation is not None:
        words = f"from {count} lots, without that of the test ({said})"
        return PlantScatter(content.plant_deviation, words, content.findings)
    found, test = _shown(content.overall_deviation, watched), _shown(standard, watched)
    measure = Measure(
        "test_over_found", standard / content.overall_deviation, where=f"{test} against {found}"
    )
    # What the target does about it is said once, by the finding of the target.
    others = tuple(one for one in content.findings if one.code != "capability-test-exceeds")
    told = tuple(one for one in doubts_of([measure], "target") if one.code == "target-plant-not-told-apart")
    words = f"all the scatter of {count} lots, nothing taken off for the test"
    return PlantScatter(content.overall_deviation, words, (*told, *others))


def _shown(deviation: float, watched: WatchedProperty) -> str:
    """Give a scatter for a sentence: in per cent where the logarithm is watched."""
    if watched.scale == "log":
        return f"{100.0 * (10.0**deviation - 1.0):.1f} %"
    return f"{deviation:.3g} {watched.unit}".rstrip()
