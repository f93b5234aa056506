"""Which of the laboratory's own precisions was in force for a value on the day of its test.

Standard library only. A precision holds from the day after its last data until `valid_until`, for its
property, its residue and the values it was found for. Where several hold, one for the very residue goes
before one for every residue, and the newest before older ones.
"""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass

from resile.judge.results.retest import where_words
from resile.judge.wording import MINUS, number_words, property_words, residue_words
from resile.records.determination import Condition, Determination
from resile.records.finding import Finding, Severity
from resile.records.own_precision import KeyedPrecision
from resile.records.quantity import QUANTITIES
from resile.records.register.laboratories import OwnPrecision

BASIS = "own"
"""Name of the basis of uncertainty that rests on the laboratory's own precision."""
_DAY = re.compile(r"\d{4}-\d{2}-\d{2}")


@dataclass(frozen=True, slots=True)
class InForce:
    """What is in force for a value on a day, or why nothing is.

    Attributes
    ----------
    held : KeyedPrecision or None
        None where none is in force.
    reason : str
        Why none is; empty where one is.
    """

    held: KeyedPrecision | None
    reason: str = ""


def day_of_test(determinations: Sequence[Determination], tested: str = "") -> str:
    """Give the day of a result: the last one on which a determination of it was made.

    Parameters
    ----------
    determinations : sequence of Determination
        Those that count.
    tested : str
        Day or days of the tests of the whole sample, for determinations that state none.

    Returns
    -------
    str
        Year-month-day; empty where no day is known.
    """
    days = [day for one in determinations for day in _DAY.findall(one.tested)]
    return max(days or _DAY.findall(tested), default="")


def own_precision_in_force(
    held: Sequence[KeyedPrecision], quantity: str, condition: Condition, value: float, day: str
) -> InForce:
    """Choose the own precision that was in force for a value on a day.

    Parameters
    ----------
    held : sequence of KeyedPrecision
        All that the laboratory keeps.
    quantity : str
        Name from the glossary.
    condition : Condition
        Residue that was tested.
    value : float
        The value, in the unit of the glossary.
    day : str
        Day of the test, year-month-day; empty where it is not known.

    Returns
    -------
    InForce
        The precision, or the reason why there is none.
    """
    own = [
        one
        for one in held
        if one.value.quantity == quantity and one.value.condition in (condition, Condition.UNKNOWN)
    ]
    words = property_words(quantity)
    if not held:
        return InForce(None, "none is given for it")
    if not own:
        return InForce(None, f"the laboratory keeps none for {words} of {residue_words(condition)} binder")
    if not day:
        return InForce(None, "the day of the test is not known")
    dated = [one for one in own if holds_on(one.value, day)]
    if not dated:
        spans = "; ".join(f"{one.key} {_span_of(one.value)}" for one in own)
        return InForce(None, f"none of {words} was in force on {day} ({spans})")
    covering = [one for one in dated if _covers(one.value, value)]
    if not covering:
        spans = "; ".join(f"{one.key} was found {_range_of(one.value)}" for one in dated)
        shown = number_words(value)
        return InForce(
            None, f"none was found for values such as {shown} {QUANTITIES[quantity].unit} ({spans})"
        )
    return InForce(max(covering, key=lambda one: preference(one, condition)))


def preference(one: KeyedPrecision, condition: Condition) -> tuple[bool, str, str]:
    """Give what tells which of several goes first, the largest: the very residue, then the newest."""
    return one.value.condition is condition, one.value.until, one.key


def precision_of_result(
    counted: Sequence[Determination], value: float, held: Sequence[KeyedPrecision], tested: str = ""
) -> InForce:
    """Choose the own precision of a result; it says nothing about what another laboratory measured.

    Parameters
    ----------
    counted : sequence of Determination
        Those the result is made of, one at least.
    value : float
        The result, in the unit of the glossary.
    held : sequence of KeyedPrecision
        All that the laboratory keeps.
    tested : str
        Day or days of the tests of the whole sample.

    Returns
    -------
    InForce
        As `own_precision_in_force` gives it.
    """
    others = sorted({one.laboratory for one in counted if one.laboratory})
    if others:
        return InForce(None, f"the test was made by {', '.join(others)}")
    head = counted[0]
    return own_precision_in_force(held, head.quantity, head.condition, value, day_of_test(counted, tested))


def own_doubt(held: KeyedPrecision, value: float, count: int) -> tuple[float, float, float | None, str]:
    """Give the standard uncertainty of a mean by the laboratory's own precision.

    Parameters
    ----------
    held : KeyedPrecision
        In force.
    value : float
        The mean, in the unit of the glossary.
    count : int
        Determinations it was made of.

    Returns
    -------
    standard, common : float
        Standard uncertainty of the mean and the part that all results of the laboratory share, in the unit of
        the value.
    degrees_of_freedom : float or None
        None where infinite.
    note : str
        Key, days, what it rests on, and what was done with the bias.

    Notes
    -----
    ``u^2 = s^2 - s_r^2 (1 - 1/n)`` with `s` the standard uncertainty of one result: only the scatter of one
    operator, instrument and day shrinks with replicates, as for published precision (ISO 5725-6, from memory,
    high). The bias is inside `s` and the value is not corrected for it (see `OwnPrecision.standard`).
    """
    own = held.value
    size = abs(value) if own.relative else 1.0
    total, single = (own.standard * size) ** 2, (own.repeatability * size) ** 2
    standard = math.sqrt(max(total - single * (1.0 - 1.0 / count), 0.0))
    return standard, math.sqrt(max(total - single, 0.0)), own.degrees_of_freedom, precision_note(held)


def precision_note(held: KeyedPrecision) -> str:
    """Say which own precision was used, of when, what it rests on, and what was done with the bias."""
    own = held.value
    rests = ", ".join(
        f"{count} {word if count != 1 else word[:-1]}"
        for count, word in ((own.duplicates, "duplicates"), (own.checks, "checks"), (own.rounds, "rounds"))
        if count
    )
    bias = (
        f"bias of {_amount(own.bias, own, signed=True)} counted as uncertainty, the value is not corrected"
        if own.bias
        else "no bias stated"
    )
    parts = [f"own precision {held.key}, data until {own.until}", *([rests] if rests else []), bias]
    return "; ".join(parts)


def none_in_force(head: Determination, reason: str) -> Finding:
    """Give the finding that no own precision was in force: the result then has no uncertainty by it."""
    return Finding(
        code="own-precision-not-in-force",
        severity=Severity.CAUTION,
        message=f"{where_words(head)}: no precision of the laboratory's own was in force: {reason}.",
        rule="an uncertainty by own precision needs one in force on the day of the test",
        value=head.value,
        unit=head.unit,
        source="own rule",
        advice="Keep an own precision that holds for it, or agree on another basis before the test.",
    )


def holds_on(own: OwnPrecision, day: str) -> bool:
    """Tell whether a precision is in force on a day, year-month-day."""
    return own.until[:10] < day and (not own.valid_until or day <= own.valid_until[:10])


def _covers(own: OwnPrecision, value: float) -> bool:
    above = own.lowest is None or value >= own.lowest
    return above and (own.highest is None or value <= own.highest)


def _span_of(own: OwnPrecision) -> str:
    ends = f" until {own.valid_until[:10]}" if own.valid_until else ""
    return f"holds after {own.until[:10]}{ends}"


def _range_of(own: OwnPrecision) -> str:
    unit = QUANTITIES[own.quantity].unit
    low = "" if own.lowest is None else f"from {number_words(own.lowest)} "
    high = "" if own.highest is None else f"to {number_words(own.highest)} "
    return f"{low}{high}{unit}".strip()


def _amount(amount: float, own: OwnPrecision, *, signed: bool) -> str:
    size, unit = (100.0 * amount, "%") if own.relative else (amount, QUANTITIES[own.quantity].unit)
    sign = "+" if signed and size > 0.0 else ""
    return f"{sign}{number_words(size)} {unit}".replace("-", MINUS).strip()
