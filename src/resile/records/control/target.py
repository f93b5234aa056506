"""Where a plant aims, what becomes of its loads, and what the margin costs."""

from __future__ import annotations

from dataclasses import dataclass

from resile.records.control.production import WatchedProperty
from resile.records.finding import Finding


@dataclass(frozen=True, slots=True, kw_only=True)
class LoadOutcomes:
    """What becomes of loads of a plant with one mean.

    Attributes
    ----------
    mean : float
        True mean of the loads, on the watched scale.
    conforms, passes, both : float
        Shares of loads that truly conform, that pass their test, that do both.
    wrongly_failed, wrongly_passed : float
        Shares of all loads that fail though they conform, and pass though they do not.
    producers_risk, customers_risk : float
        Of the loads that conform the share that fails; of those that pass the share that does not conform.
    """

    mean: float
    conforms: float
    passes: float
    both: float
    wrongly_failed: float
    wrongly_passed: float
    producers_risk: float
    customers_risk: float


@dataclass(frozen=True, slots=True, kw_only=True)
class PricesOfMargin:
    """What margin and failures cost, a tonne of product, in a currency of the user's own.

    Attributes
    ----------
    per_unit : float
        Moving the mean by one unit of the watched scale to the good side.
    per_failure : float
        A load that fails its test: re-blending, waiting, price cut.
    per_claim : float
        A load that passes though it does not conform, and is found out.
    additive_per_unit : float or None
        Additive (polymer) needed for one unit of the watched scale, in per cent of the binder; None where
        not given.
    """

    per_unit: float
    per_failure: float
    per_claim: float = 0.0
    additive_per_unit: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class CostOfMargin:
    """What one mean costs, a tonne of product.

    Attributes
    ----------
    mean : float
        On the watched scale.
    margin : float
        Distance of the mean from the limit, on the watched scale; negative beyond it.
    given_away, failures, claims, total : float
        Cost of the margin, of loads that fail, of loads found out, and their sum.
    additive_percent : float or None
        Additive that the margin takes, in per cent of the binder; None where not given.
    outcomes : LoadOutcomes
        What becomes of the loads.
    """

    mean: float
    margin: float
    given_away: float
    failures: float
    claims: float
    total: float
    additive_percent: float | None
    outcomes: LoadOutcomes


@dataclass(frozen=True, slots=True, kw_only=True)
class TargetSensitivity:
    """How the target moves when one thing is different.

    Attributes
    ----------
    changed : str
        What is different, in words.
    target : float
        Mean to aim at, in the unit of the glossary.
    margin : float
        Its distance from the limit, on the watched scale.
    cheapest : float or None
        Mean of least cost, in the unit of the glossary; None without prices or where there is none.
    """

    changed: str
    target: float
    margin: float
    cheapest: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class TargetStatement:
    """The mean to aim at for a share of loads.

    Attributes
    ----------
    watched : WatchedProperty
        Property, limit and scale.
    share : float
        Of the loads.
    aim : str
        ``conforms``, ``passes`` or ``both``.
    plant_deviation, test_standard : float
        Scatter of the plant from load to load and of the result that decides, on the watched scale.
    guard_factor : float
        Guard band of the decision rule in standard uncertainties.
    decision_rule : str
        Name of the rule; empty for simple acceptance.
    mean : float
        Mean to aim at, on the watched scale.
    target : float
        The same in the unit of the glossary.
    acceptance_limit : float
        Limit for results after the guard band, in the unit of the glossary.
    outcomes : LoadOutcomes
        At the target.
    by_aim : tuple of (str, float)
        Each aim with its target in the unit of the glossary.
    prices : PricesOfMargin or None
        None where no prices were given.
    cost : CostOfMargin or None
        At the target.
    cheapest : CostOfMargin or None
        At the mean of least cost; None without prices, or where there is none.
    curve : tuple of CostOfMargin
        Costs and outcomes over all means worth a look, nearest to the limit first.
    sensitivity : tuple of TargetSensitivity
        One thing different at a time.
    findings : tuple of Finding
        Doubts.
    """

    watched: WatchedProperty
    share: float
    aim: str
    plant_deviation: float
    test_standard: float
    guard_factor: float
    decision_rule: str
    mean: float
    target: float
    acceptance_limit: float
    outcomes: LoadOutcomes
    by_aim: tuple[tuple[str, float], ...]
    prices: PricesOfMargin | None
    cost: CostOfMargin | None
    cheapest: CostOfMargin | None
    curve: tuple[CostOfMargin, ...]
    sensitivity: tuple[TargetSensitivity, ...]
    findings: tuple[Finding, ...] = ()
