"""An uncertainty budget: what each doubt about a measurement adds to the doubt about its result."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class BudgetInput:
    """One doubt about a measurement as a laboratory states it.

    Attributes
    ----------
    name : str
        For example ``temperature``.
    amount : float
        How large it is, in `unit`: a standard uncertainty, an expanded one or a half width.
    kind : str
        ``"standard"``, ``"expanded"``, ``"rectangular"`` or ``"triangular"``.
    unit : str
        Unit of the input.
    coverage_factor : float
        By which an expanded one is divided.
    percent_per_unit : float
        What one unit of the input does to the result, in % of the result [%].
    per_unit : float
        What one unit of the input does to the result, in the unit of the result.
    common : bool
        Whether all results of the laboratory share it (a calibration), or each has its own (trimming).
    degrees_of_freedom : float or None
        None where taken as infinite.
    note : str
        Where the number comes from.
    """

    name: str
    amount: float
    kind: str = "standard"
    unit: str = ""
    coverage_factor: float = 2.0
    percent_per_unit: float = 0.0
    per_unit: float = 0.0
    common: bool = False
    degrees_of_freedom: float | None = None
    note: str = ""


@dataclass(frozen=True, slots=True)
class StatedBudget:
    """The inputs of a budget of one quantity, not yet combined.

    Attributes
    ----------
    quantity : str
        Name from the glossary.
    title : str
        What the file calls itself.
    evidence : str
        How well the numbers are founded.
    inputs : tuple of BudgetInput
        The lines.
    """

    quantity: str
    title: str
    evidence: str
    inputs: tuple[BudgetInput, ...]


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
    contribution : float
        What it adds to the result, in the unit of the result, whatever the value.
    common : bool
        Whether all results of the laboratory share it.
    """

    name: str
    standard: float
    unit: str
    contribution_percent: float
    note: str = ""
    contribution: float = 0.0
    common: bool = False


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
    absolute_standard : float
        Combined standard uncertainty of the lines that do not grow with the result, in its unit.
    common_relative, common_absolute : float
        The parts of both that all results of the laboratory share.
    degrees_of_freedom : float or None
        Effective ones; None where taken as infinite.
    title : str
        What the file calls itself.
    """

    components: tuple[BudgetComponent, ...]
    relative_standard: float
    quantities: tuple[str, ...]
    absolute_standard: float = 0.0
    common_relative: float = 0.0
    common_absolute: float = 0.0
    degrees_of_freedom: float | None = None
    title: str = ""
