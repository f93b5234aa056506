"""The standard uncertainty of every result of a block, on the basis that was agreed."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from resile.compute.statistics.verdicts.standards import repeatability_of_means, reproducibility_of_means
from resile.errors import InputError
from resile.records.uncertainty import UncertaintyBudget
from resile.workflows.archive.result_blocks import QUANTITY_NAMES, Numbers, ResultBlock
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
}
