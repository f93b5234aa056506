"""How far a product stays within its limit."""

from __future__ import annotations

from dataclasses import dataclass

from resile.records.control.production import WatchedProperty
from resile.records.finding import Finding


@dataclass(frozen=True, slots=True)
class CapabilityIndices:
    """Capability indices of one spread.

    Attributes
    ----------
    index : float
        The smaller of the one-sided indices: Cpk, or Ppk with the scatter of all values.
    lower_index, upper_index : float or None
        Against the lower and the upper limit; None where there is none.
    cp : float or None
        Width between the limits over six standard deviations; None with one limit.
    off_centre : float or None
        Distance of the mean from the middle of the limits, as a share of half their width; None with one.
    """

    index: float
    lower_index: float | None = None
    upper_index: float | None = None
    cp: float | None = None
    off_centre: float | None = None


@dataclass(frozen=True, slots=True)
class FitOfNormal:
    """What a test of fit says of values on one scale.

    Attributes
    ----------
    statistic : float
        Statistic of the test, corrected for few values.
    probability : float
        Probability of one as large from normal values.
    """

    statistic: float
    probability: float


@dataclass(frozen=True, slots=True, kw_only=True)
class CapabilityStatement:
    """How far one property of one product stays within its limit, on its watched scale.

    Attributes
    ----------
    watched : WatchedProperty
        Property, limit and scale.
    lots : tuple of str
        Lots counted, in the order of production.
    values : tuple of float
        One a lot, in the unit of the glossary: replicates averaged on the watched scale.
    mean : float
        On the watched scale.
    centre : float
        The mean in the unit of the glossary; on a log scale the median of the product.
    overall_deviation, lot_to_lot_deviation : float
        Standard deviation of all values, and that from moving ranges; on the watched scale.
    performance : CapabilityIndices
        With the scatter of all values (Ppk).
    potential : CapabilityIndices
        With the scatter from lot to lot (Cpk).
    performance_interval, performance_approximate : tuple of (float, float)
        Interval of Ppk: exact against one limit, and by the approximation of Bissell.
    potential_interval : tuple of (float, float)
        Interval of Cpk.
    confidence : float
        Of every interval, two-sided.
    natural_limit_index : float or None
        Cp against the limit and the bound by nature; None where there is none, or on a log scale.
    natural_limit : float or None
        The bound by nature; None where there is none.
    share_beyond, share_beyond_low, share_beyond_high : float
        Share of results beyond the limit with its interval.
    beyond_counted : int
        Lots beyond the limit.
    test_standard : float or None
        Scatter of the test on the watched scale; None where it was not given.
    plant_deviation : float or None
        Scatter of the plant without that of the test; None where the latter was not given.
    true_share_beyond : float or None
        Share of lots truly beyond the limit, without the scatter of the test; None likewise.
    fit_log, fit_linear : FitOfNormal or None
        Test of fit on either scale; None for too few values, or where a logarithm does not exist.
    findings : tuple of Finding
        Doubts.
    """

    watched: WatchedProperty
    lots: tuple[str, ...]
    values: tuple[float, ...]
    mean: float
    centre: float
    overall_deviation: float
    lot_to_lot_deviation: float
    performance: CapabilityIndices
    potential: CapabilityIndices
    performance_interval: tuple[float, float]
    performance_approximate: tuple[float, float]
    potential_interval: tuple[float, float]
    confidence: float
    natural_limit_index: float | None
    natural_limit: float | None
    share_beyond: float
    share_beyond_low: float
    share_beyond_high: float
    beyond_counted: int
    test_standard: float | None
    plant_deviation: float | None
    true_share_beyond: float | None
    fit_log: FitOfNormal | None
    fit_linear: FitOfNormal | None
    findings: tuple[Finding, ...] = ()
