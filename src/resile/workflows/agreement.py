"""What is agreed before a test: specification, rules, and what the uncertainty rests on."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path

from resile.compute.statistics.budget import jnr_budget
from resile.records.check import SummaryCheck
from resile.records.specification import DecisionRule, PrecisionStatement, RetestRule, Specification
from resile.records.uncertainty import UncertaintyBudget
from resile.specifications.budgets import load_budget
from resile.specifications.load import (
    load_all_precision,
    load_decision_rule,
    load_retest_rule,
    load_specification,
    load_summary_checks,
)

BUDGET_QUANTITIES = ("jnr_0.1", "jnr_3.2")


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
    budget : UncertaintyBudget or None
        For the basis ``"budget"``.
    """

    specification: Specification
    decision_rule: DecisionRule
    retest_rule: RetestRule
    basis: str
    precision: tuple[PrecisionStatement, ...]
    checks: tuple[SummaryCheck, ...]
    budget: UncertaintyBudget | None = None


def agree(
    specification: str | Path = "m332-2014",
    *,
    decision_rule: str = "simple",
    uncertainty_basis: str = "reproducibility",
    retest_rule: str = "mean-of-all",
    budget: str | Path = "creep_recovery",
) -> Yardstick:
    """Load what the verdict will rest on, before anything is judged.

    Parameters
    ----------
    specification : str or Path
        Name of a specification, or a file of one's own.
    decision_rule, retest_rule : str
        Names of the rules.
    uncertainty_basis : str
        ``"reproducibility"``, ``"repeatability"``, ``"replicates"`` or ``"budget"``.
    budget : str or Path
        Name or file of the uncertainty budget; used for the basis ``"budget"`` only.

    Returns
    -------
    Yardstick
        All of it, checked.
    """
    return Yardstick(
        specification=load_specification(specification),
        decision_rule=load_decision_rule(decision_rule, basis=uncertainty_basis),
        retest_rule=load_retest_rule(retest_rule),
        basis=uncertainty_basis,
        precision=load_all_precision(),
        checks=load_summary_checks(),
        budget=replace(jnr_budget(**load_budget(budget)), quantities=BUDGET_QUANTITIES)
        if uncertainty_basis == "budget"
        else None,
    )
