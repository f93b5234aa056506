"""The declared retest rule: which determinations count, and whether replicates agree."""

from __future__ import annotations

import statistics
from collections.abc import Sequence
from itertools import combinations

from resile.judge.results.precision import Precision, precision_at, range_factor
from resile.judge.wording import number_words, property_words, temperature_words
from resile.records.determination import Determination
from resile.records.finding import Finding, Severity
from resile.records.specification import PrecisionStatement, RetestRule

_C670 = "ASTM C670, factors from memory (high)"


def where_words(head: Determination) -> str:
    """Give sample, property and temperature of a determination in words.

    Parameters
    ----------
    head : Determination
        Any one of a group.

    Returns
    -------
    str
        For the beginning of a message.
    """
    at = f" at {temperature_words(head.temperature_c)}" if head.temperature_c is not None else ""
    return f"{head.sample}, {property_words(head.quantity)}{at}"


def _range_limit(count: int, level: Precision) -> float | None:
    return None if level.repeatability is None else range_factor(count) * level.repeatability


def chosen_places(
    values: Sequence[float], rule: RetestRule, repeatability: float | None
) -> tuple[list[int], float | None]:
    """Give the places of the values that count by a rule, and nothing about it in words.

    Parameters
    ----------
    values : sequence of float
        Valid determinations in their order.
    rule : RetestRule
        Declared before the test.
    repeatability : float or None
        Published repeatability standard deviation at their mean; None where none is stated.

    Returns
    -------
    tuple of (list of int, float or None)
        Places that count; the range that the first ones exceed where further ones are needed and missing.
    """
    if rule.first == 0:
        return list(range(len(values))), None
    chosen = list(range(min(rule.first, len(values))))
    checked = len(values) >= rule.first > 1 and rule.further and repeatability is not None
    if not checked or repeatability is None:
        return chosen, None
    first, limit = values[: rule.first], range_factor(rule.first) * repeatability
    if max(first) - min(first) <= limit:
        return chosen, None
    wanted = rule.first + rule.further
    if len(values) < wanted:
        return chosen, limit
    return _settled(values[:wanted], rule.settle), None


def counted_places(
    values: list[float], rule: RetestRule, level: Precision, head: Determination
) -> tuple[list[int], list[Finding]]:
    """Give the places of the values that count, and what must be said about it.

    Parameters
    ----------
    values : list of float
        Valid determinations in their order.
    rule : RetestRule
        Declared before the test.
    level : Precision
        Published precision at their mean.
    head : Determination
        Any one of them, for the words.

    Returns
    -------
    tuple of list
        Places that count, and findings.
    """
    chosen, limit = chosen_places(values, rule, level.repeatability)
    if len(values) < rule.first:
        message = f"{where_words(head)}: {len(values)} of {rule.first} determinations were made"
        return chosen, [_retest_finding("determinations-missing", Severity.NOTE, message, rule)]
    if limit is None:
        return chosen, []
    found = max(values[: rule.first]) - min(values[: rule.first])
    message = (
        f"{where_words(head)}: the first {rule.first} determinations differ by "
        f"{number_words(found, limit)} {head.unit}, more than {number_words(limit, found)}; "
        f"the rule asks for {rule.first + rule.further - len(values)} more"
    )
    return chosen, [_retest_finding("further-determination-needed", Severity.CAUTION, message, rule)]


def _settled(values: Sequence[float], settle: str) -> list[int]:
    order = sorted(range(len(values)), key=values.__getitem__)
    if settle == "median":
        half = len(order) // 2
        return [order[half]] if len(order) % 2 else [order[half - 1], order[half]]
    if settle == "closest-two":
        closest = min(combinations(order, 2), key=lambda two: abs(values[two[0]] - values[two[1]]))
        return list(closest)
    return list(range(len(values)))


def _retest_finding(code: str, severity: Severity, message: str, rule: RetestRule) -> Finding:
    return Finding(
        code=code,
        severity=severity,
        message=f"{message}.",
        rule=rule.text,
        source=rule.source or f"declared retest rule '{rule.name}'",
        advice="Make the further determination before the result is used.",
    )


def replicate_findings(
    values: list[float], head: Determination, statements: Sequence[PrecisionStatement]
) -> list[Finding]:
    """Check the range of all valid determinations against the repeatability limit.

    Parameters
    ----------
    values : list of float
        Valid determinations.
    head : Determination
        Any one of them, for the words.
    statements : sequence of PrecisionStatement
        Published precision.

    Returns
    -------
    list of Finding
        At most one.
    """
    if len(values) < 2:
        return []
    level = precision_at(statistics.fmean(values), head.quantity, head.condition, statements)
    limit = _range_limit(len(values), level)
    found = max(values) - min(values)
    if limit is None or found <= limit:
        return []
    return [
        Finding(
            code="replicates-disagree",
            severity=Severity.CAUTION,
            message=(
                f"{where_words(head)}: {len(values)} determinations range over "
                f"{f'{number_words(found, limit)} {head.unit}'.rstrip()}, "
                f"more than the repeatability limit of {number_words(limit, found)}."
            ),
            rule=f"range of {len(values)} results within {range_factor(len(values)):g} standard deviations",
            value=found,
            limit=limit,
            unit=head.unit,
            source=f"{level.note}; {_C670}",
            advice="Look for a cause and follow the declared retest rule; drop nothing in silence.",
        )
    ]
