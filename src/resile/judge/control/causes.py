"""Which patterns of causes fit what was seen: suggestions, never verdicts."""

from __future__ import annotations

from collections.abc import Sequence

from resile.records.control.cause_pattern import CausePattern, PatternSign, SeenMove
from resile.records.control.chart import CauseSuggestion

_OPPOSITE = {"up": "down", "down": "up", "unchanged": "changed", "changed": "unchanged"}


def suggest(
    patterns: Sequence[CausePattern], moves: Sequence[SeenMove], *, change: str, tank_changed: bool | None
) -> tuple[CauseSuggestion, ...]:
    """Give the causes whose needed signs are all seen and whose other signs are not contradicted.

    Parameters
    ----------
    patterns : sequence of CausePattern
        From the files under ``specifications/control_patterns``.
    moves : sequence of SeenMove
        How each watched property moved about one day.
    change : str
        ``step`` or ``drift``; empty where a single lot is looked at, which fits both.
    tank_changed : bool or None
        Whether the tank changed with the first lot; None where tanks are not known.

    Returns
    -------
    tuple of CauseSuggestion
        Those with most signs seen first, then in the order of the file.
    """
    found = []
    for pattern in patterns:
        if change and pattern.change not in ("any", change):
            continue
        if not _tank_fits(pattern, tank_changed):
            continue
        seen = _signs_seen(pattern, moves)
        if seen is not None:
            if pattern.tank == "new":
                seen = (*seen, "the tank changed with this lot")
            found.append(
                CauseSuggestion(
                    kind=pattern.kind,
                    sentence=pattern.sentence,
                    seen=seen,
                    test_to_confirm=pattern.test_to_confirm,
                    source=f"{pattern.source} [{pattern.evidence}]",
                )
            )
    return tuple(sorted(found, key=lambda one: -len(one.seen)))


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
