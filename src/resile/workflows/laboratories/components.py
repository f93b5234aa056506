"""Components of variance of a table of results."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from resile.compute.statistics.components.crossed import crossed_components
from resile.compute.statistics.components.nested import nested_components
from resile.errors import InputError, MeasurementError
from resile.judge.laboratories.own import component_findings
from resile.records.laboratories import VarianceComponents
from resile.records.quantity import QUANTITIES, RESULT_QUANTITIES
from resile.specifications.creep_recovery import load_finding_rules
from resile.specifications.laboratories import load_comparison_practice

DESIGNS = ("nested", "crossed")


def components_of(
    values: Sequence[float],
    factors: Sequence[tuple[str, Sequence[str]]],
    *,
    design: str,
    specimen: str = "",
    quantity: str = "",
    unit: str = "",
) -> VarianceComponents:
    """Share out the scatter of results among operator, instrument, day and duplicate.

    Parameters
    ----------
    values : sequence of float
        Results in one unit.
    factors : sequence of (name, labels)
        From the outermost; one label a result.
    design : str
        ``nested`` or ``crossed``; never guessed.
    specimen : str
        Factor that stands for the specimens; empty for none.
    quantity : str
        Name from the glossary; empty where it is none.
    unit : str
        Unit of the results; that of the quantity where not given.

    Returns
    -------
    VarianceComponents
        With what weakens them.

    Raises
    ------
    InputError
        Where the design is not known, or the results cannot tell the factors apart.
    """
    if design not in DESIGNS:
        raise InputError(f"design '{design}' is not known; needed is {' or '.join(DESIGNS)}")
    if quantity and quantity not in QUANTITIES:
        raise InputError(f"property '{quantity}' is not known; known are {', '.join(RESULT_QUANTITIES)}")
    estimate = nested_components if design == "nested" else crossed_components
    try:
        found = estimate(
            values, factors, coverage=load_comparison_practice().component_coverage, specimen=specimen
        )
    except MeasurementError as error:
        raise InputError(str(error)) from error
    named = replace(found, quantity=quantity, unit=unit or (QUANTITIES[quantity].unit if quantity else ""))
    return replace(named, findings=component_findings(named, load_finding_rules("variance_components")))
