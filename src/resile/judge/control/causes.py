"""Which patterns of causes fit what was seen: suggestions, never verdicts."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from resile.records.control.cause_pattern import CausePattern, PatternSign, SeenMove
from resile.records.control.chart import CauseSuggestion

_OPPOSITE = {"up": "down", "down": "up", "unchanged": "changed", "changed": "unchanged"}


@dataclass(frozen=True, slots=True, kw_only=True)
class SeenAbout:
    """What changed beside the properties about one day.

    Attributes
    ----------
    tank_changed : bool or None
        Whether the tank changed with the first lot; None where tanks are not known.
    operator, instrument, check, back : str
        In words, how the change goes with who tested, on what, with results under a doubt of their own, and
        that the level is back where it was; empty where it does not, or is not known.
    """

    tank_changed: bool | None = None
    operator: str = ""
    instrument: str = ""
    check: str = ""
    back: str = ""


def suggest(
    patterns: Sequence[CausePattern], moves: Sequence[SeenMove], *, change: str, about: SeenAbout
) -> tuple[CauseSuggestion, ...]:
    """Give the causes whose needed signs are all seen and whose other signs are not contradicted.

    Parameters
    ----------
    patterns : sequence of CausePattern
        From the files under ``specifications/control_patterns``.
    moves : sequence of SeenMove
        How each watched property moved about one day.
    change : str
        ``step`` or ``drift``; empty where both fit, or a single lot is looked at.
    about : SeenAbout
        What else changed: tank, operator, instrument, checks.

    Returns
    -------
    tuple of CauseSuggestion
        Causes that the change goes with (operator, instrument, check, end of an earlier change) first, then
        those with most signs seen, then in the order of the file.
    """
    found = []
    for pattern in patterns:
        if change and pattern.change not in ("any", change):
            continue
        seen = _signs_seen(pattern, moves)
        beside = _seen_beside(pattern, about)
        if seen is None or beside is None:
            continue
        suggestion = CauseSuggestion(
            kind=pattern.kind,
            sentence=pattern.sentence,
            seen=(*beside, *seen),
            test_to_confirm=pattern.test_to_confirm,
            source=f"{pattern.source} [{pattern.evidence}]",
        )
        found.append((pattern.goes_with == "any", -len(suggestion.seen), suggestion))
    return tuple(one for *_, one in sorted(found, key=lambda each: each[:2]))


def _seen_beside(pattern: CausePattern, about: SeenAbout) -> tuple[str, ...] | None:
    """Give what is seen beside the properties; None where the pattern needs what is not seen."""
    if not _tank_fits(pattern, about.tank_changed):
        return None
    words = ["the tank changed with this lot"] if pattern.tank == "new" else []
    if pattern.goes_with != "any":
        seen: str = getattr(about, pattern.goes_with)
        if not seen:
            return None
        words.append(seen)
    return tuple(words)


def _tank_fits(pattern: CausePattern, changed: bool | None) -> bool:
    """A pattern of a new tank needs to know of one; a pattern of the same tank falls where it is new."""
    if pattern.tank == "new":
        return changed is True
    return pattern.tank == "any" or changed is not True


def _signs_seen(pattern: CausePattern, moves: Sequence[SeenMove]) -> tuple[str, ...] | None:
    """Give the signs that are seen, in words; None where a needed one is not, or another is contradicted."""
    words: list[str] = []
    for sign in pattern.signs:
        seen = [move.text for move in moves if move.quantity in sign.quantities and _is(move, sign.moved)]
        if not seen and (sign.needed or _contradicted(sign, moves)):
            return None
        words += seen
    return tuple(dict.fromkeys(words))


def _is(move: SeenMove, wanted: str) -> bool:
    return move.moved == wanted or (wanted == "changed" and move.moved in ("up", "down"))


def _contradicted(sign: PatternSign, moves: Sequence[SeenMove]) -> bool:
    return any(move.quantity in sign.quantities and _is(move, _OPPOSITE[sign.moved]) for move in moves)
