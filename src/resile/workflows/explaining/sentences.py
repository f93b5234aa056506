"""Numbers to plain words: whole parts of a hundred, how many times as much, and no decimals."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from resile.records.explanation import ExplainingWords, LetterLimit, Push

_SAME = 0.05
_WHOLE_TIMES = 1.5
_WHOLE_PARTS = 1 / _WHOLE_TIMES


def parts_back(percent_recovery: float) -> int:
    """Give how many of a hundred parts sprang back, in whole parts.

    Parameters
    ----------
    percent_recovery : float
        Share that sprang back; below 0 counts as none [%].

    Returns
    -------
    int
        0 to 100.
    """
    return min(100, max(0, math.floor(percent_recovery + 0.5)))


def comparison(ratio: float, words: ExplainingWords) -> str:
    """Say how much one thing is of another.

    Parameters
    ----------
    ratio : float
        The one over the other, above 0.
    words : ExplainingWords
        The sentences.

    Returns
    -------
    str
        Such as ``About 2 times as much``.
    """
    say = words.sentences
    if abs(ratio - 1) < _SAME:
        return say["the_same"]
    if ratio >= _WHOLE_TIMES:
        return say["times"].format(n=math.floor(ratio + 0.5))
    if ratio > 1:
        return say["more"].format(n=math.floor(100 * (ratio - 1) + 0.5))
    if ratio > _WHOLE_PARTS:
        return say["less"].format(n=math.floor(100 * (1 - ratio) + 0.5))
    parts = math.floor(1 / ratio + 0.5)
    if parts >= len(words.fractions):
        return say["fraction_small"]
    return say["fraction"].format(n=words.fractions[max(2, parts)])


def letter_of(jnr: float, limits: Sequence[LetterLimit]) -> LetterLimit | None:
    """Give the narrowest letter that lets this much stay behind.

    Parameters
    ----------
    jnr : float
        Strain that stays, per stress, at the stress that decides [1/kPa].
    limits : sequence of LetterLimit
        From the widest letter to the narrowest.

    Returns
    -------
    LetterLimit or None
        None where no letter does.
    """
    held = [one for one in limits if jnr <= one.limit]
    return held[-1] if held else None


def what_moved(push: Push, say: Mapping[str, str]) -> tuple[str, str]:
    """Say what sprang back and what stayed behind.

    Parameters
    ----------
    push : Push
        The push.
    say : mapping of str to str
        The sentences.

    Returns
    -------
    tuple of str
        Two sentences.
    """
    back = parts_back(push.percent_recovery)
    if back == 0:
        return say["back_none"], say["left_all"]
    if back == 100:
        return say["back_all"], say["left_none"]
    return say["back_some"].format(back=back), say["left_some"].format(left=100 - back)
