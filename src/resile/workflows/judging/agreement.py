"""What is agreed before a test: specification, rules, and what the uncertainty rests on."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path

from resile.compute.statistics.uncertainty.budget import jnr_budget
from resile.compute.statistics.uncertainty.stated_budget import combined_budget
from resile.errors import InputError
from resile.judge.results.own_precision import BASIS, day_of_test
from resile.judge.results.uncertainty import needs_budget
from resile.records.check import SummaryCheck
from resile.records.correlation import ErrorCorrelation
from resile.records.finding import FindingRule
from resile.records.own_precision import KeyedPrecision
from resile.records.price import PriceRule
from resile.records.specification import DecisionRule, PrecisionStatement, RetestRule, Specification
from resile.records.uncertainty import UncertaintyBudget
from resile.specifications.budgets import load_budget, load_correlation
from resile.specifications.creep_recovery import load_finding_rules
from resile.specifications.load import (
    load_all_precision,
    load_decision_rule,
    load_retest_rule,
    load_specification,
    load_summary_checks,
)
from resile.specifications.own_precision import load_own_precision
from resile.specifications.prices import load_price_rule


@dataclass(frozen=True, slots=True)
class Yardstick:
    """What was agreed before the test: specification, rules, and what the uncertainty rests on.

    Attributes
    ----------
    specification, decision_rule, retest_rule
        Loaded and checked.
    basis : str
        Basis of the uncertainty.
    precision : tuple of PrecisionStatement
        Published precision.
    checks : tuple of SummaryCheck
        Rules by which a summary is checked against itself.
    budgets : tuple of UncertaintyBudget
        For the bases ``"budget"`` and ``"combined"``.
    correlation : ErrorCorrelation
        How the errors of the laboratory's results hang together.
    across : tuple of FindingRule
        Rules by which the tests of one binder are set side by side.
    price_rules : tuple of PriceRule
        What the contract makes of a result in money; empty where that is not asked.
    price_limit : float or None
        Limit that a price rule counts from, where rule and specification have none.
    own : tuple of KeyedPrecision
        The laboratory's own precision, for the basis ``"own"``.
    tested : str
        Day or days of the tests, where a result states none: own precision is dated.
    """

    specification: Specification
    decision_rule: DecisionRule
    retest_rule: RetestRule
    basis: str
    precision: tuple[PrecisionStatement, ...]
    checks: tuple[SummaryCheck, ...]
    budgets: tuple[UncertaintyBudget, ...] = ()
    correlation: ErrorCorrelation = field(default_factory=load_correlation)
    across: tuple[FindingRule, ...] = ()
    price_rules: tuple[PriceRule, ...] = ()
    price_limit: float | None = None
    own: tuple[KeyedPrecision, ...] = ()
    tested: str = ""


def agree(
    specification: str | Path = "m332-2014",
    *,
    decision_rule: str = "simple",
    uncertainty_basis: str = "reproducibility",
    retest_rule: str = "mean-of-all",
    budget: str | Path = "binder",
    correlation: str | Path = "laboratory-bias",
    price_rules: Sequence[str | Path] = (),
    price_limit: float | None = None,
    precision: str | Path | Sequence[KeyedPrecision] = "",
    tested: str = "",
) -> Yardstick:
    """Load what the verdict will rest on, before anything is judged.

    Parameters
    ----------
    specification : str or Path
        Name of a specification, or a file of one's own.
    decision_rule, retest_rule : str
        Names of the rules.
    uncertainty_basis : str
        ``"reproducibility"``, ``"repeatability"``, ``"replicates"``, ``"budget"``, ``"combined"`` or
        ``"own"``; several with commas: the first that gives an uncertainty is taken, result by result.
    budget : str or Path
        Name or file of the uncertainty budget; used for the bases ``"budget"`` and ``"combined"`` only.
    correlation : str or Path
        Name or file of what is declared about errors that results share.
    price_rules : sequence of str or Path
        Names or files of price rules of the contract.
    price_limit : float, optional
        Limit they count from, where the contract states another than rule and specification.
    precision : str, Path or sequence of KeyedPrecision
        The laboratory's own precision, for the basis ``"own"``: name or file, or at hand.
    tested : str
        Day or days of the tests, for results that state none.

    Returns
    -------
    Yardstick
        All of it, checked.

    Raises
    ------
    InputError
        Where the uncertainty is to rest on own precision, and none is named.
    """
    return Yardstick(
        specification=load_specification(specification),
        decision_rule=load_decision_rule(decision_rule, basis=uncertainty_basis),
        retest_rule=load_retest_rule(retest_rule),
        basis=uncertainty_basis,
        precision=load_all_precision(),
        checks=load_summary_checks(),
        budgets=_budgets(budget) if needs_budget(uncertainty_basis) else (),
        correlation=load_correlation(correlation),
        across=load_finding_rules("across_tests"),
        price_rules=tuple(load_price_rule(rule) for rule in price_rules),
        price_limit=price_limit,
        own=_own(uncertainty_basis, precision, tested),
        tested=tested,
    )


def _own(
    basis: str, precision: str | Path | Sequence[KeyedPrecision], tested: str
) -> tuple[KeyedPrecision, ...]:
    if BASIS not in [one.strip() for one in basis.split(",")]:
        return ()
    if precision == "":
        raise InputError(
            "the uncertainty is to rest on the laboratory's own precision, and none is named: give its file "
            "(--precision FILE, key 'precision' of a test order), or agree on another basis"
        )
    if tested and not day_of_test((), tested):
        raise InputError(
            f"day of the tests: '{tested}' was found; needed: year-month-day, such as 2026-03-02"
        )
    return load_own_precision(precision) if isinstance(precision, str | Path) else tuple(precision)


def _budgets(budget: str | Path) -> tuple[UncertaintyBudget, ...]:
    stated = load_budget(budget)
    if isinstance(stated, dict):
        return (jnr_budget(**stated),)
    return tuple(combined_budget(one) for one in stated)
