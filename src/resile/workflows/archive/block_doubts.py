"""The standard uncertainty of every result of a block, on the basis that was agreed."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

import numpy as np

from resile.compute.statistics.verdicts.standards import repeatability_of_means, reproducibility_of_means
from resile.errors import InputError
from resile.judge.results.own_precision import day_of_test, holds_on, preference
from resile.records.determination import Condition
from resile.records.own_precision import KeyedPrecision
from resile.records.uncertainty import UncertaintyBudget
from resile.workflows.archive.result_blocks import (
    CONDITIONS,
    ELSEWHERE,
    QUANTITY_NAMES,
    Numbers,
    ResultBlock,
    Truths,
)
from resile.workflows.judging.agreement import Yardstick

Doubt = tuple[Numbers, Numbers]
"""Standard uncertainty and degrees of freedom; not-a-number and infinite where there is none."""


def doubts_of_block(block: ResultBlock, yardstick: Yardstick) -> Doubt:
    """Give the standard uncertainty of each result, as the judge gives it to one.

    Parameters
    ----------
    block : ResultBlock
        Results.
    yardstick : Yardstick
        Holds the basis, or several: the first that gives an uncertainty above zero counts, result by result.

    Returns
    -------
    tuple of two ndarrays
        Standard uncertainty [unit of each result] and degrees of freedom.

    Raises
    ------
    InputError
        For a basis that an archive does not hold.
    """
    standard, freedom = np.full(block.value.shape, np.nan), np.full(block.value.shape, np.inf)
    for basis in (one.strip() for one in yardstick.basis.split(",")):
        if basis not in _BY_BASIS:
            raise InputError(
                f"uncertainty basis '{basis}': an archive is judged again on {', '.join(sorted(_BY_BASIS))}"
            )
        found, degrees = _BY_BASIS[basis](block, yardstick)
        free = np.isnan(standard) & (found > 0.0)
        standard[free], freedom[free] = found[free], degrees[free]
    return standard, freedom


def needs_spread(yardstick: Yardstick) -> bool:
    """Tell whether the basis asks for the scatter of replicates."""
    return bool({one.strip() for one in yardstick.basis.split(",")} & {"replicates", "combined"})


def _endless(block: ResultBlock) -> Numbers:
    return np.full(block.value.shape, np.inf)


def _repeatability(block: ResultBlock, _: Yardstick) -> Doubt:
    return repeatability_of_means(block.repeatability, block.count), _endless(block)


def _reproducibility(block: ResultBlock, _: Yardstick) -> Doubt:
    found = reproducibility_of_means(block.repeatability, block.reproducibility, block.count)
    return found, _endless(block)


def _replicates(block: ResultBlock, _: Yardstick) -> Doubt:
    several = block.count > 1
    found = np.where(several, block.spread / np.sqrt(block.count), np.nan)
    return found, np.where(several, block.count - 1.0, np.inf)


def _budget(block: ResultBlock, yardstick: Yardstick) -> Doubt:
    standard, freedom = np.full(block.value.shape, np.nan), _endless(block)
    for budget, here, size in _by_budget(block, yardstick):
        standard[here] = np.hypot(budget.relative_standard * size, budget.absolute_standard)
        freedom[here] = np.inf if budget.degrees_of_freedom is None else budget.degrees_of_freedom
    return standard, freedom


def _combined(block: ResultBlock, yardstick: Yardstick) -> Doubt:
    """Add what the laboratory's results share to the scatter of replicates; Welch and Satterthwaite."""
    standard, freedom = np.full(block.value.shape, np.nan), _endless(block)
    own, own_freedom = _replicates(block, yardstick)
    for budget, here, size in _by_budget(block, yardstick):
        common = np.hypot(budget.common_relative * size, budget.common_absolute)
        standard[here] = np.hypot(own[here], common)
        below = own[here] ** 4 / own_freedom[here]
        if budget.degrees_of_freedom is not None:
            below = below + common**4 / budget.degrees_of_freedom
        with np.errstate(divide="ignore", invalid="ignore"):
            freedom[here] = np.where(below > 0.0, standard[here] ** 4 / below, np.inf)
    return standard, freedom


def _own(block: ResultBlock, yardstick: Yardstick) -> Doubt:
    """Take the laboratory's own precision that was in force on the day of each result, the best one first."""
    standard, freedom = np.full(block.value.shape, np.nan), _endless(block)
    days = [*block.days, day_of_test((), yardstick.tested)]  # the last one for results without a day
    elsewhere = block.day == ELSEWHERE
    day_of = np.where(elsewhere, -1, block.day)
    for held, here in _by_precision(block, yardstick.own):
        own = held.value
        dated = np.array([bool(day) and holds_on(own, day) for day in days])[day_of]
        low = -np.inf if own.lowest is None else own.lowest
        high = np.inf if own.highest is None else own.highest
        covered = (block.value >= low) & (block.value <= high)
        now = here & ~elsewhere & dated & covered & np.isnan(standard)
        size = np.abs(block.value[now]) if own.relative else 1.0
        total, single = (own.standard * size) ** 2, (own.repeatability * size) ** 2
        shrunk = total - single * (1.0 - 1.0 / block.count[now])
        standard[now] = np.sqrt(np.maximum(shrunk, 0.0))
        freedom[now] = np.inf if own.degrees_of_freedom is None else own.degrees_of_freedom
    return standard, freedom


def _by_precision(
    block: ResultBlock, own: Sequence[KeyedPrecision]
) -> Iterator[tuple[KeyedPrecision, Truths]]:
    """Give each own precision with the results it is meant for, of each residue the best one first."""
    for place, condition in enumerate(CONDITIONS):
        residue = block.condition == place
        fitting = [one for one in own if one.value.condition in (condition, Condition.UNKNOWN)]
        for one in sorted(fitting, key=lambda one: preference(one, condition), reverse=True):
            yield one, residue & (block.quantity == QUANTITY_NAMES.index(one.value.quantity))


def _by_budget(block: ResultBlock, yardstick: Yardstick) -> list[tuple[UncertaintyBudget, Numbers, Numbers]]:
    """Give each quantity's budget, which results it holds for, and their sizes."""
    found = []
    for code in np.unique(block.quantity).tolist():
        budget = next((b for b in yardstick.budgets if QUANTITY_NAMES[code] in b.quantities), None)
        if budget is not None:
            here = block.quantity == code
            found.append((budget, here, np.abs(block.value[here])))
    return found


_BY_BASIS: dict[str, Callable[[ResultBlock, Yardstick], Doubt]] = {
    "repeatability": _repeatability,
    "reproducibility": _reproducibility,
    "replicates": _replicates,
    "budget": _budget,
    "combined": _combined,
    "own": _own,
}
