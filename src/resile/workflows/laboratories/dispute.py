"""Two laboratories in dispute: the rule first, then the question of statistics, then the question of
quality.
"""

from __future__ import annotations

import statistics
from collections.abc import Sequence
from dataclasses import replace
from itertools import combinations

from resile.compute.statistics.uncertainty.proof import laboratories_proof_distance
from resile.compute.statistics.uncertainty.repeatability import laboratory_critical_difference, range_factor
from resile.errors import InputError
from resile.judge.laboratories.dispute import (
    OPEN,
    Limits,
    Referee,
    answer_to,
    check_dispute,
    consequence_of,
    dispute_findings,
    members_of,
    referee_outcomes,
    settled_with,
    settled_words,
    zones_about,
)
from resile.judge.results.precision import precision_at
from resile.judge.wording import property_words
from resile.records.laboratories import Dispute, DisputeFound, DisputeParty
from resile.records.specification import PrecisionStatement
from resile.specifications.creep_recovery import load_finding_rules
from resile.specifications.laboratories import load_dispute_rule
from resile.specifications.load import load_all_precision

REFEREE = "the referee"


def dispute_of(dispute: Dispute, *, statements: Sequence[PrecisionStatement] | None = None) -> DisputeFound:
    """Work out a dispute by the rule that it names.

    Parameters
    ----------
    dispute : Dispute
        With the name of the rule, and who agreed on it and when.
    statements : sequence of PrecisionStatement or None
        Published precision; all there is where not given.

    Returns
    -------
    DisputeFound
        The question of statistics (do the laboratories agree?) and the question of quality (is a failure, or
        a conformity, shown?) apart, and what each possible result of a referee would settle.

    Raises
    ------
    InputError
        Where a determination or a name is missing, or no precision is known and none was agreed.
    RecordNotFoundError, SpecificationError
        Where there is no such rule, or its file is wrong.
    """
    wrong = check_dispute(dispute)
    if wrong:
        raise InputError(f"{dispute.sample}: {wrong}")
    rule = replace(
        load_dispute_rule(dispute.rule.name),
        agreed_on=dispute.rule.agreed_on,
        agreed_by=dispute.rule.agreed_by,
        referee=dispute.rule.referee,
    )
    dispute = replace(dispute, rule=rule)
    small, big, note = _limits(dispute, load_all_precision() if statements is None else statements)
    parties = [dispute.first, dispute.second]
    means = {one.name: statistics.fmean(one.values) for one in parties}
    difference = abs(means[dispute.first.name] - means[dispute.second.name])
    allowed = _critical(big, small, dispute.first, dispute.second)
    third = dispute.third or DisputeParty(
        name=rule.referee or REFEREE,
        role="referee",
        values=(0.0,) * min(len(one.values) for one in parties),  # as many as the others; none is made yet
    )
    referee = Referee(
        name=third.name,
        means=means,
        critical={one.name: _critical(big, small, one, third) for one in parties},
    )
    limits = Limits(dispute.limit, dispute.limit_is, _proofs(big, small, [*parties, third], rule.confidence))
    agree = difference <= allowed
    settled, settled_by, proof = _settled(dispute, agree, referee, limits)
    answer = consequence = OPEN
    if settled is not None:
        answer = answer_to(settled, proof, limits)
        consequence = consequence_of(settled, answer, rule, limits)
    ranges = [_range(one, small) for one in parties]
    found = DisputeFound(
        dispute=dispute,
        repeatability_limit=small,
        reproducibility_limit=big,
        precision_note=note,
        first_mean=means[dispute.first.name],
        second_mean=means[dispute.second.name],
        first_range_limit=ranges[0][0],
        second_range_limit=ranges[1][0],
        first_within=ranges[0][1],
        second_within=ranges[1][1],
        difference=difference,
        critical_difference=allowed,
        agree=agree,
        settled=settled,
        settled_by=settled_by,
        proof=proof,
        zones=zones_about(dispute.limit, dispute.limit_is, proof),
        answer=answer,
        consequence=consequence,
        outcomes=() if agree else referee_outcomes(rule, referee, limits),
    )
    return replace(found, findings=dispute_findings(found, load_finding_rules("laboratory_dispute")))


def _limits(dispute: Dispute, statements: Sequence[PrecisionStatement]) -> tuple[float, float, str]:
    """Give r and R: as agreed, else as published at the mean of both laboratories."""
    middle = statistics.fmean(
        [statistics.fmean(dispute.first.values), statistics.fmean(dispute.second.values)]
    )
    level = precision_at(middle, dispute.quantity, dispute.condition, statements)
    small = dispute.repeatability_limit or level.repeatability_limit
    big = dispute.reproducibility_limit or level.reproducibility_limit
    if small is None or big is None:
        raise InputError(
            f"{dispute.sample}, {property_words(dispute.quantity)}: {level.note}; agree on a repeatability "
            "limit and a reproducibility limit (repeatability_limit, reproducibility_limit)"
        )
    if small > big:
        raise InputError(
            f"{dispute.sample}: repeatability limit {small:g} above reproducibility limit {big:g}; "
            "agree on both"
        )
    agreed = [
        name
        for name, given in (("r", dispute.repeatability_limit), ("R", dispute.reproducibility_limit))
        if given
    ]
    if len(agreed) == 2:
        return small, big, "agreed by both sides"
    return small, big, f"{level.note}{'; ' + agreed[0] + ' as agreed' if agreed else ''}"


def _critical(big: float, small: float, one: DisputeParty, other: DisputeParty) -> float:
    return float(laboratory_critical_difference(big, small, len(one.values), len(other.values)))


def _proofs(
    big: float, small: float, parties: Sequence[DisputeParty], confidence: float
) -> dict[frozenset[str], float]:
    groups = [group for size in (1, 2, 3) for group in combinations(parties, size)]
    return {
        frozenset(one.name for one in group): float(
            laboratories_proof_distance(big, small, [len(one.values) for one in group], confidence=confidence)
        )
        for group in groups
    }


def _settled(
    dispute: Dispute, agree: bool, referee: Referee, limits: Limits
) -> tuple[float | None, str, float]:
    """Give the settled value, what it is the mean of, and how far beyond the limit it must lie."""
    both = frozenset(referee.means)
    names = list(referee.means)
    if agree:
        return (
            statistics.fmean(referee.means.values()),
            f"mean of {names[0]} and {names[1]}",
            limits.proofs[both],
        )
    if dispute.third is None:
        return None, "nothing yet: the laboratories do not agree", limits.proofs[both]
    value = statistics.fmean(dispute.third.values)
    agreeing, settled = settled_with(value, dispute.rule, referee)
    words = settled_words(agreeing, dispute.rule, referee)
    if settled is None:
        return None, words, limits.proofs[both]
    return settled, words, limits.proofs[members_of(agreeing, dispute.rule, referee)]


def _range(party: DisputeParty, small: float) -> tuple[float | None, bool | None]:
    count = len(party.values)
    if count < 2:
        return None, None
    limit = small / range_factor(2) * range_factor(count)
    return limit, max(party.values) - min(party.values) <= limit
