"""A typed blend book as the file that is kept: what the form does not ask for stays as it stood before."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields
from typing import Any

from resile.errors import InputError, ResileError
from resile.records.reading import HeldFile
from resile.records.register import Actor, Kept, SiteRecord
from resile.storage.laboratory_record import LaboratoryRecord
from resile.workflows.laboratory.access.permissions import require
from resile.workflows.laboratory.bench.hand_numbers import hand_number_or_none
from resile.workflows.laboratory.blends.kept_blends import KeptBlend, listed, raw_book
from resile.workflows.laboratory.blends.typed_blends import (
    NUMBERS_OF_AIM,
    NUMBERS_OF_COMPONENT,
    NUMBERS_OF_PLANT,
    RESULTS,
    TRIALS,
    TypedBlend,
)
from resile.workflows.toml_text import toml_text

FILE_NAME = "blend.toml"


def book_file(
    record: LaboratoryRecord, actor: Actor, typed: TypedBlend, before: KeptBlend | None = None
) -> HeldFile:
    """Give the file of a book as typed.

    Parameters
    ----------
    record, actor
        The record, and who types.
    typed : TypedBlend
        The form.
    before : KeptBlend or None
        The book it revises: what the form does not ask for stays as it stands there.

    Returns
    -------
    HeldFile
        TOML, with its tables beside it.

    Raises
    ------
    InputError
        Where a number is none, or a road and another grade are both given; all of it in one message.
    """
    require(actor, "offer.write")
    problems: list[str] = []
    raw = raw_book(before.file) if before else {}
    tables = {one.name: one for one in before.file.beside} if before else {}
    road = _road(record, typed.site)
    components = _components(typed, raw, problems)
    content: dict[str, Any] = {
        "title": typed.title.strip(),
        "invented": raw.get("invented", False),
        "currency": typed.currency.strip(),
        **_tables(typed, raw, tables),
        "component": components,
        "trial": _renamed_trials(typed, raw),
        "aim": {**_kept_keys(raw.get("aim", {})), **_aim(typed, road, raw, problems)},
        "limit": _limits(typed, raw, problems),
        "plant": {**raw.get("plant", {}), **_numbers(typed, NUMBERS_OF_PLANT, "", problems)},
        "rules": raw.get("rules", {}),
    }
    if not components:
        problems.append("name at least one component")
    if problems:
        raise InputError("; ".join(problems))
    name = before.file.name if before else FILE_NAME
    written = {key: value for key, value in content.items() if value not in (None, "", [], {}, False)}
    return HeldFile(name, toml_text(written).encode(), tuple(tables.values()))


def as_typed(error: ResileError) -> ResileError:
    """Give a refusal in the words of the form: without the name of the file that was made of it.

    Parameters
    ----------
    error : ResileError
        As the reader of blend books raises it.
    """
    named = {f"{FILE_NAME}, ": "", TRIALS: "table of trial blends", RESULTS: "table of results"}
    words = []
    for word in error.args:
        for name, said in named.items():
            word = word.replace(name, said) if isinstance(word, str) else word
        words.append(word)
    error.args = tuple(words)
    return error


def _road(record: LaboratoryRecord, key: str) -> Kept[SiteRecord] | None:
    if not key:
        return None
    with record.reading() as reading:
        return reading.get(SiteRecord, key)


def _components(typed: TypedBlend, raw: Mapping[str, Any], problems: list[str]) -> list[dict[str, Any]]:
    before = {one["name"]: one for one in raw.get("component", ())}
    found = []
    for number, one in enumerate(typed.components, 1):
        if not one.name.strip():
            if any(getattr(one, name) for name in NUMBERS_OF_COMPONENT):
                problems.append(f"component {number}: give it a name, or empty its row")
            continue
        numbers = _numbers(one, NUMBERS_OF_COMPONENT, f"component {one.name}, ", problems)
        told: dict[str, Any] = {"name": one.name.strip(), "kind": one.kind, **numbers}
        told |= {"banned": one.banned or None, "remark": one.remark or None}
        carried = before.get(one.was, {})
        told |= {key: carried[key] for key in ("sample", "result") if key in carried}
        found.append(told)
    return found


def _renamed_trials(typed: TypedBlend, raw: Mapping[str, Any]) -> list[dict[str, Any]]:
    """Give the trials of the book with the names its components have now."""
    now = {one.was: one.name.strip() for one in typed.components if one.was and one.name.strip()}
    return [
        one
        if "percent" not in one
        else {**one, "percent": {now.get(name, name): share for name, share in one["percent"].items()}}
        for one in raw.get("trial", ())
    ]


def _aim(
    typed: TypedBlend, road: Kept[SiteRecord] | None, raw: Mapping[str, Any], problems: list[str]
) -> dict[str, Any]:
    grade, specification = typed.grade.strip(), typed.specification
    named = _road_named(raw.get("aim", {}), grade)
    if road is not None:
        needed = road.value.grade
        if grade and grade != needed:
            problems.append(
                f"{road.value.name} needs {needed}, and {grade} was typed; empty the grade, or choose no road"
            )
        grade, specification, named = needed, road.value.specification, {"site": road.value.name}
    percent = _number(typed.probability_percent, "probability", problems)
    today = {
        one.name.strip(): share
        for one in typed.components
        if (share := _number(one.today_percent, f"component {one.name}, today", problems)) is not None
    }
    numbers = _numbers(typed, NUMBERS_OF_AIM, "", problems)
    most = numbers["most_components"]
    return {
        "specification": specification if grade or "sites" in named else None,
        "grade": grade or None,
        **named,
        "objective": typed.objective,
        "probability": 0.95 if percent is None else percent / 100.0,
        "beyond_trials": typed.beyond_trials or None,
        "acceptance_test": typed.acceptance_test or None,
        **numbers,
        "most_components": None if most is None else round(most),
        "today_percent": today or None,
    }


def _road_named(aim: Mapping[str, Any], grade: str) -> dict[str, Any]:
    """Give the road a book names itself: it stays as long as the grade does."""
    if grade != aim.get("grade", ""):
        return {}
    return {name: aim[name] for name in ("site", "sites") if aim.get(name)}


def _limits(typed: TypedBlend, raw: Mapping[str, Any], problems: list[str]) -> list[dict[str, Any]]:
    either_way = {one["quantity"] for one in raw.get("limit", ()) if one.get("absolute")} | {"mass_change"}
    found = []
    for number, one in enumerate(typed.limits, 1):
        value = _number(one.value, f"limit {number}", problems)
        if value is None:
            continue
        if not one.quantity:
            problems.append(f"limit {number}: choose the property it is for")
        celsius = _number(one.temperature_c, f"limit {number}, temperature", problems)
        found.append(
            {
                "quantity": one.quantity,
                "condition": one.condition,
                "temperature_c": celsius,
                one.bound: value,
                "title": one.title or None,
                "absolute": True if one.quantity in either_way else None,
            }
        )
    return found


def _tables(typed: TypedBlend, raw: Mapping[str, Any], tables: dict[str, HeldFile]) -> dict[str, Any]:
    """Put the tables of the form into `tables`, and name them as the book does."""
    shares, results = (listed(raw.get(name)) for name in ("shares", "results"))
    trial_file = typed.trial_file or _typed_table(typed.trials, TRIALS)
    result_file = typed.result_file or _typed_table(typed.results, RESULTS)
    if trial_file is not None:
        tables[trial_file.name] = trial_file
        results = [one for one in results if one not in shares]
        shares = [trial_file.name]
        results = [trial_file.name, *results] if typed.trials_hold_results else results
    if result_file is not None:
        tables[result_file.name] = result_file
        results = [*(one for one in results if one in shares), result_file.name]
    return {"shares": shares, "results": results}


def _typed_table(text: str, name: str) -> HeldFile | None:
    lines = [line.rstrip() for line in text.strip("\r\n").splitlines()]
    return HeldFile(name, ("\n".join(lines) + "\n").encode()) if any(lines) else None


def _numbers(typed: Any, names: Mapping[str, str], where: str, problems: list[str]) -> dict[str, Any]:
    return {name: _number(getattr(typed, name), f"{where}{title}", problems) for name, title in names.items()}


def _number(text: str, title: str, problems: list[str]) -> float | None:
    try:
        return hand_number_or_none(text, title)
    except InputError as error:
        problems.append(str(error))
        return None


def _kept_keys(aim: Mapping[str, Any]) -> dict[str, Any]:
    """Give what a book says of its aim and the form does not ask for: nothing that the form may replace."""
    asked = {f.name for f in fields(TypedBlend)} | {"probability", "today_percent", "sites"}
    return {name: value for name, value in aim.items() if name not in asked}
