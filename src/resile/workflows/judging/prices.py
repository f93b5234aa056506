"""What the price rules of a contract make of results: a separate view, beside the verdict."""

from __future__ import annotations

from collections.abc import Sequence

from resile.judge.rules.price import price_view
from resile.records.determination import Result
from resile.records.finding import Severity, worst_severity
from resile.records.price import PriceRule, PriceView
from resile.workflows.judging.agreement import Yardstick


def price_views_of(results: Sequence[Result], yardstick: Yardstick) -> tuple[PriceView, ...]:
    """Give one view a price rule and result it speaks of.

    Parameters
    ----------
    results : sequence of Result
        Of one sample; invalid ones are priced no more than judged.
    yardstick : Yardstick
        Holds the price rules, and the specification whose limit they may count from.

    Returns
    -------
    tuple of PriceView
        In the order of rules and results; empty where no rule was agreed.

    Raises
    ------
    SpecificationError
        Where a rule has no limit to count from.
    """
    return tuple(
        view
        for rule in yardstick.price_rules
        for result in results
        if result.quantity == rule.quantity
        and result.condition is rule.condition
        and worst_severity(result.findings) is not Severity.INVALID
        and (view := price_view(rule, result, _limit(rule, yardstick))) is not None
    )


def _limit(rule: PriceRule, yardstick: Yardstick) -> float | None:
    """Take the limit named with the task, else that of the rule, else the only one of the specification."""
    if rule.steps:
        return rule.limit  # steps are printed with their edges; a limit is only told beside them
    if yardstick.price_limit is not None:
        return yardstick.price_limit
    if rule.limit is not None:
        return rule.limit
    limits = {
        limit
        for requirement in yardstick.specification.requirements
        if requirement.quantity == rule.quantity and requirement.bound == rule.bound
        for limit in requirement.limits.values()
    }
    return limits.pop() if len(limits) == 1 else None
