"""The severity of sampling after each lot, by the switching rules of a plan, with reasons."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from resile.records.control.sampling import LotOutcome, SamplingPlan, SeverityChange, SwitchingRule

STOP = "stop"
ACCEPTED, NOT_ACCEPTED, OPEN = "accepted", "not accepted", "open"


@dataclass(slots=True)
class SeverityTrack:
    """Severity lot by lot.

    Attributes
    ----------
    severity : str
        After the last lot.
    history : list of SeverityChange
        From the beginning.
    by_lot : list of str
        Severity at which each lot was made.
    proposed : list of SeverityChange
        Changes that wait for consent, as things stand after the last lot.
    """

    severity: str
    history: list[SeverityChange]
    by_lot: list[str] = field(default_factory=list)
    proposed: list[SeverityChange] = field(default_factory=list)


def track_severity(
    plan: SamplingPlan, lots: Sequence[LotOutcome], *, begins_at: str, since: str, consented: Sequence[str]
) -> SeverityTrack:
    """Follow the severity through the lots.

    Parameters
    ----------
    plan : SamplingPlan
        With its switching rules.
    lots : sequence of LotOutcome
        In the order of production.
    begins_at : str
        Severity of the first lot.
    since : str
        Day from which the plan holds; empty where not known.
    consented : sequence of str
        Lots after which somebody agreed to a change that needs consent.

    Returns
    -------
    SeverityTrack
        Severity now, and how it came about.
    """
    begin = SeverityChange(after_lot="", when=since, severity=begins_at, reason="Sampling begins.")
    track = SeverityTrack(begins_at, [begin])
    counted: list[LotOutcome] = []
    agreed = set(consented)
    for lot in lots:
        track.by_lot.append(track.severity)
        if lot.extra or lot.outcome not in (ACCEPTED, NOT_ACCEPTED) or track.severity == STOP:
            continue
        counted.append(lot)
        track.proposed = []
        for rule in plan.switching:
            reason = _reason(rule, counted) if rule.severity == track.severity else ""
            if not reason:
                continue
            change = SeverityChange(
                after_lot=lot.lot, when=lot.taken, severity=rule.to, reason=reason, source=rule.cited
            )
            if rule.needs_consent and lot.lot not in agreed:
                track.proposed.append(change)
                continue
            track.severity = rule.to
            track.history.append(change)
            track.proposed = []
            counted = []
            break
    return track


def _reason(rule: SwitchingRule, counted: Sequence[LotOutcome]) -> str:
    """Say why a rule changes the severity now; empty where it does not."""
    if rule.accepted_in_a_row is not None:
        newest = counted[-rule.accepted_in_a_row :]
        if len(newest) < rule.accepted_in_a_row or any(one.outcome != ACCEPTED for one in newest):
            return ""
        return f"{rule.accepted_in_a_row} sampled lots in a row were accepted, {_span(newest)}."
    assert rule.failures is not None
    window = counted if rule.among is None else counted[-rule.among :]
    failed = [one for one in window if one.outcome == NOT_ACCEPTED]
    if len(failed) < rule.failures:
        return ""
    names = ", ".join(one.lot for one in failed)
    if rule.failures == 1:
        return f"Lot {names} was not accepted."
    return f"{len(failed)} of the last {len(window)} sampled lots were not accepted: {names}."


def _span(lots: Sequence[LotOutcome]) -> str:
    return f"{lots[0].lot} to {lots[-1].lot}"
