"""Uncertainty budget of any quantity, from doubts and sensitivities that a laboratory states."""

from __future__ import annotations

import math

import numpy as np

from resile.compute.statistics.uncertainty.budget import combined_standard, standard_from_half_width
from resile.compute.statistics.uncertainty.coverage import effective_degrees_of_freedom
from resile.errors import MeasurementError
from resile.records.uncertainty import BudgetComponent, BudgetInput, StatedBudget, UncertaintyBudget


def combined_budget(stated: StatedBudget) -> UncertaintyBudget:
    """Combine what a laboratory states into the uncertainty of a result.

    Parameters
    ----------
    stated : StatedBudget
        Inputs with their sensitivities.

    Returns
    -------
    UncertaintyBudget
        Lines in % of the result and lines in its unit are kept apart: how they add up hangs on the value.

    Raises
    ------
    MeasurementError
        Where an amount is negative or not finite, or a kind is not known.

    Notes
    -----
    Standard uncertainty of an input: as it stands, ``U/k`` or ``a/sqrt 3``, ``a/sqrt 6`` for a half width a.
    Contribution: times the sensitivity. Root sum of squares of uncorrelated contributions. Degrees of freedom
    by Welch and Satterthwaite within the lines in % and within those in the unit; the smaller are kept.

    References
    ----------
    JCGM 100:2008, 4.3, 5.1.2, G.4.1.
    """
    lines = tuple(_component(one, stated.quantity) for one in stated.inputs)
    relative = [line.contribution_percent / 100.0 for line in lines]
    absolute = [line.contribution for line in lines]
    freedom = np.array([one.degrees_of_freedom or math.inf for one in stated.inputs])
    effective = min(
        float(effective_degrees_of_freedom(np.abs(parts), freedom)) for parts in (relative, absolute)
    )
    common = [line.common for line in lines]
    return UncertaintyBudget(
        components=lines,
        relative_standard=float(combined_standard(relative)),
        quantities=(stated.quantity,),
        absolute_standard=float(combined_standard(absolute)),
        common_relative=float(combined_standard(np.where(common, relative, 0.0))),
        common_absolute=float(combined_standard(np.where(common, absolute, 0.0))),
        degrees_of_freedom=effective if math.isfinite(effective) else None,
        title=stated.title,
    )


def _component(one: BudgetInput, quantity: str) -> BudgetComponent:
    if not (math.isfinite(one.amount) and one.amount >= 0.0 and one.coverage_factor > 0.0):
        raise MeasurementError(
            f"uncertainty budget of {quantity}, {one.name}: needed are an amount of zero or above and a "
            "coverage factor above zero"
        )
    if one.kind == "standard":
        standard = one.amount
    elif one.kind == "expanded":
        standard = one.amount / one.coverage_factor
    else:
        standard = float(standard_from_half_width(one.amount, shape=one.kind))
    return BudgetComponent(
        name=one.name,
        standard=standard,
        unit=one.unit,
        contribution_percent=abs(one.percent_per_unit) * standard,
        note=one.note,
        contribution=abs(one.per_unit) * standard,
        common=one.common,
    )
