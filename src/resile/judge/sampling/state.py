"""What sampling asks for now: the state of a plan after the lots there are."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from resile.errors import InputError
from resile.judge.sampling.severity import ACCEPTED, NOT_ACCEPTED, OPEN, STOP, SeverityTrack, track_severity
from resile.records.control.sampling import SEVERITIES, LotOutcome, SamplingDue, SamplingPlan, SamplingState

_OUTCOMES = (ACCEPTED, NOT_ACCEPTED, OPEN, "")


def judge_sampling(
    plan: SamplingPlan,
    lots: Sequence[LotOutcome],
    *,
    begins_at: str = "",
    since: str = "",
    today: str = "",
    consented: Sequence[str] = (),
) -> SamplingState:
    """Give severity, history and what is due.

    Parameters
    ----------
    plan : SamplingPlan
        In force.
    lots : sequence of LotOutcome
        In the order of production; an extra sample stands behind the lot it belongs to, with its name.
    begins_at : str
        Severity of the first lot; that of the plan where empty.
    since : str
        Day from which the plan holds.
    today : str
        Day, YYYY-MM-DD; lots are not asked for their age where empty.
    consented : sequence of str
        Lots after which somebody agreed to a change that needs consent.

    Returns
    -------
    SamplingState
        The state after the last lot.

    Raises
    ------
    InputError
        Where an outcome or a severity is not known.
    """
    begin = begins_at or plan.begins_at
    if begin not in SEVERITIES:
        raise InputError(f"sampling begins at '{begin}'; one of {', '.join(SEVERITIES)} is needed")
    wrong = next((one for one in lots if one.outcome not in _OUTCOMES), None)
    if wrong is not None:
        raise InputError(
            f"lot {wrong.lot}: outcome '{wrong.outcome}' found; accepted, not accepted, open or nothing "
            "is needed"
        )
    track = track_severity(plan, lots, begins_at=begin, since=since, consented=consented)
    to_next, overdue = _rhythm(plan, lots, track)
    due = [*_extra_samples(plan, lots), *_stopped(track), *overdue, *_untested(plan, lots)]
    due += _old_lots(plan, lots, today)
    due += _consents(track)
    if track.severity != STOP and not overdue:
        due.append(_next(plan, track, to_next))
    return SamplingState(
        plan=plan,
        severity=track.severity,
        history=tuple(track.history),
        lots=tuple(lots),
        lot_severities=tuple(track.by_lot),
        to_next=to_next,
        due=tuple(sorted(due, key=lambda one: not one.at_once)),
    )


def _rhythm(
    plan: SamplingPlan, lots: Sequence[LotOutcome], track: SeverityTrack
) -> tuple[int, list[SamplingDue]]:
    """Count lots since the newest sample; say which lot was passed over.

    A plan begins with a sample: the first lot is taken whatever the severity. After a change the count
    goes on from the newest sample, at the new frequency.
    """
    if track.severity == STOP:
        return 0, []
    every = plan.level(track.severity).every
    made = [one for one in lots if not one.extra]
    behind: list[LotOutcome] = []
    for one in reversed(made):
        if one.outcome:
            break
        behind.append(one)
    behind.reverse()
    sampled_before = len(behind) < len(made)
    wait = every if sampled_before else 1
    if len(behind) < wait:
        return wait - len(behind), []
    missed = behind[wait - 1]
    words = (
        f"Sample lot {missed.lot}: by {track.severity} sampling {plan.level(track.severity).rhythm} is "
        f"taken, and it was not. "
        "If it has left, sample the newest lot and write down why."
    )
    return 0, [SamplingDue(kind="sample", lot=missed.lot, sentence=words, at_once=True)]


def _extra_samples(plan: SamplingPlan, lots: Sequence[LotOutcome]) -> list[SamplingDue]:
    """Ask for the extra sample after a failure: at once, not with the next round, and no shutdown.

    Of lots that failed before the newest sampled one little is left to sample: they are asked for together.
    """
    if not plan.extra_after_failure:
        return []
    repeated = {one.lot for one in lots if one.extra and one.outcome}
    judged = [one for one in lots if not one.extra and one.outcome in (ACCEPTED, NOT_ACCEPTED)]
    without = [one.lot for one in judged if one.outcome == NOT_ACCEPTED and one.lot not in repeated]
    due = []
    if judged and judged[-1].lot in without:
        newest = without.pop()
        words = (
            f"Lot {newest} was not accepted: take an extra sample of it at once. Production goes on; "
            f"the next "
            "sample of the plan does not stand in for it."
        )
        due.append(SamplingDue(kind="extra sample", lot=newest, sentence=words, at_once=True))
    if without:
        words = (
            f"Not accepted, and no extra sample beside: {', '.join(without)}. Test what was retained, "
            f"or write "
            "down what was done with them."
        )
        due.append(SamplingDue(kind="extra sample", lot=without[-1], sentence=words))
    return due


def _stopped(track: SeverityTrack) -> list[SamplingDue]:
    if track.severity != STOP:
        return []
    words = f"{track.history[-1].reason} Acceptance by this plan ends until the cause is found and put right."
    return [SamplingDue(kind="stopped", lot=track.history[-1].after_lot, sentence=words, at_once=True)]


def _untested(plan: SamplingPlan, lots: Sequence[LotOutcome]) -> list[SamplingDue]:
    """Ask for a test where too many samples in a row lie untested."""
    waiting: list[str] = []
    for one in reversed([one for one in lots if one.outcome and not one.extra]):
        if one.outcome != OPEN:
            break
        waiting.append(one.lot)
    if len(waiting) < plan.test_every:
        return []
    names, tests = ", ".join(reversed(waiting)), ", ".join(plan.tests)
    of_which = "" if len(waiting) == 1 else "one of "
    words = f"Test {of_which}{names}: samples in a row lie untested, and {plan.tested_share} is tested."
    return [
        SamplingDue(kind="test", lot=waiting[0], sentence=f"{words} At least: {tests}." if tests else words)
    ]


def _old_lots(plan: SamplingPlan, lots: Sequence[LotOutcome], today: str) -> list[SamplingDue]:
    """Ask for a new lot where the newest one has lain too long."""
    newest = next((one for one in reversed(lots) if not one.extra), None)
    if plan.lot_days is None or not today or newest is None or not newest.opened:
        return []
    age = (_day(today, "today") - _day(newest.opened, f"lot {newest.lot}")).days
    if age <= plan.lot_days:
        return []
    words = (
        f"Lot {newest.lot} is {age} days old; by the plan it ends after {plan.lot_days:g} days: what is left "
        "of it is a new lot."
    )
    return [SamplingDue(kind="new lot", lot=newest.lot, sentence=words)]


def _consents(track: SeverityTrack) -> list[SamplingDue]:
    return [
        SamplingDue(
            kind="consent",
            lot=one.after_lot,
            sentence=f"{one.reason} Sampling may become {one.severity} where those responsible agree.",
        )
        for one in track.proposed
    ]


def _next(plan: SamplingPlan, track: SeverityTrack, to_next: int) -> SamplingDue:
    place = "The next lot is" if to_next == 1 else f"The lot after {to_next - 1} more is"
    rhythm = plan.level(track.severity).rhythm
    words = f"{place} to be sampled: by {track.severity} sampling {rhythm} is taken."
    return SamplingDue(kind="next lot", lot="", sentence=words)


def _day(text: str, what: str) -> date:
    try:
        return date.fromisoformat(text[:10])
    except ValueError:
        raise InputError(f"{what}: '{text}' is no day; YYYY-MM-DD is needed") from None
