"""Two laboratories and one limit: zones, what is settled, and what a referee would settle."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from resile.judge.findings import judge_measures
from resile.judge.laboratories.checks import days_between
from resile.judge.wording import number_words
from resile.records.finding import Finding, FindingRule, Measure
from resile.records.laboratories import Dispute, DisputeFound, DisputeRule, DisputeZone, RefereeOutcome

CONFORMS = "conforms-shown"
NOT_SHOWN = "not-shown"
FAILS = "failure-shown"
OPEN = "open"
ACCEPTED = "accepted"
REFUSED = "refused"


@dataclass(frozen=True, slots=True)
class Limits:
    """What the settled value is held against.

    Attributes
    ----------
    limit : float
        Of the specification.
    limit_is : str
        ``at_most`` or ``at_least``.
    proofs : mapping of frozenset of str to float
        How far beyond the limit the mean of these laboratories must lie before a failure is shown.
    """

    limit: float
    limit_is: str
    proofs: Mapping[frozenset[str], float]


@dataclass(frozen=True, slots=True)
class Referee:
    """The third laboratory beside the two.

    Attributes
    ----------
    name : str
        Of the referee.
    means : mapping of str to float
        Means of the two laboratories by name.
    critical : mapping of str to float
        How far the referee may lie from each.
    """

    name: str
    means: Mapping[str, float]
    critical: Mapping[str, float]


def answer_to(value: float, proof: float, limits: Limits) -> str:
    """Give the answer to the question of quality for one value.

    Parameters
    ----------
    value : float
        Settled value.
    proof : float
        How far beyond the limit it must lie.
    limits : Limits
        With the limit.

    Returns
    -------
    str
        ``conforms-shown``, ``not-shown`` or ``failure-shown``.
    """
    excess = value - limits.limit if limits.limit_is == "at_most" else limits.limit - value
    if excess > proof:
        return FAILS
    return CONFORMS if excess < -proof else NOT_SHOWN


def consequence_of(value: float, answer: str, rule: DisputeRule, limits: Limits) -> str:
    """Give what the rule makes of an answer.

    Parameters
    ----------
    value : float
        Settled value.
    answer : str
        From `answer_to`.
    rule : DisputeRule
        Agreed first.
    limits : Limits
        With the limit.

    Returns
    -------
    str
        ``accepted`` or ``refused``.
    """
    if answer != NOT_SHOWN:
        return ACCEPTED if answer == CONFORMS else REFUSED
    if rule.in_between != "limit":
        return rule.in_between
    beyond = value > limits.limit if limits.limit_is == "at_most" else value < limits.limit
    return REFUSED if beyond else ACCEPTED


def zones_about(limit: float, limit_is: str, proof: float) -> tuple[DisputeZone, ...]:
    """Give the three stretches of values about a limit.

    Parameters
    ----------
    limit : float
        Of the specification.
    limit_is : str
        ``at_most`` or ``at_least``.
    proof : float
        How far beyond it a value must lie.

    Returns
    -------
    tuple of DisputeZone
        Lowest first.
    """
    answers = [CONFORMS, NOT_SHOWN, FAILS] if limit_is == "at_most" else [FAILS, NOT_SHOWN, CONFORMS]
    ends = [None, limit - proof, limit + proof, None]
    return tuple(
        DisputeZone(lowest=low, highest=high, answer=answer)
        for low, high, answer in zip(ends, ends[1:], answers, strict=False)
    )


def settled_with(value: float, rule: DisputeRule, referee: Referee) -> tuple[tuple[str, ...], float | None]:
    """Give which laboratories the referee agrees with, and the value that this settles.

    Parameters
    ----------
    value : float
        Of the referee.
    rule : DisputeRule
        Agreed first.
    referee : Referee
        With means and how far it may lie from them.

    Returns
    -------
    tuple of str, float or None
        Names in their order, and the settled value; None where it agrees with nobody and the rule wants that.
    """
    agreeing = tuple(
        name for name, mean in referee.means.items() if abs(value - mean) <= referee.critical[name]
    )
    if rule.settle == "referee":
        return agreeing, value
    if not agreeing:
        return agreeing, None
    return agreeing, (value + sum(referee.means[name] for name in agreeing)) / (len(agreeing) + 1)


def members_of(agreeing: Sequence[str], rule: DisputeRule, referee: Referee) -> frozenset[str]:
    """Give whose means the settled value is made of."""
    return frozenset([referee.name] if rule.settle == "referee" else [*agreeing, referee.name])


def settled_words(agreeing: Sequence[str], rule: DisputeRule, referee: Referee) -> str:
    """Say what a settled value is the mean of."""
    if rule.settle == "referee":
        return f"result of {referee.name} alone"
    if not agreeing:
        return f"nothing: {referee.name} agrees with neither"
    return f"mean of {', '.join(agreeing)} and {referee.name}"


def referee_outcomes(rule: DisputeRule, referee: Referee, limits: Limits) -> tuple[RefereeOutcome, ...]:
    """Give what each possible result of the referee would settle.

    Parameters
    ----------
    rule : DisputeRule
        Agreed first.
    referee : Referee
        With the two means.
    limits : Limits
        With the limit, and proofs for every group that can be averaged.

    Returns
    -------
    tuple of RefereeOutcome
        Stretches of the referee's result, lowest first, with no gap.
    """
    ends = sorted(
        {end for name, mean in referee.means.items() for end in _about(mean, referee.critical[name])}
    )
    ends = sorted({*ends, *_crossings(ends, rule, referee, limits)})
    outcomes: list[RefereeOutcome] = []
    for low, high in zip([None, *ends], [*ends, None], strict=True):
        one = _outcome(low, high, rule, referee, limits)
        if outcomes and _same(outcomes[-1], one):
            one = RefereeOutcome(
                lowest=outcomes.pop().lowest,
                highest=one.highest,
                agrees_with=one.agrees_with,
                settled_by=one.settled_by,
                answer=one.answer,
                consequence=one.consequence,
            )
        outcomes.append(one)
    return tuple(outcomes)


def _about(middle: float, distance: float) -> tuple[float, float]:
    return middle - distance, middle + distance


def _between(low: float | None, high: float | None) -> float:
    if low is None or high is None:
        return (high - 1.0) if high is not None else ((low or 0.0) + 1.0)
    return (low + high) / 2.0


def _crossings(ends: Sequence[float], rule: DisputeRule, referee: Referee, limits: Limits) -> list[float]:
    """Give the results of the referee at which the settled value crosses the end of a zone."""
    found = []
    for low, high in zip([None, *ends], [*ends, None], strict=True):
        value = _between(low, high)
        agreeing, settled = settled_with(value, rule, referee)
        if settled is None:
            continue
        members = members_of(agreeing, rule, referee)
        proof = limits.proofs[members]
        for end in (limits.limit - proof, limits.limit, limits.limit + proof):
            place = value + (end - settled) * len(members)
            if (low is None or place > low) and (high is None or place < high):
                found.append(place)
    return found


def _outcome(
    low: float | None, high: float | None, rule: DisputeRule, referee: Referee, limits: Limits
) -> RefereeOutcome:
    value = _between(low, high)
    agreeing, settled = settled_with(value, rule, referee)
    answer = consequence = OPEN
    if settled is not None:
        answer = answer_to(settled, limits.proofs[members_of(agreeing, rule, referee)], limits)
        consequence = consequence_of(settled, answer, rule, limits)
    return RefereeOutcome(
        lowest=low,
        highest=high,
        agrees_with=agreeing,
        settled_by=settled_words(agreeing, rule, referee),
        answer=answer,
        consequence=consequence,
    )


def _same(one: RefereeOutcome, other: RefereeOutcome) -> bool:
    return (one.agrees_with, one.answer, one.consequence) == (
        other.agrees_with,
        other.answer,
        other.consequence,
    )


def dispute_findings(found: DisputeFound, rules: Sequence[FindingRule]) -> tuple[Finding, ...]:
    """Give what weakens the answer.

    Parameters
    ----------
    found : DisputeFound
        Worked out.
    rules : sequence of FindingRule
        Of disputes.

    Returns
    -------
    tuple of Finding
        The heaviest first.
    """
    dispute = found.dispute
    where = dispute.sample
    agreed = bool(dispute.rule.agreed_on and dispute.rule.agreed_by)
    tested = min((one.tested for one in (dispute.first, dispute.second) if one.tested), default="")
    parties = (dispute.first, dispute.second)
    measures = [
        Measure("agreed", float(agreed), where=where),
        Measure("fewest_determinations", min(len(one.values) for one in parties), where=where),
        Measure("difference_share", found.difference / found.critical_difference, where=where),
        Measure("referee_spare", float(found.agree and dispute.third is not None), where=where),
    ]
    late = days_between(tested, dispute.rule.agreed_on)
    if late is not None:
        measures.append(Measure("days_after_test", late, where=where))
    raised = list(judge_measures(measures, rules))
    for party, limit in zip(parties, (found.first_range_limit, found.second_range_limit), strict=True):
        if limit:
            share = (max(party.values) - min(party.values)) / limit
            raised += judge_measures([Measure("range_share", share, where=party.name)], rules)
    return tuple(sorted(raised, key=lambda finding: ["invalid", "caution", "note"].index(finding.severity)))


def check_dispute(dispute: Dispute) -> str:
    """Say what is missing or wrong in a dispute; empty where nothing is.

    Parameters
    ----------
    dispute : Dispute
        As read.

    Returns
    -------
    str
        One sentence, or nothing.
    """
    if dispute.limit_is not in ("at_most", "at_least"):
        return f"limit_is: found '{dispute.limit_is}'; needed is at_most or at_least"
    parties = [one for one in (dispute.first, dispute.second, dispute.third) if one is not None]
    for party in parties:
        if not party.values:
            return f"laboratory {party.name or '(without a name)'}: no determination; one at least is needed"
        if not all(math.isfinite(value) for value in party.values):
            return f"laboratory {party.name}: every determination must be a finite number"
    names = [party.name for party in parties]
    if len(set(names)) != len(names):
        return f"two laboratories have the name '{names[0]}'; each needs a name of its own"
    big, small = dispute.reproducibility_limit, dispute.repeatability_limit
    if big is not None and small is not None and not 0.0 <= small <= big:
        return (
            f"repeatability limit {number_words(small)} and reproducibility limit {number_words(big)}: the "
            "first must not be larger than the second"
        )
    return ""
