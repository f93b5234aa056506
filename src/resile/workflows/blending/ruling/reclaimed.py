"""How much reclaimed binder a new binder allows, or which new binder a share needs, by the linear rule."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

from resile.compute.blending.rules.mixing_rules import mix
from resile.compute.blending.rules.reclaimed import (
    needed_new_temperature,
    next_grade,
    reclaimed_share,
    share_window,
)
from resile.errors import InputError
from resile.records.blending.reclaimed import (
    ReclaimedAnswer,
    ReclaimedLine,
    ReclaimedPractice,
    ReclaimedTier,
)
from resile.specifications.blending import load_reclaimed_practice

HIGH_CRITERIA = ("original", "short_term_aged")
LOW_CRITERIA = ("stiffness", "m_value")
CRITERIA = (*HIGH_CRITERIA, "intermediate", *LOW_CRITERIA)
"""Critical temperatures of a binder: the first two are reached or passed, the others reached or undercut."""


@dataclass(frozen=True, slots=True)
class ReclaimedSheet:
    """The answer as a sheet.

    Attributes
    ----------
    answer : ReclaimedAnswer
        As worked out.
    """

    answer: ReclaimedAnswer

    def to_json(self) -> dict[str, Any]:
        """Give the answer for machines."""
        answer = self.answer
        return {
            "share_percent": answer.share_percent,
            "lines": [asdict(line) for line in answer.lines],
            "window": None if answer.window is None else asdict(answer.window),
            "needed_high_c": answer.needed_high_c,
            "needed_low_c": answer.needed_low_c,
            "tier": None if answer.tier is None else asdict(answer.tier),
            "tiers_source": answer.practice.tiers_source,
            "blends": [asdict(one) for one in answer.practice.blends],
            "blends_source": answer.practice.blends_source,
            "notes": list(answer.practice.notes),
        }

    def to_terminal(self) -> Any:
        """Give the answer as a readable sheet."""
        from resile.report.terminal.blend_rules import render_reclaimed

        return render_reclaimed(self.answer)


def answer_reclaimed(
    reclaimed_c: Mapping[str, float],
    wanted_c: Mapping[str, float],
    *,
    new_c: Mapping[str, float] | None = None,
    share_percent: float | None = None,
    practice: str | Path = "common",
) -> ReclaimedAnswer:
    """Say how much reclaimed binder a new binder allows, or which new binder a share needs.

    Parameters
    ----------
    reclaimed_c : mapping of str to float
        Critical test temperatures of the reclaimed binder by criterion: ``original``, ``short_term_aged``,
        ``intermediate``, ``stiffness``, ``m_value`` [°C]; those of the beam are test temperatures.
    wanted_c : mapping of str to float
        The same of the blend.
    new_c : mapping of str to float or None
        The same of the new binder, where it is chosen.
    share_percent : float or None
        Share of reclaimed binder by mass of binder, where it is chosen [%].
    practice : str or Path
        File of published practice.

    Returns
    -------
    ReclaimedAnswer
        Window of shares, needed new binder, temperatures of the blend; with the published error of the rule.

    Raises
    ------
    InputError
        Where neither new binder nor share is given, or a criterion is unknown or missing.
    """
    published = load_reclaimed_practice(practice)
    if new_c is None and share_percent is None:
        raise InputError(
            "reclaimed binder: needed is the new binder, or the share of reclaimed binder, or both"
        )
    names = _criteria(reclaimed_c, wanted_c, new_c)
    share = None if share_percent is None else _ratio(share_percent)
    lines = tuple(
        _line(name, reclaimed_c[name], wanted_c[name], None if new_c is None else new_c[name], share)
        for name in names
    )
    window = None
    if new_c is not None:
        window = share_window(
            [new_c[name] for name in names],
            [reclaimed_c[name] for name in names],
            [wanted_c[name] for name in names],
            [name in HIGH_CRITERIA for name in names],
        )
    high, low = _needed_grade(lines, published)
    return ReclaimedAnswer(
        lines, share_percent, window, high, low, _tier(share_percent, published), published
    )


def _ratio(percent: float) -> float:
    if not 0.0 <= percent < 100.0:
        raise InputError(f"share of reclaimed binder: {percent:g} % found; needed is 0 or more and below 100")
    return percent / 100.0


def _criteria(
    reclaimed: Mapping[str, float], wanted: Mapping[str, float], new: Mapping[str, float] | None
) -> tuple[str, ...]:
    given = [reclaimed, wanted, *([new] if new is not None else [])]
    unknown = sorted({name for one in given for name in one} - set(CRITERIA))
    if unknown:
        raise InputError(f"criterion '{unknown[0]}' is not known; needed is one of {', '.join(CRITERIA)}")
    names = tuple(name for name in CRITERIA if all(name in one for one in given))
    lonely = sorted({name for one in given for name in one} - set(names))
    if lonely or not names:
        missing = lonely[0] if lonely else CRITERIA[0]
        raise InputError(
            f"criterion '{missing}': needed is its temperature for every binder and for the blend"
        )
    return names


def _line(
    name: str, reclaimed: float, wanted: float, new: float | None, share: float | None
) -> ReclaimedLine:
    needed = None if share is None else float(needed_new_temperature(wanted, reclaimed, share))
    at_limit = None if new is None or new == reclaimed else float(reclaimed_share(wanted, new, reclaimed))
    blend = None
    if new is not None and share is not None:
        blend = mix("linear-temperature", [share, 1.0 - share], [reclaimed, new]).values[0]
    return ReclaimedLine(name, new, reclaimed, wanted, needed, blend, at_limit)


def _needed_grade(
    lines: Sequence[ReclaimedLine], practice: ReclaimedPractice
) -> tuple[float | None, float | None]:
    """Mildest grade on the ladders that reaches every needed temperature."""
    high = [line.needed_c for line in lines if line.criterion in HIGH_CRITERIA and line.needed_c is not None]
    low = [line.needed_c for line in lines if line.criterion in LOW_CRITERIA and line.needed_c is not None]
    return (
        next_grade(max(high), practice.high_temperatures_c, end="high") if high else None,
        next_grade(min(low) - practice.beam_offset_c, practice.low_temperatures_c, end="low")
        if low
        else None,
    )


def _tier(share_percent: float | None, practice: ReclaimedPractice) -> ReclaimedTier | None:
    if share_percent is None:
        return None
    begun = [
        tier
        for tier in practice.tiers
        if share_percent > tier.from_percent or (tier.included and share_percent == tier.from_percent)
    ]
    return begun[-1] if begun else None
