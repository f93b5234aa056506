"""What check materials and rounds say about the bias, each with its doubt."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from resile.compute.statistics.own.bias import mean_bias
from resile.compute.statistics.uncertainty.coverage import effective_degrees_of_freedom
from resile.errors import MeasurementError
from resile.records.laboratories import BiasFound, MaterialChecks
from resile.records.register.laboratories import RoundResult

_EXPANDED = 2.0


@dataclass(frozen=True, slots=True)
class Scatter:
    """Scatter of results over days.

    Attributes
    ----------
    deviation, freedom : float
        Standard deviation and its degrees of freedom.
    words : str
        What it rests on.
    over_days : bool
        False where the repeatability stands in for it.
    """

    deviation: float
    freedom: float
    words: str
    over_days: bool


def biases_of(
    materials: Sequence[MaterialChecks], rounds: Sequence[RoundResult], days: Scatter, *, relative: bool
) -> tuple[BiasFound, ...]:
    """Give the bias against each material of known doubt, and against each scheme of rounds.

    Parameters
    ----------
    materials : sequence of MaterialChecks
        Each with a check at least; without a stated doubt of the reference it says nothing about the bias.
    rounds : sequence of RoundResult
        Each with an assigned value.
    days : Scatter
        Stands in for the scatter of a single check or round.
    relative : bool
        True for ratios of the reference.

    Returns
    -------
    tuple of BiasFound
        Materials first, then schemes.
    """
    found = []
    for each in materials:
        expanded = each.material.reference_expanded
        if expanded is None:
            continue
        scale = _scale(each.material.reference, relative, each.material.name)
        differences = [(one.measured - each.material.reference) / scale for one in each.checks]
        doubt = expanded / _EXPANDED / scale
        found.append(_bias(each.material.name, differences, days, common=doubt, own=0.0))
    for scheme in dict.fromkeys(one.scheme for one in rounds):
        differences, doubts = [], []
        for one in rounds:
            if one.scheme == scheme and one.assigned is not None:
                scale = _scale(one.assigned, relative, f"round {one.round}")
                differences.append((one.value - one.assigned) / scale)
                doubts.append((one.assigned_standard or 0.0) / scale)
        own = math.sqrt(float(np.sum(np.square(doubts)))) / len(doubts)
        found.append(_bias(scheme or "rounds", differences, days, common=0.0, own=own))
    return tuple(found)


def _scale(value: float, relative: bool, where: str) -> float:
    if relative and value <= 0.0:
        raise MeasurementError(f"{where}: a ratio of {value:g} has no meaning; take the unit of the property")
    return value if relative else 1.0


def _bias(
    against: str, differences: Sequence[float], days: Scatter, *, common: float, own: float
) -> BiasFound:
    count = len(differences)
    if count > 1:
        scatter, freedom = float(np.std(differences, ddof=1)), count - 1.0
    else:
        scatter, freedom = days.deviation, days.freedom
    parts = [scatter / math.sqrt(count), common, own]
    standard = math.hypot(*parts)
    if standard <= 0.0:
        raise MeasurementError(f"{against}: neither scatter nor doubt: the bias against it cannot be weighed")
    effective = float(effective_degrees_of_freedom(parts, [freedom, math.inf, math.inf]))
    return BiasFound(
        against=against,
        count=count,
        bias=math.fsum(differences) / count,
        bias_standard=standard,
        degrees_of_freedom=None if math.isinf(effective) else effective,
    )


def one_bias(biases: Sequence[BiasFound]) -> tuple[float, float, float]:
    """Give one bias, its standard uncertainty and its degrees of freedom; zeros where there is none."""
    if not biases:
        return 0.0, 0.0, math.inf
    bias, standard = mean_bias([one.bias for one in biases], [one.bias_standard for one in biases])
    weights = np.array([1.0 / one.bias_standard**2 for one in biases])
    parts = weights / weights.sum() * np.array([one.bias_standard for one in biases])
    freedom = [math.inf if one.degrees_of_freedom is None else one.degrees_of_freedom for one in biases]
    return bias, standard, float(effective_degrees_of_freedom(parts, freedom))


def bias_excess(biases: Sequence[BiasFound]) -> float | None:
    """Give how far the sources scatter beyond what their doubts explain; None for a single one."""
    if len(biases) < 2:
        return None
    bias, _ = mean_bias([one.bias for one in biases], [one.bias_standard for one in biases])
    squares = math.fsum(((one.bias - bias) / one.bias_standard) ** 2 for one in biases)
    return squares / (len(biases) - 1)
