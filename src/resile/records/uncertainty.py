"""An uncertainty budget: what each doubt about a measurement adds to the doubt about its result."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class BudgetComponent:
    """One line of a budget.

    Attributes
    ----------
    name : str
        For example ``temperature``.
    standard : float
        Standard uncertainty of the input, in `unit`.
    unit : str
        Unit of the input.
    contribution_percent : float
        What it adds to the result, in % of the result [%].
    note : str
        How the contribution follows from the input.
    """

    name: str
    standard: float
    unit: str
    contribution_percent: float
    note: str = ""


@dataclass(frozen=True, slots=True)
class UncertaintyBudget:
    """The lines and their root sum of squares.

    Attributes
    ----------
    components : tuple of BudgetComponent
        The lines.
    relative_standard : float
        Combined standard uncertainty as a ratio of the result.
    quantities : tuple of str
        Quantities the budget holds for.
    """

    components: tuple[BudgetComponent, ...]
    relative_standard: float
    quantities: tuple[str, ...]
