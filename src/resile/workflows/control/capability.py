"""How far the lots of a product stay within their limit."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from resile.compute.statistics.capability.indices import (
    SPREADS_TO_A_SIDE,
    bissell_interval,
    capability_indices,
    natural_limit_index,
    one_sided_interval,
)
from resile.compute.statistics.capability.normality import FEWEST, anderson_darling
from resile.compute.statistics.capability.share import share_beyond
from resile.compute.statistics.capability.spread import overall_deviation, plant_deviation
from resile.compute.statistics.control.set_up import SetUpLevel, level_from_moving_ranges
from resile.errors import InputError
from resile.records.control.capability import CapabilityIndices, CapabilityStatement, FitOfNormal
from resile.records.control.production import ProductionResult, WatchedProperty
from resile.records.finding import Finding, Measure
from resile.workflows.control.findings_beside import doubts_of
from resile.workflows.control.lots import Lot, gather_lots, off_scale, on_scale

FEWEST_LOTS = 5
"""Lots below which nothing is said of a capability."""


def capability(
    results: Sequence[ProductionResult],
    watched: WatchedProperty,
    *,
    test_standard: float | None = None,
    natural_limit: float | None = None,
    excluded: Mapping[str, str] | None = None,
    confidence: float = 0.95,
) -> CapabilityStatement:
    """Say how far a property stays within its limit.

    Parameters
    ----------
    results : sequence of ProductionResult
        Of one product, in any order; several with one lot are averaged on the watched scale.
    watched : WatchedProperty
        With its limit; on a log scale the logarithm is judged, so that a lognormal product is judged right.
    test_standard : float or None
        Standard deviation of the value of a lot from the test alone, on the watched scale. Where it is as
        large as the scatter of all lots, plant and test cannot be told apart: the plant is then None.
    natural_limit : float or None
        Bound by nature on the other side, in the unit of the glossary; for a linear scale.
    excluded : mapping of str to str, optional
        Reason by lot or key of a result that is left out.
    confidence : float
        Of the intervals, two-sided.

    Returns
    -------
    CapabilityStatement
        Indices with intervals, share beyond the limit, fit, scatter, doubts.

    Raises
    ------
    ResileError
        Without a limit, with fewer than five lots, or where all values are alike.
    """
    if watched.limit is None or not watched.limit_is:
        raise InputError(f"{watched.quantity}: a limit, at most or at least, is needed for a capability")
    if not 0.0 < confidence < 1.0:
        raise InputError(f"confidence {confidence:g} found; a share between 0 and 1, such as 0.95, is needed")
    every = gather_lots(results, watched, excluded=excluded or {})
    lots = [lot for lot in every if not lot.excluded]
    if len(lots) < FEWEST_LOTS:
        raise InputError(f"{watched.quantity}: lots found: {len(lots)}; at least {FEWEST_LOTS} are needed")
    scaled = [lot.mean for lot in lots]
    overall = overall_deviation(scaled)
    if overall <= 0.0:
        raise InputError(f"{watched.quantity}: all lots are alike; values that scatter are needed")
    short = level_from_moving_ranges(
        [lot.mean for lot in every], left_out=[bool(lot.excluded) for lot in every]
    )
    mean, limit = math.fsum(scaled) / len(scaled), on_scale(watched.limit, watched, place="limit")
    performance = _against(watched, mean, overall, limit)
    count = len(scaled)
    share = share_beyond(SPREADS_TO_A_SIDE * performance.index, count, confidence=confidence)
    told_apart = test_standard is not None and test_standard < overall
    plant = plant_deviation(overall, test_standard or 0.0) if told_apart else None
    part = None if test_standard is None else (test_standard / overall) ** 2
    fits = _fits(lots, watched)
    potential = _against(watched, mean, short.standard_deviation, limit)
    return CapabilityStatement(
        watched=watched,
        lots=tuple(lot.label for lot in lots),
        values=tuple(off_scale(one, watched) for one in scaled),
        mean=mean,
        centre=off_scale(mean, watched),
        overall_deviation=overall,
        lot_to_lot_deviation=short.standard_deviation,
        performance=performance,
        potential=potential,
        performance_interval=one_sided_interval(performance.index, count, confidence=confidence),
        performance_approximate=bissell_interval(performance.index, count, confidence=confidence),
        potential_interval=one_sided_interval(
            potential.index, count, degrees_of_freedom=_freedom(short), confidence=confidence
        ),
        confidence=confidence,
        natural_limit_index=_natural(watched, overall, natural_limit),
        natural_limit=natural_limit,
        share_beyond=share[0],
        share_beyond_low=share[1],
        share_beyond_high=share[2],
        beyond_counted=sum(_is_beyond(one, limit, watched) for one in scaled),
        test_standard=test_standard,
        plant_deviation=plant,
        true_share_beyond=None if plant is None else _true_share(watched, mean, plant, limit),
        fit_log=fits["log"],
        fit_linear=fits["linear"],
        findings=_findings(watched, lots, overall / short.standard_deviation, part, fits),
    )


def _against(watched: WatchedProperty, mean: float, deviation: float, limit: float) -> CapabilityIndices:
    if watched.limit_is == "at_most":
        return capability_indices(mean, deviation, upper=limit)
    return capability_indices(mean, deviation, lower=limit)


def _freedom(level: SetUpLevel) -> float:
    """Give the degrees of freedom of a standard deviation from its relative standard error."""
    return max(0.5 / level.relative_error**2, 1.0)


def _is_beyond(value: float, limit: float, watched: WatchedProperty) -> bool:
    return value > limit if watched.limit_is == "at_most" else value < limit


def _natural(watched: WatchedProperty, overall: float, natural_limit: float | None) -> float | None:
    if natural_limit is None:
        return None
    if watched.scale == "log":
        raise InputError("a bound by nature belongs to a linear scale: a log scale keeps above 0 by itself")
    assert watched.limit is not None
    return natural_limit_index(overall, limit=watched.limit, natural_limit=natural_limit)


def _true_share(watched: WatchedProperty, mean: float, plant: float, limit: float) -> float:
    index = _against(watched, mean, plant, limit).index
    return share_beyond(SPREADS_TO_A_SIDE * index, 2)[0]


def _fits(lots: Sequence[Lot], watched: WatchedProperty) -> dict[str, FitOfNormal | None]:
    """Test the fit on both scales: one number a lot, its mean on the watched scale."""
    values = [off_scale(lot.mean, watched) for lot in lots]
    if len(values) < FEWEST:
        return {"log": None, "linear": None}
    positive = min(values) > 0.0
    return {
        "log": anderson_darling([math.log10(one) for one in values]) if positive else None,
        "linear": anderson_darling(values),
    }


def _findings(
    watched: WatchedProperty,
    lots: Sequence[Lot],
    spread_ratio: float,
    test_share: float | None,
    fits: dict[str, FitOfNormal | None],
) -> tuple[Finding, ...]:
    own, other = fits[watched.scale], fits["linear" if watched.scale == "log" else "log"]
    measures = [
        Measure("lots", float(len(lots))),
        Measure("spread_ratio", spread_ratio),
        Measure("replicated_lots", float(sum(len(lot.values) > 1 for lot in lots))),
    ]
    if own is not None:
        measures.append(Measure("fit_probability", own.probability, where=watched.scale))
    if other is not None:
        measures.append(Measure("other_fit_probability", other.probability))
    if test_share is not None:
        measures.append(Measure("test_share", test_share, where=f"{100.0 * test_share:.0f} %"))
    return doubts_of(measures, "capability")
