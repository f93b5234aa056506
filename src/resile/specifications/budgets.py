"""Uncertainty budgets and declared correlations of a laboratory, from TOML: the inputs, not the equations."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from resile.errors import SpecificationError
from resile.records.correlation import ErrorCorrelation
from resile.records.uncertainty import BudgetInput, StatedBudget
from resile.specifications.checked import checked_file
from resile.specifications.search import SpecificationFile, find_file

INPUTS = (
    "temperature_uncertainty_c",
    "diameter_uncertainty_mm",
    "gap_uncertainty_mm",
    "radius_uncertainty_percent",
    "torque_uncertainty_percent",
    "plate_diameter_mm",
    "nominal_gap_mm",
    "factor_per_6_c",
)
"""Keys a budget may hold besides its title; the names of the arguments of the equation."""


def load_budget(wanted: str | Path = "binder") -> tuple[StatedBudget, ...] | dict[str, float]:
    """Load an uncertainty budget.

    Parameters
    ----------
    wanted : str or Path
        Name of a file under ``budgets``, or a path.

    Returns
    -------
    tuple of StatedBudget, or dict of str to float
        One a quantity; for a file in the short form for Jnr, its inputs by name, see `INPUTS`.

    Raises
    ------
    RecordNotFoundError, SpecificationError
        Where there is no such file, or a key is unknown or wrong.
    """
    file = find_file("budgets", wanted, words="uncertainty budget")
    return _any_quantity(file) if "quantity" in file.content else _of_jnr(file)


def load_correlation(wanted: str | Path = "laboratory-bias") -> ErrorCorrelation:
    """Load how the errors of a laboratory's results are declared to hang together.

    Parameters
    ----------
    wanted : str or Path
        Name of a file under ``correlations``, or a path.

    Returns
    -------
    ErrorCorrelation
        Checked.

    Raises
    ------
    RecordNotFoundError, SpecificationError
        Where there is no such file, or a key is unknown or wrong.
    """
    from resile.specifications.schema_doubt import CorrelationModel

    file = find_file("correlations", wanted, words="correlation of errors")
    data = checked_file(CorrelationModel, file).model_dump()
    return ErrorCorrelation(**{**data, "directions": tuple(data["directions"].items())})


def _any_quantity(file: SpecificationFile) -> tuple[StatedBudget, ...]:
    from resile.specifications.schema_doubt import BudgetModel

    budget = checked_file(BudgetModel, file)
    return tuple(
        StatedBudget(
            quantity=one.name,
            title=budget.title,
            evidence=one.evidence,
            inputs=tuple(_input(line.model_dump()) for line in one.inputs),
        )
        for one in budget.quantities
    )


def _input(line: dict[str, Any]) -> BudgetInput:
    standard, expanded, half, shape = (
        line.pop(key) for key in ("standard", "expanded", "half_width", "shape")
    )
    for amount, kind in ((standard, "standard"), (expanded, "expanded"), (half, shape)):
        if amount is not None:
            return BudgetInput(amount=amount, kind=kind, **line)
    raise AssertionError("the model asks for one amount")


def _of_jnr(file: SpecificationFile) -> dict[str, float]:
    inputs: dict[str, float] = {}
    for key, value in file.content.items():
        if key in ("title", "identifier", "name"):
            continue
        if key not in INPUTS:
            raise SpecificationError(
                f"{file.path}: key {key}: not known; needed are [[quantity]] blocks, or for Jnr alone "
                f"{', '.join(INPUTS)}"
            )
        if isinstance(value, bool) or not isinstance(value, int | float) or value < 0:
            raise SpecificationError(f"{file.path}: key {key}: a number of zero or more is needed")
        inputs[key] = float(value)
    return inputs
