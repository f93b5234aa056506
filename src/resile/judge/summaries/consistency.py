"""Whether the reported numbers of one creep-recovery summary follow from one another.

Every reported derived value is computed again from the reported primaries, over the spans their printed
digits allow. A finding says what would explain a misfit: a unit, an exchanged digit, a lost one. Thresholds
come as records.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from resile.judge.summaries.class_letter import reported_class_findings
from resile.judge.summaries.intervals import (
    Printed,
    overlaps,
    printed,
    span_of,
    with_changed_digit,
    with_exchanged_digits,
    with_one_digit_less,
    with_one_digit_more,
    with_shifted_point,
)
from resile.judge.summaries.peers import findings_among_peers
from resile.judge.summaries.plausibility import Where, plausibility_findings
from resile.judge.wording import number_words, span_words
from resile.records.check import SummaryCheck
from resile.records.determination import Determination
from resile.records.finding import Finding
from resile.records.quantity import QUANTITIES
from resile.records.specification import Specification


@dataclass(frozen=True, slots=True)
class Derived:
    """A quantity that follows from two others.

    Attributes
    ----------
    quantity, inputs, formula, words
        What follows from what, and how.
    in_percent : bool
        True where it may have been printed as a ratio under a percent heading.
    step : str
        Limit of the unit check that holds the factor between the units of its inputs.
    """

    quantity: str
    inputs: tuple[str, str]
    formula: Callable[[float, float], float]
    words: str
    in_percent: bool = True
    step: str = "compliance_factor"


# AASHTO T 350, section 9, from memory (high); slope: Stempihar, Underwood and others 2018, from memory
# (high). The slope's denominator is the step between the two stresses, 3.2 - 0.1 kPa.
DERIVED = (
    Derived(
        "jnr_difference_percent",
        ("jnr_0.1", "jnr_3.2"),
        lambda low, high: 100.0 * (high - low) / low,
        "100 (Jnr3.2 − Jnr0.1)/Jnr0.1",
    ),
    Derived(
        "recovery_difference_percent",
        ("percent_recovery_0.1", "percent_recovery_3.2"),
        lambda low, high: 100.0 * (low - high) / low,
        "100 (R0.1 − R3.2)/R0.1",
        step="percent_factor",
    ),
    Derived(
        "jnr_slope_percent",
        ("jnr_0.1", "jnr_3.2"),
        lambda low, high: 100.0 * (high - low) / 3.1,
        "100 (Jnr3.2 − Jnr0.1)/3.1",
    ),
    # AASHTO T 315, definition, from memory (high)
    Derived(
        "rutting_parameter",
        ("complex_modulus", "phase_angle"),
        lambda modulus, angle: modulus / math.sin(math.radians(angle)),
        "|G*|/sin δ",
        in_percent=False,
    ),
    # FHWA Turner-Fairbank recycling data set (2025); Rowe 2011, from memory (high)
    Derived(
        "glover_rowe_parameter",
        ("complex_modulus", "phase_angle"),
        lambda modulus, angle: modulus * math.cos(math.radians(angle)) ** 2 / math.sin(math.radians(angle)),
        "|G*| cos² δ/sin δ",
        in_percent=False,
    ),
    Derived(
        "fatigue_parameter",
        ("complex_modulus", "phase_angle"),
        lambda modulus, angle: modulus * math.sin(math.radians(angle)),
        "|G*|·sin δ",
        in_percent=False,
    ),
)


def findings_for_summary(
    determinations: Sequence[Determination],
    checks: Sequence[SummaryCheck],
    *,
    specification: Specification | None = None,
    peers: Sequence[Determination] = (),
) -> tuple[Finding, ...]:
    """Check the reported values of one specimen against one another.

    Parameters
    ----------
    determinations : sequence of Determination
        Of one sample, residue, temperature and replicate; at most one a quantity counts (the first).
    checks : sequence of SummaryCheck
        Thresholds, severities and sources; a check that is left out is not made.
    specification : Specification or None
        For the reported class; None where it is not to be checked.
    peers : sequence of Determination
        The other replicates of the same sample, residue and temperature.

    Returns
    -------
    tuple of Finding
        In the order: derived values, class, plausibility, replicates.
    """
    table = {check.code: check for check in checks}
    reported: dict[str, Determination] = {}
    for determination in determinations:
        reported.setdefault(determination.quantity, determination)
    numbers = {name: item for name, d in reported.items() if (item := printed(d)) is not None}
    where = place_words(reported)
    findings = [
        *_derived_findings(numbers, table, where),
        *reported_class_findings(reported, numbers, table, specification, where),
        *plausibility_findings(numbers, table, where),
        *findings_among_peers(reported, peers, table, where),
    ]
    return tuple(findings)


def place_words(reported: Mapping[str, Determination]) -> Where:
    """Give the function that names sample, replicate and place of a quantity."""

    def where(quantity: str) -> str:
        """Fall back on the first determination for a quantity that was not reported."""
        one = reported.get(quantity) or next(iter(reported.values()))
        parts = [one.sample, f"replicate {one.replicate}" if one.replicate else "", one.place]
        return ", ".join(part for part in parts if part)

    return where


def _derived_findings(
    numbers: Mapping[str, Printed], table: Mapping[str, SummaryCheck], where: Where
) -> Iterator[Finding]:
    for rule in DERIVED:
        finding = derived_finding(rule, numbers, table, where)
        if finding is not None:
            yield finding


def derived_finding(
    rule: Derived, numbers: Mapping[str, Printed], table: Mapping[str, SummaryCheck], where: Where
) -> Finding | None:
    """Compare one reported derived value with what its inputs give.

    Parameters
    ----------
    rule : Derived
        What follows from what.
    numbers : mapping of str to Printed
        Reported values by quantity.
    table : mapping of str to SummaryCheck
        Checks by code.
    where : callable
        Gives the place of a quantity in words.

    Returns
    -------
    Finding or None
        None where the value follows within the rounding of all, or one of them is not reported.
    """
    first, second = (numbers.get(name) for name in rule.inputs)
    stated = numbers.get(rule.quantity)
    if first is None or second is None or stated is None:
        return None
    span = span_of(rule.formula, (first, second))
    if overlaps(span, stated.ends):
        return None
    check, unit_check = table.get("derived-value-does-not-follow"), table.get("wrong-unit-suspected")
    factor = _unit_factor(rule, first, second, stated, unit_check)
    if factor and unit_check is not None:
        return _unit_finding(rule, stated, span, factor, unit_check, where)
    return None if check is None else _misfit_finding(rule, (first, second), stated, span, check, where)


def _unit_factor(
    rule: Derived, first: Printed, second: Printed, stated: Printed, check: SummaryCheck | None
) -> str:
    """Say which factor would make the values fit, or give an empty text."""
    if check is None:
        return ""
    span = span_of(rule.formula, (first, second))
    percent, step = check.limits["percent_factor"], check.limits[rule.step]
    symbol = QUANTITIES[rule.quantity].symbol
    if rule.in_percent and overlaps(span, stated.scaled(percent).ends):
        return f"{symbol} times {percent:g} would fit: a ratio under a percent heading"
    if rule.in_percent and overlaps(span, stated.scaled(1.0 / percent).ends):
        return f"{symbol} divided by {percent:g} would fit: a value in per cent multiplied again"
    for factor in (step, 1.0 / step):
        if overlaps(span_of(rule.formula, (first.scaled(factor), second)), stated.ends):
            names = rule.inputs if rule.in_percent else (rule.inputs[0], rule.quantity)
            low, high = (QUANTITIES[name].symbol for name in names)
            return f"a factor of {step:g} between {low} and {high} would fit: one of them is in another unit"
    return ""


def _unit_finding(
    rule: Derived, stated: Printed, span: tuple[float, float], factor: str, check: SummaryCheck, where: Where
) -> Finding:
    symbol = QUANTITIES[rule.quantity].symbol
    return Finding(
        code=check.code,
        severity=check.severity,
        message=f"{where(rule.quantity)}: {symbol} is given as {number_words(stated.value, *span)}, "
        f"but {rule.words} is {span_words(span, stated.value)}; {factor}.",
        rule=check.rule,
        value=stated.value,
        limit=sum(span) / 2.0,
        unit=QUANTITIES[rule.quantity].unit,
        source=check.source,
        advice=check.advice,
    )


def _misfit_finding(
    rule: Derived,
    inputs: tuple[Printed, Printed],
    stated: Printed,
    span: tuple[float, float],
    check: SummaryCheck,
    where: Where,
) -> Finding:
    symbol = QUANTITIES[rule.quantity].symbol
    slip = _explaining_slip(rule, inputs, stated)
    return Finding(
        code=check.code,
        severity=check.severity,
        message=(
            f"{where(rule.quantity)}: the printed {symbol} of {number_words(stated.value, *span)} "
            f"does not follow from the printed "
            f"{' and '.join(QUANTITIES[name].symbol for name in rule.inputs)}: "
            f"{rule.words} is {span_words(span, stated.value)}.{' ' + slip if slip else ''}"
        ),
        rule=check.rule,
        value=stated.value,
        limit=sum(span) / 2.0,
        unit=QUANTITIES[rule.quantity].unit,
        source=check.source,
        advice=check.advice,
    )


_SLIPS = (
    (with_exchanged_digits, "One exchanged digit would explain it"),
    (with_shifted_point, "One lost digit would explain it"),
    (with_one_digit_less, "One digit too many would explain it"),
    (with_one_digit_more, "One lost digit would explain it"),
    (with_changed_digit, "One changed digit would explain it"),
)


def _explaining_slip(rule: Derived, inputs: tuple[Printed, Printed], stated: Printed) -> str:
    """Name the smallest slip of the pen that would make the values fit; an exchange before a loss before a
    change.

    A changed digit is offered only where at most two numbers would do: more is no explanation.
    """
    items = {rule.inputs[0]: inputs[0], rule.inputs[1]: inputs[1], rule.quantity: stated}
    for alter, words in _SLIPS:
        found: list[str] = []
        for name, item in items.items():
            for text, candidate in alter(item):
                trial = {**items, name: candidate}
                span = span_of(rule.formula, (trial[rule.inputs[0]], trial[rule.inputs[1]]))
                if overlaps(span, trial[rule.quantity].ends):
                    found.append(f"{QUANTITIES[name].symbol} {text} for {item.text}")
        found = list(dict.fromkeys(found))
        if found and (alter not in (with_changed_digit, with_one_digit_more) or len(found) <= 2):
            return f"{words}: {' or '.join(found[:3])}."
    return ""
