"""The mean a plant aims at, with risks, costs and how it moves."""

from __future__ import annotations

import math
from typing import TypedDict

from resile.compute.statistics.capability.margin_cost import cheapest_mean, cost_curve, cost_of_mean
from resile.compute.statistics.capability.target import AIMS, load_outcomes, target_mean
from resile.errors import InputError
from resile.records.control.production import WatchedProperty
from resile.records.control.target import (
    CostOfMargin,
    LoadOutcomes,
    PricesOfMargin,
    TargetSensitivity,
    TargetStatement,
)
from resile.records.finding import Finding, Measure
from resile.records.quantity import QUANTITIES
from resile.specifications.load import load_decision_rule
from resile.workflows.control.findings_beside import doubts_of
from resile.workflows.control.lots import off_scale, on_scale

_STEP = 0.2
_FREE = PricesOfMargin(per_unit=0.0, per_failure=0.0)
_WHOLE_PERCENT = 100.0


class _Asked(TypedDict):
    limit: float
    limit_is: str
    plant_deviation: float
    test_standard: float
    guard_factor: float


def target_to_aim_at(
    watched: WatchedProperty,
    *,
    plant_deviation: float,
    test_standard: float,
    share: float = 0.95,
    aim: str = "both",
    decision_rule: str = "simple",
    prices: PricesOfMargin | None = None,
) -> TargetStatement:
    """Give the mean to aim at.

    Parameters
    ----------
    watched : WatchedProperty
        With its limit and scale.
    plant_deviation : float
        Scatter of the plant from load to load, on the watched scale, without that of the test.
    test_standard : float
        Standard uncertainty of the result that decides, on the watched scale.
    share : float
        Of the loads, above 0 and below 1.
    aim : str
        What they are to do: ``conforms``, ``passes`` or ``both``.
    decision_rule : str
        Name or file of the rule by which results are accepted: its guard band counts.
    prices : PricesOfMargin or None
        For the cost of margin and the mean of least cost.

    Returns
    -------
    TargetStatement
        Target, risks, costs, and how the target moves when one thing is different.

    Raises
    ------
    ResileError
        Without a limit, or where a number cannot be used.
    """
    if watched.limit is None or not watched.limit_is:
        raise InputError(f"{watched.quantity}: a limit, at most or at least, is needed for a target")
    rule = load_decision_rule(decision_rule)
    asked: _Asked = {
        "limit": on_scale(watched.limit, watched, place="limit"),
        "limit_is": watched.limit_is,
        "plant_deviation": plant_deviation,
        "test_standard": test_standard,
        "guard_factor": rule.guard_factor,
    }
    mean = target_mean(share, aim=aim, **asked)
    outcomes = load_outcomes(mean, **asked)
    cheapest = None if prices is None else cheapest_mean(prices, **asked)
    sign = 1.0 if watched.limit_is == "at_most" else -1.0
    acceptance = asked["limit"] - sign * rule.guard_factor * test_standard
    return TargetStatement(
        watched=watched,
        share=share,
        aim=aim,
        plant_deviation=plant_deviation,
        test_standard=test_standard,
        guard_factor=rule.guard_factor,
        decision_rule=rule.name,
        mean=mean,
        target=off_scale(mean, watched),
        acceptance_limit=off_scale(acceptance, watched),
        outcomes=outcomes,
        by_aim=tuple((one, off_scale(target_mean(share, aim=one, **asked), watched)) for one in AIMS),
        prices=prices,
        cost=None if prices is None else cost_of_mean(mean, prices, **asked),
        cheapest=cheapest,
        curve=cost_curve(prices or _FREE, **asked),
        sensitivity=_sensitivity(watched, share, aim, prices, asked),
        findings=_findings(watched, mean, outcomes, prices, cheapest),
    )


def prices_of_margin(
    watched: WatchedProperty,
    *,
    margin_cost: float,
    step: float | None = None,
    failure_cost: float,
    claim_cost: float = 0.0,
    additive_percent: float | None = None,
) -> PricesOfMargin:
    """Give prices on the watched scale from prices a step.

    Parameters
    ----------
    watched : WatchedProperty
        With its scale.
    margin_cost : float
        Cost a tonne of moving the mean one step to the good side.
    step : float or None
        The step: in the unit of the property on a linear scale (1 where None), in per cent of the value on a
        log one (10 where None: lower by a factor of 1.1).
    failure_cost, claim_cost : float
        Cost a tonne of a load that fails, and of one that passes and is found not to conform.
    additive_percent : float or None
        Additive that a step takes, in per cent of the binder.

    Returns
    -------
    PricesOfMargin
        A unit of the watched scale each.

    Raises
    ------
    InputError
        Where the step is not above 0.
    """
    asked = step if step is not None else (10.0 if watched.scale == "log" else 1.0)
    if not (math.isfinite(asked) and asked > 0.0):
        raise InputError(f"step of margin: {asked:g} found; a number above 0 is needed")
    unit = math.log10(1.0 + asked / _WHOLE_PERCENT) if watched.scale == "log" else asked
    return PricesOfMargin(
        per_unit=margin_cost / unit,
        per_failure=failure_cost,
        per_claim=claim_cost,
        additive_per_unit=None if additive_percent is None else additive_percent / unit,
    )


def _sensitivity(
    watched: WatchedProperty, share: float, aim: str, prices: PricesOfMargin | None, asked: _Asked
) -> tuple[TargetSensitivity, ...]:
    cases: list[tuple[str, _Asked, float]] = [("as given", asked, share)]
    for words, factor in (
        (f"{100 * _STEP:.0f} % less", 1.0 - _STEP),
        (f"{100 * _STEP:.0f} % more", 1.0 + _STEP),
    ):
        plant: _Asked = {**asked, "plant_deviation": asked["plant_deviation"] * factor}
        cases.append((f"{words} scatter of the plant", plant, share))
    for words, factor in (("half the", 0.5), (f"{100 * _STEP:.0f} % more", 1.0 + _STEP)):
        test: _Asked = {**asked, "test_standard": asked["test_standard"] * factor}
        cases.append((f"{words} scatter of the test", test, share))
    cases += [(f"share of {100 * one:g} %", asked, one) for one in (0.9, 0.95, 0.99) if one != share]
    found = []
    for changed, case, of in cases:
        if case["plant_deviation"] + case["test_standard"] <= 0.0:
            continue
        mean = target_mean(of, aim=aim, **case)
        best = None if prices is None else cheapest_mean(prices, **case)
        sign = 1.0 if watched.limit_is == "at_most" else -1.0
        found.append(
            TargetSensitivity(
                changed=changed,
                target=off_scale(mean, watched),
                margin=sign * (case["limit"] - mean),
                cheapest=None if best is None else off_scale(best.mean, watched),
            )
        )
    return tuple(found)


def _findings(
    watched: WatchedProperty,
    mean: float,
    outcomes: LoadOutcomes,
    prices: PricesOfMargin | None,
    cheapest: CostOfMargin | None,
) -> tuple[Finding, ...]:
    value = off_scale(mean, watched)
    quantity = QUANTITIES.get(watched.quantity)
    beyond = value <= 0.0 and watched.limit_is == "at_most" and (watched.limit or 0.0) > 0.0
    if quantity is not None and quantity.unit == "%" and watched.limit_is == "at_least":
        beyond = value > _WHOLE_PERCENT
    measures = [
        Measure("customers_risk_percent", 100.0 * outcomes.customers_risk, "%"),
        Measure("no_optimum", float(prices is not None and cheapest is None)),
        Measure("target_beyond_nature", float(beyond), where=watched.quantity),
    ]
    return doubts_of(measures, "target")
