"""From duplicates, check materials and rounds to the laboratory's own doubt about one result."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from resile.compute.statistics.own.duplicates import (
    deviation_interval,
    level_correlation,
    pooled_deviation,
)
from resile.compute.statistics.uncertainty.budget import combined_standard
from resile.compute.statistics.uncertainty.coverage import effective_degrees_of_freedom
from resile.errors import InputError, MeasurementError
from resile.judge.laboratories.own import own_findings
from resile.judge.wording import property_words, residue_words
from resile.records.determination import Condition
from resile.records.laboratories import BiasFound, MaterialChecks, OwnPrecisionFound, Replicates
from resile.records.register.laboratories import OwnPrecision, RoundResult
from resile.specifications.creep_recovery import load_finding_rules
from resile.workflows.laboratories.biases import Scatter, bias_excess, biases_of, one_bias

_FEWEST_LEVELS = 4


def own_precision(
    quantity: str,
    *,
    duplicates: Sequence[Replicates] = (),
    checks: Sequence[MaterialChecks] = (),
    rounds: Sequence[RoundResult] = (),
    condition: Condition = Condition.UNKNOWN,
    relative: bool = True,
) -> OwnPrecisionFound:
    """Work out the laboratory's own precision of one property.

    Parameters
    ----------
    quantity : str
        Name from the glossary.
    duplicates : sequence of Replicates
        Determinations of one sample by one operator, instrument and day; at least one set of two.
    checks : sequence of MaterialChecks
        Materials tested again and again over days. One with a stated doubt of its reference also says
        something about the bias; one without (a binder of the laboratory's own) about the scatter only.
    rounds : sequence of RoundResult
        Rounds of this property; others are left out.
    condition : Condition
        Residue; unknown takes every residue together.
    relative : bool
        True for standard deviations as ratios of the value, False in its unit.

    Returns
    -------
    OwnPrecisionFound
        Repeatability, scatter over days, bias and the standard uncertainty of one result, ``sqrt(s_days^2 +
        bias^2 + u(bias)^2)``: the bias is not taken off the results, so it counts in full.

    Raises
    ------
    InputError
        Where there are no duplicates, a number is not finite, or a ratio is asked of a value that is not
        above zero.

    References
    ----------
    Nordtest TR 537 for the parts, from memory (high); Welch and Satterthwaite for the degrees of freedom.
    """
    groups = [one.values for one in duplicates]
    materials = [one for one in checks if one.material.quantity == quantity and one.checks]
    used = [
        one
        for one in rounds
        if one.quantity == quantity
        and one.assigned is not None
        and (condition is Condition.UNKNOWN or one.condition == condition)
    ]
    where = property_words(quantity) + (
        "" if condition is Condition.UNKNOWN else f", {residue_words(condition)}"
    )
    if not groups:
        raise InputError(f"{where}: no duplicates; one pair at least is needed for a repeatability")
    try:
        repeatability, freedom = pooled_deviation(groups, relative=relative)
        days = _over_days(materials, repeatability, freedom, relative)
        biases = biases_of(materials, used, days, relative=relative)
    except MeasurementError as error:
        raise InputError(f"{where}: {error}") from error
    bias, bias_standard, bias_freedom = one_bias(biases)
    found = _found(
        quantity, condition, relative, (repeatability, freedom), days, (bias, bias_standard, bias_freedom)
    )
    slope, chance = _level(groups, relative)
    return _with_account(found, biases, duplicates, materials, used, slope, chance, where)


def _over_days(
    materials: Sequence[MaterialChecks], repeatability: float, freedom: float, relative: bool
) -> Scatter:
    """Give the scatter over days: pooled from the checks, and never below the repeatability."""
    groups = [[one.measured for one in each.checks] for each in materials if len(each.checks) > 1]
    if not groups:
        return Scatter(
            repeatability, freedom, "the repeatability alone: no material was tested over days", False
        )
    deviation, own = pooled_deviation(groups, relative=relative)
    count = sum(len(group) for group in groups)
    names = ", ".join(each.material.name for each in materials if len(each.checks) > 1)
    words = f"{count} checks over days with {names}"
    if deviation < repeatability:
        return Scatter(repeatability, freedom, f"{words}, raised to the repeatability", True)
    return Scatter(deviation, own, words, True)


def _found(
    quantity: str,
    condition: Condition,
    relative: bool,
    repeatability: tuple[float, float],
    days: Scatter,
    bias: tuple[float, float, float],
) -> OwnPrecisionFound:
    parts = [days.deviation, bias[0], bias[1]]
    standard = float(combined_standard(parts))
    freedom = math.inf
    if standard > 0.0:
        freedom = float(effective_degrees_of_freedom(parts, [days.freedom, bias[2], bias[2]]))
    lower, upper = deviation_interval(*repeatability)
    return OwnPrecisionFound(
        quantity=quantity,
        condition=condition,
        relative=relative,
        repeatability=repeatability[0],
        repeatability_freedom=repeatability[1],
        repeatability_lower=lower,
        repeatability_upper=upper,
        intermediate=days.deviation,
        intermediate_freedom=days.freedom,
        intermediate_from=days.words,
        bias=bias[0],
        bias_standard=bias[1],
        standard=standard,
        degrees_of_freedom=None if math.isinf(freedom) else freedom,
    )


def _level(groups: Sequence[Sequence[float]], relative: bool) -> tuple[float | None, float | None]:
    if len(groups) < _FEWEST_LEVELS:
        return None, None
    return level_correlation(groups, relative=relative)


def _with_account(
    found: OwnPrecisionFound,
    biases: Sequence[BiasFound],
    duplicates: Sequence[Replicates],
    materials: Sequence[MaterialChecks],
    rounds: Sequence[RoundResult],
    slope: float | None,
    chance: float | None,
    where: str,
) -> OwnPrecisionFound:
    from dataclasses import replace

    days = [one.when[:10] for one in duplicates if one.when]
    days += [one.done[:10] for each in materials for one in each.checks if one.done]
    days += [one.day[:10] for one in rounds if one.day]
    means = [float(np.mean(one.values)) for one in duplicates]
    scale = "ratios of the value" if found.relative else "the unit of the property"
    over_days = any(len(each.checks) > 1 for each in materials)
    whole = replace(
        found,
        biases=tuple(biases),
        lowest=min(means),
        highest=max(means),
        duplicates=len(duplicates),
        checks=sum(len(each.checks) for each in materials),
        rounds=len(rounds),
        since=min(days, default=""),
        until=max(days, default=""),
        level_slope=slope,
        note=(
            f"In {scale}. Repeatability pooled from {len(duplicates)} sets of duplicates; scatter over "
            f"days from {found.intermediate_from}; bias from {_sources(biases)}. Standard uncertainty: root "
            "of the squares of scatter over days, bias and doubt of the bias."
        ),
    )
    return replace(
        whole,
        findings=own_findings(
            whole,
            where,
            load_finding_rules("own_precision"),
            over_days=over_days,
            bias_excess=bias_excess(biases),
            level_probability=chance,
        ),
    )


def _sources(biases: Sequence[BiasFound]) -> str:
    return ", ".join(f"{one.against} ({one.count})" for one in biases) or "nothing: it is unknown"


def precision_to_keep(
    found: OwnPrecisionFound, *, valid_until: str = "", invented: bool = False
) -> OwnPrecision:
    """Give an own precision as it is kept in the record.

    Parameters
    ----------
    found : OwnPrecisionFound
        Worked out, and looked at by a person.
    valid_until : str
        Day until which it may be used; empty until it is replaced.
    invented : bool
        True in the demonstration.

    Returns
    -------
    OwnPrecision
        In force from the day after the newest of its data.
    """
    return OwnPrecision(
        quantity=found.quantity,
        condition=found.condition,
        relative=found.relative,
        repeatability=found.repeatability,
        intermediate=found.intermediate,
        bias=found.bias,
        bias_standard=found.bias_standard,
        standard=found.standard,
        degrees_of_freedom=found.degrees_of_freedom,
        lowest=found.lowest,
        highest=found.highest,
        duplicates=found.duplicates,
        checks=found.checks,
        rounds=found.rounds,
        since=found.since,
        until=found.until,
        valid_until=valid_until,
        note=found.note,
        invented=invented,
    )
