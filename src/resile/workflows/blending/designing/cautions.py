"""What must be said beside a recipe so that nobody is hurt: its measures against the rules of the house."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from resile.judge.findings import judge_measures
from resile.records.blending.book import BlendBook, Component
from resile.records.blending.recipe import RecipeLine
from resile.records.finding import Finding, Measure
from resile.specifications.creep_recovery import load_finding_rules

BELOW_FLASH_C = 30.0
"""Handling stays this far below the flash point [°C]: Eurobitume [read]."""
_NOT_ADDITIVES = ("base", "polymer", "polymer_concentrate", "reclaimed", "acid", "cross_linker")
_LEAST_PERCENT = 1e-6


def recipe_cautions(
    book: BlendBook, percent: dict[str, float], lines: Sequence[RecipeLine] = ()
) -> tuple[Finding, ...]:
    """Give the cautions of a recipe.

    Parameters
    ----------
    book : BlendBook
        Components and storage.
    percent : dict of str to float
        The recipe [%].
    lines : sequence of RecipeLine
        What was predicted of it; a flash point among them is used.

    Returns
    -------
    tuple of Finding
        The heaviest first. Local codes and the contract prevail.
    """
    found = judge_measures(_measures(book, percent, lines), load_finding_rules("blending"))
    return tuple(_in_words(one) for one in found)


def _in_words(finding: Finding) -> Finding:
    """Leave out numbers that only say that something is there: the sentence names it."""
    return replace(finding, value=None, limit=None) if not finding.unit or not finding.limit else finding


def _measures(book: BlendBook, percent: dict[str, float], lines: Sequence[RecipeLine]) -> list[Measure]:
    used = [one for one in book.components if percent.get(one.name, 0.0) > _LEAST_PERCENT]
    names = ", ".join(one.name for one in used)
    found = [
        Measure("components_used", float(len(used)), "", names),
        Measure("polymer_percent", sum(percent[one.name] * one.polymer_percent / 100.0 for one in used), "%"),
        _of_kind("cross_linker_percent", used, percent, "cross_linker"),
        _of_kind("acid_percent", used, percent, "acid"),
        _of_kind("reclaimed_percent", used, percent, "reclaimed"),
    ]
    others = [one for one in used if one.kind not in _NOT_ADDITIVES]
    found.append(
        Measure(
            "other_additive_percent",
            sum(percent[one.name] for one in others),
            "%",
            ", ".join(one.name for one in others),
        )
    )
    if any(one.kind in ("polymer", "polymer_concentrate") for one in used) and not found[1].value:
        # A polymer whose content was not stated is a polymer all the same.
        found[1] = Measure("polymer_percent", sum(percent[o.name] for o in used if "polymer" in o.kind), "%")
    flash, where = _flash(used, lines)
    found.append(Measure("flash_known", 0.0 if flash is None else 1.0))
    if flash is not None:
        found[1] = Measure("polymer_percent", found[1].value, "%", where)
        found.append(Measure("flash_less_30_c", flash - BELOW_FLASH_C, "°C", where))
    limits = [(one.highest_handling_c, one.name) for one in used if one.highest_handling_c is not None]
    if limits:
        coolest, name = min(limits)
        found.append(Measure("component_handling_c", coolest, "°C", name))
    if book.aim.storage_c is not None:
        found.append(Measure("storage_c", book.aim.storage_c, "°C"))
    return found


def _of_kind(name: str, used: Sequence[Component], percent: dict[str, float], kind: str) -> Measure:
    some = [one for one in used if one.kind == kind]
    return Measure(name, sum(percent[one.name] for one in some), "%", ", ".join(one.name for one in some))


def _flash(used: Sequence[Component], lines: Sequence[RecipeLine]) -> tuple[float | None, str]:
    """Give the flash point to handle by: the lower end of that of the blend; else the lowest known."""
    for line in lines:
        if line.limit.response.quantity == "flash_point" and line.value is not None:
            low = line.value if line.lower is None else line.lower
            return low, f"of the blend, from {low:.0f} °C as predicted"
    known = [
        (float(one.value), component.name)
        for component in used
        for one in component.determinations
        if one.quantity == "flash_point" and one.value is not None
    ]
    if not known:
        return None, ""
    low, name = min(known)
    return low, f"of {name}, {low:.0f} °C; that of the blend is not known"
