"""A reported critical or continuous temperature against where the results meet the limit, by both rules."""

from __future__ import annotations

import itertools
from collections.abc import Sequence

from resile.compute.statistics.critical.critical_temperature import critical_temperature
from resile.compute.statistics.critical.limit_crossing import interpolated_temperature
from resile.errors import MeasurementError
from resile.judge.grades.selection import BEAM_OFFSET_C, limit_for
from resile.judge.summaries.intervals import printed
from resile.judge.summaries.reported import compare_number, not_checked
from resile.judge.wording import property_words, residue_words
from resile.records.check import SummaryCheck
from resile.records.determination import Condition, Determination
from resile.records.reported import Computed, ReportedComparison
from resile.records.specification import Specification
from resile.workflows.judging.continuous import ENDS
from resile.workflows.judging.limit_temperature import INTERPOLATION_RULES

PROPERTIES = {
    "reported_high_temperature": ("rutting_parameter",),
    "reported_stiffness_temperature": ("creep_stiffness",),
    "reported_m_value_temperature": ("m_value",),
    "reported_low_temperature": ("creep_stiffness", "m_value"),
    "reported_delta_tc": ("creep_stiffness", "m_value"),
}
"""Results that a reported temperature follows from."""
_RULES = ("log", "linear")
ByRule = dict[str, Computed]


def compare_temperature(
    stated: Determination,
    determinations: Sequence[Determination],
    checks: Sequence[SummaryCheck],
    specifications: Sequence[Specification],
) -> ReportedComparison:
    """Compare one reported temperature with where the results of its specimen meet the limit.

    Parameters
    ----------
    stated : Determination
        The conclusion; its quantity is one of `PROPERTIES`.
    determinations : sequence of Determination
        All of them, its own among them.
    checks : sequence of SummaryCheck
        Severities, tolerance and sources of the findings.
    specifications : sequence of Specification
        Whose limits count, in this order.

    Returns
    -------
    ReportedComparison
        Not checked, with the reason, where results or a limit are missing or do not bracket it.
    """
    crossings: list[ByRule] = []
    for quantity in PROPERTIES[stated.quantity]:
        points = _points(stated, quantity, determinations)
        if len(points) < 2:
            reason = f"fewer than two results of {property_words(quantity)} of that specimen are given"
            return not_checked(stated, checks, reason)
        limit = _limit(quantity, points[0].condition, specifications)
        if limit is None:
            names = ", ".join(one.identifier for one in specifications)
            residue = residue_words(points[0].condition)
            return not_checked(
                stated, checks, f"{names} sets no limit of {property_words(quantity)} for {residue} binder"
            )
        crossing = _crossings(points, limit)
        if isinstance(crossing, str):
            return not_checked(stated, checks, crossing)
        crossings.append(crossing)
    by_rule, declared = _combined(stated.quantity, crossings)
    return compare_number(stated, by_rule, declared, checks, "the limit, met between two results,")


def _points(
    stated: Determination, quantity: str, determinations: Sequence[Determination]
) -> list[Determination]:
    """Give the results of the specimen; where the conclusion names no residue, those of the only one."""
    points = [
        d
        for d in determinations
        if d.quantity == quantity
        and (d.sample, d.replicate) == (stated.sample, stated.replicate)
        and d.temperature_c is not None
        and d.value is not None
        and stated.condition in (d.condition, Condition.UNKNOWN)
    ]
    return points if len({d.condition for d in points}) == 1 else []


def _limit(quantity: str, condition: Condition, specifications: Sequence[Specification]) -> float | None:
    for specification in specifications:
        for requirement in specification.requirements:
            limit = limit_for(requirement, specification.classes[0].name)
            accepted = condition in (requirement.condition, *requirement.also_accepts)
            if requirement.quantity == quantity and requirement.temperature in ENDS and accepted:
                return limit
    return None


def _crossings(points: Sequence[Determination], limit: float) -> ByRule | str:
    """Give the temperature at which the limit is met by each rule, over the rounding of the two results."""
    by_rule: ByRule = {}
    for rule in _RULES:
        try:
            critical = critical_temperature(
                [float(d.temperature_c or 0.0) for d in points],
                [float(d.value or 0.0) for d in points],
                limit,
                rule=rule,
            )
        except MeasurementError as error:
            return str(error)
        if critical.temperature_c is None:
            return critical.reason
        ends = []
        for point in critical.points:
            item = next(
                printed(d) for d in points if (d.temperature_c, d.value) == (point.temperature_c, point.value)
            )
            ends.append(item.ends if item is not None else (point.value, point.value))
        first, second = critical.points
        corners = [
            float(
                interpolated_temperature(
                    first.temperature_c, second.temperature_c, one, two, limit, rule=rule
                )
            )
            for one, two in itertools.product(*ends)
        ]
        by_rule[rule] = Computed(critical.temperature_c, min(corners), max(corners))
    return by_rule


def _combined(quantity: str, crossings: Sequence[ByRule]) -> tuple[ByRule, str]:
    """Give what is reported of one or two temperatures, by the rule of the first of them."""
    declared = INTERPOLATION_RULES[PROPERTIES[quantity][0]]
    first = crossings[0]
    if len(crossings) == 1:
        return first, declared
    slope = crossings[1][INTERPOLATION_RULES["m_value"]]
    return {rule: _of_two(quantity, one, slope) for rule, one in first.items()}, declared


def _of_two(quantity: str, stiffness: Computed, slope: Computed) -> Computed:
    if quantity == "reported_delta_tc":
        return Computed(
            stiffness.value - slope.value, stiffness.lowest - slope.highest, stiffness.highest - slope.lowest
        )
    ends = ("value", "lowest", "highest")
    warmest = [max(getattr(stiffness, end), getattr(slope, end)) - BEAM_OFFSET_C for end in ends]
    return Computed(*warmest)
