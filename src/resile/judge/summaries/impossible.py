"""Reported values that no test can give: they are kept and shown, and kept out of every verdict."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import replace

from resile.judge.wording import number_words, property_words
from resile.records.check import SummaryCheck
from resile.records.determination import Determination
from resile.records.finding import Finding
from resile.records.quantity import QUANTITIES

CODE = "value-impossible"
_POSITIVE = (
    "jnr_0.1",
    "jnr_3.2",
    "rutting_parameter",
    "complex_modulus",
    "rotational_viscosity",
    "fatigue_parameter",
    "creep_stiffness",
    "m_value",
)
_HAS_DECIMALS = re.compile(r"\d[.,]\d")


def mark_impossible(
    determinations: Iterable[Determination], checks: Sequence[SummaryCheck]
) -> tuple[Determination, ...]:
    """Attach an invalid finding to every reported value that cannot be.

    Parameters
    ----------
    determinations : iterable of Determination
        Of any number of samples; those reduced from a raw record have been checked there.
    checks : sequence of SummaryCheck
        Without the check ``value-impossible`` nothing is marked.

    Returns
    -------
    tuple of Determination
        In the same order.

    Notes
    -----
    A negative compliance would satisfy every maximum there is, and so would the 0 of a cell that nobody
    filled in. A 0.00, printed with its decimals, is a small value rounded, and stands.
    """
    check = next((check for check in checks if check.code == CODE), None)
    if check is None:
        return tuple(determinations)
    return tuple(_marked(determination, check) for determination in determinations)


def _marked(determination: Determination, check: SummaryCheck) -> Determination:
    limit = _limit_missed(determination, check)
    if limit is None or determination.value is None:
        return determination
    unit = QUANTITIES[determination.quantity].unit
    side = (
        "above" if determination.value > limit else "not above" if determination.value == limit else "below"
    )
    where = ", ".join(part for part in (determination.sample, determination.place) if part)
    finding = Finding(
        code=check.code,
        severity=check.severity,
        message=f"{where}: {property_words(determination.quantity)} of "
        f"{number_words(determination.value)} {unit} is {side} {number_words(limit)} {unit}: "
        "no test gives that.",
        rule=check.rule,
        value=determination.value,
        limit=limit,
        unit=unit,
        source=check.source,
        advice=check.advice,
    )
    return replace(determination, findings=(*determination.findings, finding))


def _limit_missed(determination: Determination, check: SummaryCheck) -> float | None:
    value, quantity = determination.value, determination.quantity
    if value is None or determination.raw:
        return None
    lowest, widest = check.limits["lowest"], check.limits["phase_angle_highest_deg"]
    steepest = check.limits["m_value_highest"]
    if quantity == "phase_angle":
        return lowest if value < lowest else widest if value > widest else None
    if quantity == "m_value" and value > steepest:
        return steepest
    if quantity not in _POSITIVE:
        return None
    bare = value == lowest and not _HAS_DECIMALS.search(determination.text)
    return lowest if value < lowest or bare else None
