"""Standard uncertainty of a mean on the chosen basis: published or own precision, replicates, a budget."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from resile.judge.results.conformity import coverage_factor
from resile.judge.results.own_precision import own_doubt
from resile.judge.results.precision import Precision
from resile.records.determination import Uncertainty
from resile.records.own_precision import KeyedPrecision
from resile.records.uncertainty import UncertaintyBudget

# Compliances are positive and their doubts are relative: their distribution is taken as log-normal.
LOG_NORMAL_QUANTITIES = ("jnr_0.1", "jnr_3.2")


@dataclass(frozen=True, slots=True)
class _Mean:
    """What is known of a mean before a basis is chosen."""

    value: float
    count: int
    spread: float | None
    level: Precision
    budget: UncertaintyBudget | None
    own: KeyedPrecision | None


@dataclass(frozen=True, slots=True)
class _Doubt:
    """Standard uncertainty, the part common to the laboratory, degrees of freedom, and a note."""

    standard: float
    common: float
    freedom: float | None
    note: str


def needs_budget(basis: str) -> bool:
    """Tell whether a basis asks for a budget.

    Parameters
    ----------
    basis : str
        One basis, or several with commas.

    Returns
    -------
    bool
        True where one of them does.
    """
    return bool({one.strip() for one in basis.split(",")} & {"budget", "combined"})


def uncertainty_of_mean(
    value: float,
    count: int,
    spread: float | None,
    level: Precision,
    quantity: str,
    bases: Sequence[str],
    budgets: Sequence[UncertaintyBudget],
    own: KeyedPrecision | None = None,
) -> Uncertainty | None:
    """Give the standard uncertainty of a mean of determinations.

    Parameters
    ----------
    value : float
        The mean, in the unit of the glossary.
    count : int
        Determinations it was made of.
    spread : float or None
        Their standard deviation; None for a single one.
    level : Precision
        Published precision at the value.
    quantity : str
        Name from the glossary.
    bases : sequence of str
        The first that gives an uncertainty above zero is taken.
    budgets : sequence of UncertaintyBudget
        The one that holds for the quantity is used.
    own : KeyedPrecision or None
        Own precision of the laboratory that is in force for the value.

    Returns
    -------
    Uncertainty or None
        None where no basis gives one.

    Notes
    -----
    Between-laboratory scatter does not shrink with replicates: ``s_R^2 - s_r^2 (1 - 1/n)``, ISO 5725-6 and
    ISO 4259, from memory (high). What is common to the laboratory is ``s_R^2 - s_r^2``, and of a budget the
    lines marked so. Combined: replicates already hold what differs from specimen to specimen, so only the
    common lines are added; degrees of freedom by Welch and Satterthwaite (JCGM 100:2008, G.4.1).
    """
    mean = _Mean(
        value, count, spread, level, next((b for b in budgets if quantity in b.quantities), None), own
    )
    for basis in bases:
        found = _BY_BASIS[basis](mean)
        if found is not None and found.standard > 0.0:
            shape = "log-normal" if quantity in LOG_NORMAL_QUANTITIES and value > 0.0 else "normal"
            return Uncertainty(
                found.standard,
                basis,
                shape,
                found.freedom,
                found.note,
                common_standard=found.common,
                coverage_factor=coverage_factor(found.freedom),
            )
    return None


def _repeatability(mean: _Mean) -> _Doubt | None:
    if mean.level.repeatability is None:
        return None
    return _Doubt(mean.level.repeatability / math.sqrt(mean.count), 0.0, None, mean.level.note)


def _reproducibility(mean: _Mean) -> _Doubt | None:
    if mean.level.reproducibility is None:
        return None
    total, single = mean.level.reproducibility**2, (mean.level.repeatability or 0.0) ** 2
    standard = math.sqrt(max(total - single * (1.0 - 1.0 / mean.count), 0.0))
    # Without a repeatability nothing tells the two parts apart, and none is claimed to be shared.
    common = math.sqrt(max(total - single, 0.0)) if single > 0.0 else 0.0
    return _Doubt(standard, common, None, mean.level.note)


def _replicates(mean: _Mean) -> _Doubt | None:
    if mean.spread is None:
        return None
    note = f"{mean.count} determinations of this laboratory"
    return _Doubt(mean.spread / math.sqrt(mean.count), 0.0, float(mean.count - 1), note)


def _own(mean: _Mean) -> _Doubt | None:
    return None if mean.own is None else _Doubt(*own_doubt(mean.own, mean.value, mean.count))


def _budget(mean: _Mean) -> _Doubt | None:
    budget = mean.budget
    if budget is None:
        return None
    size = abs(mean.value)
    standard = math.hypot(budget.relative_standard * size, budget.absolute_standard)
    return _Doubt(standard, _common(budget, size), budget.degrees_of_freedom, _budget_note(budget))


def _combined(mean: _Mean) -> _Doubt | None:
    own = _replicates(mean)
    if own is None or mean.budget is None:
        return None
    common = _common(mean.budget, abs(mean.value))
    standard = math.hypot(own.standard, common)
    parts = [(own.standard, own.freedom), (common, mean.budget.degrees_of_freedom)]
    below = sum(part**4 / freedom for part, freedom in parts if freedom is not None)
    note = f"{own.note}; what its results share from the {_budget_note(mean.budget)}"
    return _Doubt(standard, common, standard**4 / below if below > 0.0 else None, note)


def _common(budget: UncertaintyBudget, size: float) -> float:
    return math.hypot(budget.common_relative * size, budget.common_absolute)


def _budget_note(budget: UncertaintyBudget) -> str:
    return "stated budget: " + ", ".join(component.name for component in budget.components)


_BY_BASIS: dict[str, Callable[[_Mean], _Doubt | None]] = {
    "repeatability": _repeatability,
    "reproducibility": _reproducibility,
    "replicates": _replicates,
    "budget": _budget,
    "combined": _combined,
    "own": _own,
}
