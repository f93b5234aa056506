"""A blend book as a form holds it."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from resile.records.reading import HeldFile
from resile.workflows.laboratory.blends.kept_blends import KeptBlend, listed, raw_book

TRIALS, RESULTS = "trials.csv", "results.csv"
_LONGEST_SHOWN = 60_000
_REMARK = re.compile(r"""(?:[^#"']|"[^"]*"|'[^']*')*#""")
NUMBERS_OF_COMPONENT = {
    "price_per_tonne": "price",
    "stock_t": "stock",
    "lowest_percent": "at least",
    "highest_percent": "at most",
    "polymer_percent": "polymer in it",
    "increment_kg": "smallest step",
    "highest_handling_c": "hottest handling",
}
NUMBERS_OF_AIM = {
    "most_components": "components at most",
    "reclaimed_at_least_percent": "reclaimed binder at least",
    "reclaimed_at_most_percent": "reclaimed binder at most",
}
NUMBERS_OF_PLANT = {
    "tank_kg": "mass of a batch",
    "increment_kg": "step of the scales",
    "dosing_standard_kg": "scatter of a weighing",
    "storage_h": "hours of hot storage",
    "storage_c": "temperature of hot storage",
}


@dataclass(frozen=True, slots=True)
class TypedComponent:
    """One component as typed.

    Attributes
    ----------
    name, kind, remark : str
        As in `resile.records.blending.book.Component`; a row without a name is left out.
    price_per_tonne, stock_t, lowest_percent, highest_percent, polymer_percent, increment_kg, \
highest_handling_c : str
        Numbers as typed; may be empty.
    today_percent : str
        Its share in the recipe of today [%].
    banned : bool
        True where it is forbidden.
    was : str
        Name it had in the book before; its results stay with it.
    """

    name: str = ""
    kind: str = "base"
    price_per_tonne: str = ""
    stock_t: str = ""
    lowest_percent: str = ""
    highest_percent: str = ""
    polymer_percent: str = ""
    increment_kg: str = ""
    highest_handling_c: str = ""
    today_percent: str = ""
    remark: str = ""
    banned: bool = False
    was: str = ""


@dataclass(frozen=True, slots=True)
class TypedLimit:
    """One limit of one's own as typed; a row without a value is left out."""

    quantity: str = ""
    condition: str = "original"
    temperature_c: str = ""
    bound: str = "maximum"
    value: str = ""
    title: str = ""


@dataclass(frozen=True, slots=True)
class TypedBlend:
    """A blend book as typed.

    Attributes
    ----------
    title, currency, note : str
        Name of the book, currency of its prices, what else is to be known.
    site : str
        Key of the road whose grade is taken over; empty for none.
    specification, grade, objective : str
        As in `resile.records.blending.book.BlendAim`.
    probability_percent, most_components, reclaimed_at_least_percent, reclaimed_at_most_percent : str
        As typed.
    beyond_trials, acceptance_test : bool
        As in `resile.records.blending.book.BlendAim`.
    tank_kg, increment_kg, dosing_standard_kg, storage_h, storage_c : str
        As typed.
    components, limits : tuple
        Row by row.
    trials, results : str
        Tables as pasted; empty for none.
    trials_hold_results : bool
        True where the results stand in the table of trial blends itself.
    trial_file, result_file : HeldFile or None
        Tables that came as files; each wins over what was pasted.
    """

    title: str = ""
    currency: str = ""
    note: str = ""
    site: str = ""
    specification: str = "m332-2014"
    grade: str = ""
    objective: str = "cost"
    probability_percent: str = "95"
    most_components: str = ""
    reclaimed_at_least_percent: str = ""
    reclaimed_at_most_percent: str = ""
    beyond_trials: bool = False
    acceptance_test: bool = False
    tank_kg: str = ""
    increment_kg: str = ""
    dosing_standard_kg: str = ""
    storage_h: str = ""
    storage_c: str = ""
    components: tuple[TypedComponent, ...] = ()
    limits: tuple[TypedLimit, ...] = ()
    trials: str = ""
    results: str = ""
    trials_hold_results: bool = True
    trial_file: HeldFile | None = None
    result_file: HeldFile | None = None


def typed_of(kept: KeptBlend) -> TypedBlend:
    """Give a book that is kept as its form shows it.

    Parameters
    ----------
    kept : KeptBlend
        The book.
    """
    raw, noun = raw_book(kept.file), kept.kept.value
    aim, plant = raw.get("aim", {}), raw.get("plant", {})
    today = aim.get("today_percent", {})
    shares, results = (listed(raw.get(name)) for name in ("shares", "results"))
    given: dict[str, Any] = {name: _shown(aim.get(name)) for name in NUMBERS_OF_AIM}
    given |= {name: _shown(plant.get(name)) for name in NUMBERS_OF_PLANT}
    return TypedBlend(
        title=noun.name,
        currency=raw.get("currency", ""),
        note=noun.note,
        site=noun.site,
        specification=aim.get("specification", ""),
        grade="" if noun.site else aim.get("grade", ""),
        objective=aim.get("objective", "cost"),
        probability_percent=_shown(100.0 * aim.get("probability", 0.95)),
        beyond_trials=kept.book.aim.beyond_trials,
        acceptance_test=kept.book.aim.acceptance_test,
        components=tuple(
            replace(_component_shown(one, today), kind=read.kind)
            for one, read in zip(raw["component"], kept.book.components, strict=True)
        ),
        limits=tuple(
            replace(_limit_shown(one), condition=read.response.condition.value)
            for one, read in zip(raw.get("limit", ()), kept.book.aim.limits, strict=True)
        ),
        trials=_pasted(kept.file, shares, TRIALS),
        results=_pasted(kept.file, [one for one in results if one not in shares], RESULTS),
        trials_hold_results=any(one in results for one in shares) or not shares,
        **given,
    )


def has_remarks(file: HeldFile) -> bool:
    """Tell whether a person wrote remarks (behind ``#``) into a book: a form cannot keep them.

    Parameters
    ----------
    file : HeldFile
        The book.
    """
    return any(_REMARK.match(line) for line in file.content.decode("utf-8-sig").splitlines())


def _component_shown(one: Mapping[str, Any], today: Mapping[str, Any]) -> TypedComponent:
    numbers = {name: _shown(one.get(name)) for name in NUMBERS_OF_COMPONENT}
    return TypedComponent(
        name=one["name"],
        kind=one.get("kind", "base"),
        remark=one.get("remark", ""),
        banned=one.get("banned", False),
        today_percent=_shown(today.get(one["name"])),
        was=one["name"],
        **numbers,
    )


def _limit_shown(one: Mapping[str, Any]) -> TypedLimit:
    bound = "maximum" if "maximum" in one else "minimum"
    return replace(
        TypedLimit(one["quantity"], one.get("condition", "original"), _shown(one.get("temperature_c"))),
        bound=bound,
        value=_shown(one.get(bound)),
        title=one.get("title", ""),
    )


def _pasted(file: HeldFile, names: list[str], own: str) -> str:
    """Give a table that was pasted, so that it can be gone on with; one that came as a file stays a file."""
    found = next((one for one in file.beside if one.name == own and own in names), None)
    if found is None or len(found.content) > _LONGEST_SHOWN:
        return ""
    return found.content.decode("utf-8", errors="replace")


def _shown(value: object) -> str:
    return "" if value is None else f"{value:.12g}" if isinstance(value, int | float) else str(value)
