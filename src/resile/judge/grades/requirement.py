"""One requirement, one value: outcome, margin, probability of conformity and the reason in one sentence."""

from __future__ import annotations

from resile.judge.results.conformity import (
    is_demonstrated,
    margin_to,
    meets,
    probability_of_conformity,
    standard_score,
)
from resile.judge.rounding import rounded
from resile.judge.wording import Worded, limit_words, number_words, residue_words, temperature_words
from resile.records.determination import Result
from resile.records.quantity import QUANTITIES
from resile.records.specification import DecisionRule, Requirement
from resile.records.verdict import Outcome, Verdict

# ASTM C670: two results of one operator differ by more than this many standard deviations in 5 % of cases
# only.
REPEATABILITY_LIMIT_FACTOR = 2.8

_BOUND_WORDS = {"maximum": "at most", "minimum": "at least"}


def judge_requirement(
    requirement: Requirement,
    result: Result | None,
    *,
    limit: float,
    rule: DecisionRule,
    rounding: str = "none",
    test_temperature_c: float | None = None,
    absent: str = "",
    waived: str = "",
) -> Verdict:
    """Compare one result with one limit.

    Parameters
    ----------
    requirement : Requirement
        The line of the specification.
    result : Result or None
        What was found; None where not tested.
    limit : float
        The limit of the class, in the requirement's unit.
    rule : DecisionRule
        Agreed before the test.
    rounding : str
        ``"none"``, ``"half-even"`` or ``"half-up"``, to the requirement's decimals.
    test_temperature_c : float or None
        Temperature the requirement asks for [°C].
    absent : str
        Why there is no result, in words.
    waived : str
        Why the requirement does not apply here; empty where it does.

    Returns
    -------
    Verdict
        Margin and probability are on the unrounded value; the simple comparison is on the rounded one.
    """
    if waived:
        value = None if result is None else result.value
        return Verdict(
            requirement, limit, test_temperature_c, result, value, Outcome.WAIVED, reason=f"Waived: {waived}."
        )
    if result is None or result.value is None:
        reason = f"Not tested: {absent or _missing(requirement, test_temperature_c)}."
        return Verdict(requirement, limit, test_temperature_c, None, None, Outcome.NOT_TESTED, reason=reason)
    size = abs(result.value) if requirement.absolute else result.value
    compared = rounded(size, requirement.decimals, rounding)
    good = meets(compared, limit, requirement.bound)
    margin = margin_to(compared, limit, requirement.bound)
    outcome, doubt = _outcome(size, limit, good, requirement, result, rule)
    repeatability = result.repeatability
    return Verdict(
        requirement=requirement,
        limit=limit,
        test_temperature_c=test_temperature_c,
        result=result,
        value=compared,
        outcome=outcome,
        margin=margin,
        margin_repeatabilities=margin / (REPEATABILITY_LIMIT_FACTOR * repeatability)
        if repeatability
        else None,
        probability_of_conformity=_probability(result, limit, requirement),
        reason=_reason(size, compared, limit, good, requirement) + doubt,
    )


def _missing(requirement: Requirement, temperature_c: float | None) -> str:
    at = f" at {temperature_words(temperature_c)}" if temperature_c is not None else ""
    residue = residue_words(requirement.condition)
    return f"no {QUANTITIES[requirement.quantity].title}{at} on {residue} binder"


def _probability(result: Result, limit: float, requirement: Requirement) -> float | None:
    if result.value is None or result.uncertainty is None:
        return None
    return probability_of_conformity(
        result.value, limit, result.uncertainty, bound=requirement.bound, absolute=requirement.absolute
    )


def _outcome(
    value: float, limit: float, good: bool, requirement: Requirement, result: Result, rule: DecisionRule
) -> tuple[Outcome, str]:
    """Give the outcome under the rule, and what the uncertainty adds to the reason."""
    simple = Outcome.PASS if good else Outcome.FAIL
    if rule.guard_factor == 0.0 and rule.states == 2:
        return simple, ""
    uncertainty = result.uncertainty
    score = None if uncertainty is None else standard_score(value, limit, uncertainty, requirement.bound)
    if uncertainty is None or score is None:
        return simple, " No uncertainty can be stated, so the value is compared as it stands."
    side = score if good else -score
    clear = is_demonstrated(side, rule.guard_factor, uncertainty.degrees_of_freedom)
    doubt = (
        f" The distance is {abs(score):.2f} standard uncertainties "
        f"({number_words(uncertainty.standard)} {requirement.unit}, {uncertainty.basis}); "
        f"the rule asks for {rule.guard_factor:g}."
    )
    if rule.states == 2:
        return (Outcome.PASS if good and clear else Outcome.FAIL), doubt
    if clear:
        return simple, doubt
    return (Outcome.CONDITIONAL_PASS if good else Outcome.CONDITIONAL_FAIL), doubt


def _reason(size: float, compared: float, limit: float, good: bool, requirement: Requirement) -> str:
    unit = f" {requirement.unit}" if requirement.unit else ""
    asked = f"{_BOUND_WORDS[requirement.bound]} {limit_words(limit)}{unit}"
    by_rounding = meets(size, limit, requirement.bound) is not good
    if compared != size and by_rounding:
        shown = f"{Worded(compared):.{requirement.decimals}f}"
        verb = "passes" if good else "fails"
        exact = number_words(size, compared, limit)
        return f"{exact} is {shown} and {verb} only because it was rounded ({asked} is required)."
    if good:
        equal = " (equal to the limit passes)" if margin_to(compared, limit, requirement.bound) == 0.0 else ""
        return f"{number_words(compared, limit)}{unit}; {asked} is required{equal}."
    short = abs(margin_to(compared, limit, requirement.bound))
    over = "above" if requirement.bound == "maximum" else "below"
    found = number_words(compared, limit)
    return f"{found}{unit} is {number_words(short)}{unit} {over} the limit; {asked} is required."
