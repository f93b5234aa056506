"""Uncertainty budgets of a laboratory, from TOML: the inputs, not the equations."""

from __future__ import annotations

from pathlib import Path

from resile.errors import SpecificationError
from resile.specifications.search import find_file

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


def load_budget(wanted: str | Path = "creep_recovery") -> dict[str, float]:
    """Load the inputs of an uncertainty budget of Jnr.

    Parameters
    ----------
    wanted : str or Path
        Name of a file under ``budgets``, or a path.

    Returns
    -------
    dict of str to float
        Inputs by name, see `INPUTS`.

    Raises
    ------
    RecordNotFoundError, SpecificationError
        Where there is no such file, or a key is unknown or no number of zero or more.
    """
    file = find_file("budgets", wanted, words="uncertainty budget")
    inputs: dict[str, float] = {}
    for key, value in file.content.items():
        if key in ("title", "identifier", "name"):
            continue
        if key not in INPUTS:
            raise SpecificationError(f"{file.path}: key {key}: not known; known are {', '.join(INPUTS)}")
        if isinstance(value, bool) or not isinstance(value, int | float) or value < 0:
            raise SpecificationError(f"{file.path}: key {key}: a number of zero or more is needed")
        inputs[key] = float(value)
    return inputs
