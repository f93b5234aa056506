"""The choice of a binder in words: standings, reasons, costs."""

from __future__ import annotations

import math

from resile.records.choice import BinderOffer, Choice, ValuedTest
from resile.records.prediction import Standing
from resile.records.standing import PropertyStanding
from resile.report.numbers import fixed, shown, shown_limit
from resile.report.words import symbol_of

STANDING_MARKS: dict[Standing, str] = {
    Standing.MEASURED_PASS: "●",
    Standing.PREDICTED_PASS: "○",
    Standing.UNKNOWN: "–",
    Standing.PREDICTED_FAIL: "▽",
    Standing.MEASURED_FAIL: "▼",
}
"""Filled for what was tested, hollow for what is expected; round for good, pointing down for short."""

STANDING_EXPLAINED: dict[Standing, str] = {
    Standing.MEASURED_PASS: "tested there or where it is harder, and every requirement is met",
    Standing.PREDICTED_PASS: "not all of it tested; expected to meet the rest",
    Standing.UNKNOWN: "something was not tested, and nothing can be said of it",
    Standing.PREDICTED_FAIL: "not all of it tested; expected to miss something",
    Standing.MEASURED_FAIL: "tested there or where it is easier, and something is missed",
}
_JUDGED = (Standing.MEASURED_PASS, Standing.MEASURED_FAIL)
ALWAYS_TEST = (
    "An expected value is a reason for a test, not a test: always test, do not scale. "
    "The contract, its edition and licensed practice prevail."
)


def shown_chance(probability: float | None) -> str:
    """Show a probability in per cent, cut to a tenth: never rounded up to what was asked for.

    Parameters
    ----------
    probability : float or None
        Between 0 and 1.

    Returns
    -------
    str
        ``> 99.9 %`` and ``< 0.1 %`` at the ends; ``tested`` for a certainty, which only a verdict gives.
    """
    if probability is None:
        return "not known"
    if probability >= 1.0:
        return "tested"
    if probability > 0.999:
        return "> 99.9 %"
    if probability < 0.001:
        return "< 0.1 %"
    return f"{fixed(math.floor(probability * 1000.0) / 10.0, 1)} %"


def percent(probability: float) -> str:
    """Show a probability that a person asked for, as short as it was given."""
    return f"{probability * 100.0:g} %"


def money(cost: float | None, currency: str, *, signed: bool = False) -> str:
    """Show a cost with its currency; whole above a hundred."""
    if cost is None:
        return "no price"
    decimals = 0 if abs(cost) >= 100.0 or cost == int(cost) else 2
    return f"{fixed(cost, decimals, signed=signed)} {currency}".rstrip()


def place_words(one: PropertyStanding | ValuedTest) -> str:
    """Give a property and its test temperature."""
    at = f" at {one.temperature_c:g} °C".replace("-", "−") if one.temperature_c is not None else ""
    return f"{symbol_of(one.quantity)}{at}"


def limit_words(one: PropertyStanding | ValuedTest) -> str:
    """Give a limit with its side and unit."""
    side = "at most" if one.bound == "maximum" else "at least"
    return f"{side} {shown_limit(one.limit, one.quantity)}{f' {one.unit}' if one.unit else ''}"


def property_words(one: PropertyStanding) -> str:
    """Give a requirement with its value and limit.

    Parameters
    ----------
    one : PropertyStanding
        One requirement of one binder.

    Returns
    -------
    str
        Such as ``Jnr3.2 at 64 °C: 1.80 expected, at most 2.0 1/kPa``.
    """
    limit = limit_words(one)
    if one.tested_at_c is not None and one.standing in _JUDGED:
        word = "met" if one.standing is Standing.MEASURED_PASS else "missed"
        return f"{place_words(one)}: {word} already at {one.tested_at_c:g} °C, {limit}".replace(" -", " −")
    if one.value is None:
        told = "not tested" if one.standing is Standing.UNKNOWN else str(one.standing)
        return f"{place_words(one)}: {told}, {limit}"
    word = "measured" if one.standing in _JUDGED else "expected"
    return f"{place_words(one)}: {shown(one.value, one.quantity)} {word}, {limit}"


def why_not(offer: BinderOffer, required: float) -> str:
    """Say why a binder does not serve.

    Parameters
    ----------
    offer : BinderOffer
        A binder that does not serve.
    required : float
        Probability asked for.

    Returns
    -------
    str
        A sentence without a full stop; empty where it serves.
    """
    if offer.serves:
        return ""
    if not offer.available:
        return "cannot be had: none in stock, or set aside"
    if offer.standing is Standing.UNKNOWN:
        names = dict.fromkeys(place_words(one) for one in offer.obstacles)
        return f"not known, as it was not tested: {', '.join(names)}"
    told = "; ".join(property_words(one) for one in offer.obstacles[:2])
    more = f"; and {len(offer.obstacles) - 2} more" if len(offer.obstacles) > 2 else ""
    if offer.standing is Standing.MEASURED_FAIL:
        return f"misses {told}{more}"
    return (
        f"{shown_chance(offer.counted_probability)} sure as {offer.under}, {percent(required)} asked for; "
        f"least sure: {told}"
    )


def answer_sentences(choice: Choice) -> tuple[str, ...]:
    """Say what was chosen, for a person who knows the road and not the laboratory.

    Parameters
    ----------
    choice : Choice
        The choice.

    Returns
    -------
    tuple of str
        The answer first, then what limits it.
    """
    served = len(choice.sites) - len(choice.unserved)
    used = sorted({name for name in choice.chosen if name})
    total = total_cost(choice)
    every = "every site" if not choice.unserved else f"{served} of {len(choice.sites)} sites"
    if len(choice.sites) == 1 and served:
        every = f"{choice.sites[0].name}"
    first = f"{every[0].upper()}{every[1:]} can be served"
    if used:
        first += f", by {len(used)} binder{'s' if len(used) != 1 else ''} of the range: {', '.join(used)}"
    told = [f"{first}."]
    if used:
        per = "a tonne for each site" if all(s.amount_t == 1.0 for s in choice.sites) else "the tonnes stated"
        told.append(f"The cheapest safe choice costs {money(total, choice.currency)} in all, for {per}.")
    if choice.unserved:
        told.append(f"Nobody serves: {', '.join(choice.unserved)}.")
    if choice.plans and len(choice.plans[0].binders) < len(used):
        few = choice.plans[0]
        extra = few.cost - choice.plans[-1].cost
        told.append(
            f"{len(few.binders)} product{'s' if len(few.binders) != 1 else ''} would do for the same sites, "
            f"at {money(extra, choice.currency)} more."
        )
    if choice.next_tests:
        told.append(f"The next test to make: {next_test_sentence(choice.next_tests[0], choice.currency)}")
    return tuple(told)


def next_test_sentence(test: ValuedTest, currency: str) -> str:
    """Say what a test may be worth."""
    sure = "even odds, as nothing is known" if test.probability is None else shown_chance(test.probability)
    worth = []
    if test.expected_sites > 0.0:
        worth.append(f"{fixed(test.expected_sites, 2)} more sites served")
    if test.expected_saving > 0.0:
        worth.append(f"{money(test.expected_saving, currency)} saved")
    return (
        f"{place_words(test)} on {test.binder}, where {limit_words(test)} is needed ({sure} that it passes); "
        f"to be expected: {' and '.join(worth)}."
    )


def total_cost(choice: Choice) -> float:
    """Add up what all served sites pay for binder."""
    price = {offer.binder: offer.price_per_tonne for grade in choice.grades for offer in grade.offers}
    return sum(
        (price[name] or 0.0) * site.amount_t
        for site, name in zip(choice.sites, choice.chosen, strict=True)
        if name
    )
