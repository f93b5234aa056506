"""The price factor of a result by a rule of the contract, and what its uncertainty does to it."""

from __future__ import annotations

import math
from collections.abc import Iterator
from decimal import ROUND_HALF_EVEN, ROUND_HALF_UP, Decimal
from statistics import NormalDist, fmean

from resile.errors import SpecificationError
from resile.judge.grades.requirement import REPEATABILITY_LIMIT_FACTOR
from resile.records.determination import Result
from resile.records.price import PriceChange, PriceRule, PriceView

QUANTILES = 2000
"""Equally probable values by which the uncertainty of a value is stood for."""


def price_factor(rule: PriceRule, value: float, limit: float | None = None) -> float:
    """Give the share of the price that a value earns.

    Parameters
    ----------
    rule : PriceRule
        A line or steps.
    value : float
        In the unit of the rule.
    limit : float or None
        Limit that a line counts from; that of the rule where not given.

    Returns
    -------
    float
        Rounded, and within the rule's ends.

    Raises
    ------
    SpecificationError
        Where a line has no limit to count from.

    Notes
    -----
    Line, for a minimum: ``1 - loss ((limit - allowance) - value)``. Decimal digits are computed with, so that
    51.4 % against 55 % is 0.60 and not 0.6000…01.
    """
    exact = Decimal(repr(float(value)))
    if rule.value_decimals is not None:
        exact = exact.quantize(Decimal(1).scaleb(-rule.value_decimals), rounding=ROUND_HALF_EVEN)
    factor = _on_steps(rule, exact) if rule.steps else _on_line(rule, exact, limit)
    rounded = factor.quantize(Decimal(1).scaleb(-rule.factor_decimals), rounding=ROUND_HALF_UP)
    return min(rule.highest_factor, max(rule.lowest_factor, float(rounded)))


def _on_steps(rule: PriceRule, value: Decimal) -> Decimal:
    for step in rule.steps:
        edge = Decimal(repr(float(step.edge)))
        if value >= edge if rule.bound == "minimum" else value <= edge:
            return Decimal(repr(float(step.factor)))
    return Decimal(repr(float(rule.lowest_factor)))


def _on_line(rule: PriceRule, value: Decimal, limit: float | None) -> Decimal:
    start = rule.limit if limit is None else limit
    if start is None:
        raise SpecificationError(
            f"price rule '{rule.identifier}': the limit it counts from is stated neither there nor in the "
            "specification in force; give that of the contract with --price-limit"
        )
    edge, allowed = Decimal(repr(float(start))), Decimal(repr(float(rule.allowance or 0.0)))
    short = (edge - allowed) - value if rule.bound == "minimum" else value - (edge + allowed)
    return Decimal(1) - Decimal(repr(float(rule.loss_per_unit or 0.0))) * short


def price_view(rule: PriceRule, result: Result, limit: float | None = None) -> PriceView | None:
    """Give the price factor of a result, what would change it, and what to expect of it.

    Parameters
    ----------
    rule : PriceRule
        As agreed in the contract.
    result : Result
        Of the property of the rule.
    limit : float or None
        Limit of the contract; that of the rule where not given.

    Returns
    -------
    PriceView or None
        None where the result has no value.
    """
    if result.value is None:
        return None
    value = result.value
    factor = price_factor(rule, value, limit)
    changes = tuple(
        PriceChange(title, value + change, price_factor(rule, value + change, limit))
        for title, change in _changes(rule, result)
    )
    factors = [price_factor(rule, one, limit) for one in _likely_values(result)]
    expected = fmean(factors) if factors else None
    return PriceView(
        rule=rule,
        result=result,
        limit=rule.limit if limit is None else limit,
        factor=factor,
        may_be_defective=_defective(rule, factor),
        changes=changes,
        expected_factor=expected,
        full_price_probability=_share([one >= rule.highest_factor for one in factors]),
        defective_probability=_share([_defective(rule, one) for one in factors])
        if rule.defective_at_most is not None
        else None,
    )


def _defective(rule: PriceRule, factor: float) -> bool:
    return rule.defective_at_most is not None and factor <= rule.defective_at_most


def _share(found: list[bool]) -> float | None:
    return sum(found) / len(found) if found else None


def _changes(rule: PriceRule, result: Result) -> Iterator[tuple[str, float]]:
    unit = f" {rule.unit}" if rule.unit else ""
    yield f"{rule.sensitivity_step:g}{unit} less", -rule.sensitivity_step
    yield f"{rule.sensitivity_step:g}{unit} more", rule.sensitivity_step
    if result.repeatability:
        limit = REPEATABILITY_LIMIT_FACTOR * result.repeatability
        yield "repeatability (d2s) less", -limit
        yield "repeatability (d2s) more", limit


def _likely_values(result: Result) -> Iterator[float]:
    """Give equally probable values of a result; none where no uncertainty is stated.

    Few degrees of freedom are passed over: the values are those of the normal distribution.
    """
    if result.uncertainty is None or result.value is None or result.uncertainty.standard <= 0.0:
        return
    value, standard = result.value, result.uncertainty.standard
    normal = NormalDist()
    skewed = result.uncertainty.distribution == "log-normal" and value > 0.0
    sigma = math.sqrt(math.log1p((standard / value) ** 2)) if skewed else 0.0
    for place in range(QUANTILES):
        score = normal.inv_cdf((place + 0.5) / QUANTILES)
        yield value * math.exp(sigma * score) if skewed else value + standard * score
