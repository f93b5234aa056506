"""How far an instrument can be trusted on a day, from its verifications."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Protocol

from resile.records.register import VerificationState

_WORST_FIRST = (VerificationState.FAILED, VerificationState.OVERDUE, VerificationState.VERIFIED)
_SLACK = 1e-9  # a difference that is a rounding of binary numbers alone is no difference


class Verified(Protocol):
    """What is looked at in a verification."""

    @property
    def what(self) -> str:
        """What was verified."""

    @property
    def done(self) -> str:
        """Day."""

    @property
    def due(self) -> str:
        """Day until which it stands; empty for without end."""

    @property
    def passed(self) -> bool:
        """Whether it was within its tolerance."""


def judge_verifications(verifications: Iterable[Verified], day: str) -> VerificationState:
    """Judge an instrument on a day.

    Parameters
    ----------
    verifications : iterable
        All of one instrument, the oldest first.
    day : str
        ISO 8601; only its day counts.

    Returns
    -------
    VerificationState
        The worst over what was verified, each by its newest verification until that day; unknown where there
        is none.
    """
    newest = {one.what: one for one in verifications if one.done[:10] <= day[:10]}
    states = {_state(one, day[:10]) for one in newest.values()}
    return next((state for state in _WORST_FIRST if state in states), VerificationState.UNKNOWN)


def _state(verification: Verified, day: str) -> VerificationState:
    if not verification.passed:
        return VerificationState.FAILED
    if verification.due and verification.due[:10] < day:
        return VerificationState.OVERDUE
    return VerificationState.VERIFIED


def within_tolerance(measured: float, reference: float, tolerance: float) -> bool:
    """Tell whether a reading is within its tolerance, both ends included.

    Parameters
    ----------
    measured, reference, tolerance : float
        In one unit.
    """
    return abs(measured - reference) <= tolerance + _SLACK * max(1.0, abs(reference))
