"""A blend book: one TOML file, and tables of shares and results beside it.

title = "Blends for the northern roads"
currency = "EUR"
shares = "shares.csv"                 # one trial blend a row, one component a column
results = ["results.csv"]             # any table of results; matched by the names of blends and components

[[component]]
name = "Soft base"
kind = "base"
price_per_tonne = 430

[aim]
specification = "m332-2014"
grade = "PG 64H-22"
probability = 0.95

[[limit]]
quantity = "rotational_viscosity"
temperature_c = 135
maximum = 2.0

[plant]
tank_kg = 24000
increment_kg = 20
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any, TypeVar

from resile.errors import FileFormatError, InputError
from resile.readers.blends.model import blend_book_model, read_kind
from resile.readers.blends.problems import Problems, known_names
from resile.readers.blends.results import BookResults, read_results, without_results
from resile.readers.blends.shares import ShareTable, named_percent, read_shares
from resile.readers.checked_toml import read_checked_toml
from resile.readers.conditions import read_condition
from resile.readers.grids.vocabulary import fold
from resile.readers.sites.table import read_site_table
from resile.readers.source_file import file_beside
from resile.readers.typed_results import typed_determination
from resile.records.blending.book import BlendAim, BlendBook, Component, TrialBlend
from resile.records.blending.limit import BlendLimit, Response
from resile.records.demand_request import DemandRequest
from resile.records.quantity import QUANTITIES
from resile.records.reading import HeldFile, SourceFile

OWN_LIMIT = "own limit"
Made = TypeVar("Made", Component, TrialBlend)


def read_blend_book(path: Path | HeldFile) -> BlendBook:
    """Read a blend book with the tables it names.

    Parameters
    ----------
    path : Path or HeldFile
        The book (.toml); its tables lie beside it, or are held with it.

    Returns
    -------
    BlendBook
        Components and trials in the order of the file, every share in percent, every result under the name
        of its blend; what could not be used stands in the findings.

    Raises
    ------
    RecordNotFoundError
        No such book, or no such table.
    SpecificationError
        Keys missing, unknown or wrong; all of them in one message.
    FileFormatError
        Names twice, shares that do not add up to 100, a component that is not in the book, a limit without a
        bound; all of them in one message.
    """
    content: Any
    content, source = read_checked_toml(path, blend_book_model(), "blend book")
    problems = Problems()
    components = _components(content, path, source, problems)
    names = tuple(component.name for component in components)
    tables = [
        table
        for file in content.shares
        if (table := read_shares(file_beside(path, file), names, problems)) is not None
    ]
    trials, remarks = _trials(content, tables, names, path, source, problems)
    aim = _aim(content, names, path, problems)
    goes_under = _goes_under(content, [*names, *(trial.name for trial in trials)], path, problems)
    results = read_results(path, content.results, goes_under, problems)
    problems.refuse()
    trials = tuple(_with_results(trial, results) for trial in trials)
    bare = [trial.name for trial in trials if not trial.determinations]
    return BlendBook(
        title=content.title or path.stem,
        currency=content.currency,
        components=tuple(_with_results(component, results) for component in components),
        trials=trials,
        aim=aim,
        rules=content.rules,
        sources=_once((source, *(table.source for table in tables), *results.sources)),
        remarks=(*(note for table in tables for note in table.remarks), *remarks, *results.remarks),
        findings=(*results.findings, *((without_results(bare),) if bare else ())),
        invented=content.invented,
    )


def _components(
    content: Any, path: Path | HeldFile, source: SourceFile, problems: Problems
) -> tuple[Component, ...]:
    found = []
    seen: set[str] = set()
    for number, one in enumerate(content.component, 1):
        place = f"{path}, component {number} ({one.name})"
        if fold(one.name) in seen:
            problems.add(place, "this name stands twice; give each component a name of its own")
        seen.add(fold(one.name))
        values = one.model_dump(exclude={"result", "sample", "kind"})
        typed = tuple(
            typed_determination(one.name, row, source, f"component {one.name}, result {n}")
            for n, row in enumerate(one.result, 1)
        )
        try:
            found.append(Component(kind=read_kind(one.kind), determinations=typed, **values))
        except InputError as error:
            problems.add(str(path), str(error))
    _bounds(found, path, problems)
    return tuple(found)


def _bounds(components: list[Component], path: Path | HeldFile, problems: Problems) -> None:
    """Tell of bounds that no recipe can keep."""
    least = sum(component.lowest_percent for component in components)
    most = sum(component.highest_percent for component in components if not component.banned)
    if least > 100.0:
        problems.add(
            str(path), f"the lowest shares of the components add up to {least:g} %; needed is at most 100"
        )
    if components and most < 100.0:
        problems.add(
            str(path),
            f"the highest shares of the components that are not banned add up to {most:g} %; "
            "needed is at least 100",
        )
    for component in components:
        if component.banned and component.lowest_percent > 0.0:
            problems.add(
                str(path),
                f"component {component.name} is banned, and at least {component.lowest_percent:g} % of it is "
                "asked for; needed is one of both",
            )


def _trials(
    content: Any,
    tables: list[ShareTable],
    names: tuple[str, ...],
    path: Path | HeldFile,
    source: SourceFile,
    problems: Problems,
) -> tuple[tuple[TrialBlend, ...], list[str]]:
    """Give the trials of tables and book; a block of the book may add results to a blend of a table."""
    found: dict[str, TrialBlend] = {}
    for table in tables:
        for blend in table.blends:
            if fold(blend.name) in found:
                problems.add(
                    f"{table.source.path}, {blend.place}", f"blend {blend.name!r} stands in two tables"
                )
            found[fold(blend.name)] = TrialBlend(
                blend.name, blend.percent, storage_h=blend.storage_h, storage_c=blend.storage_c
            )
    remarks = []
    for number, one in enumerate(content.trial, 1):
        place = f"{path}, trial {number} ({one.name})"
        typed = tuple(
            typed_determination(one.name, row, source, f"trial {one.name}, result {n}")
            for n, row in enumerate(one.result, 1)
        )
        before = found.get(fold(one.name))
        if (before is None) == (not one.percent):
            asked = "it has no shares; give 'percent', or a row in the table of shares"
            twice = "this blend has shares already; name each blend once"
            problems.add(place, asked if before is None else twice)
            continue
        percent, remark = named_percent(one.percent, names, place, problems)
        remarks += [f"{one.name}: {remark}"] if remark else []
        made = before or TrialBlend(one.name, percent)
        hours = made.storage_h if one.storage_h is None else one.storage_h
        celsius = made.storage_c if one.storage_c is None else one.storage_c
        found[fold(one.name)] = replace(made, determinations=typed, storage_h=hours, storage_c=celsius)
    return tuple(found.values()), remarks


def _goes_under(
    content: Any, names: list[str], path: Path | HeldFile, problems: Problems
) -> Mapping[str, str]:
    """Give component or blend by the folded name that results carry."""
    under = {fold(name): name for name in names}
    for name in names:
        if [fold(other) for other in names].count(fold(name)) > 1:
            problems.add(
                str(path), f"a component and a trial are both named {name!r}; give each its own name"
            )
    for one in (*content.component, *content.trial):
        if not one.sample:
            continue
        if under.get(fold(one.sample), one.name) != one.name:
            problems.add(str(path), f"the sample {one.sample!r} is named for {under[fold(one.sample)]} too")
        under[fold(one.sample)] = one.name
    return under


def _with_results(made: Made, results: BookResults) -> Made:
    return replace(made, determinations=(*made.determinations, *results.by_name.get(fold(made.name), ())))


def _aim(content: Any, names: tuple[str, ...], path: Path | HeldFile, problems: Problems) -> BlendAim:
    given = content.aim
    today, _ = named_percent(given.today_percent, names, f"{path}, aim.today_percent", problems)
    if given.objective == "smallest change" and not today:
        problems.add(str(path), "the objective is the smallest change, and aim.today_percent gives no recipe")
    least, most = given.reclaimed_at_least_percent, given.reclaimed_at_most_percent
    if least is not None and most is not None and least > most:
        problems.add(
            str(path), f"at least {least:g} % and at most {most:g} % of reclaimed binder are asked for"
        )
    return BlendAim(
        limits=tuple(
            _limit(one, f"{path}, limit {number}", problems) for number, one in enumerate(content.limit, 1)
        ),
        today_percent=today,
        demand=_demand(content, path, problems),
        **given.model_dump(exclude={"today_percent", "sites"}),
        **content.plant.model_dump(),
    )


def _demand(content: Any, path: Path | HeldFile, problems: Problems) -> DemandRequest | None:
    """Give the row of the table of sites that the aim names."""
    aim = content.aim
    if not aim.sites:
        return None
    place = f"{path}, aim.site"
    try:
        table = read_site_table(file_beside(path, aim.sites))
    except FileFormatError as error:
        problems.add("", str(error))
        return None
    if aim.grade:
        problems.add(place, f"the grade {aim.grade!r} and a table of sites are given; needed is one of both")
    for request in table.requests:
        if fold(request.name) == fold(aim.site) or (not aim.site and len(table.requests) == 1):
            return request
    known = [request.name for request in table.requests]
    problems.add(place, f"{table.source.path} holds no site {aim.site!r}{known_names(aim.site, known)}")
    return None


def _limit(one: Any, place: str, problems: Problems) -> BlendLimit:
    if (one.maximum is None) == (one.minimum is None):
        problems.add(f"{place} ({one.quantity})", "needed is one of 'maximum' and 'minimum'")
    value = one.maximum if one.maximum is not None else one.minimum
    condition, _ = read_condition(one.condition)
    return BlendLimit(
        response=Response(one.quantity, condition, one.temperature_c),
        bound="maximum" if one.maximum is not None else "minimum",
        value=0.0 if value is None else value,
        title=one.title or QUANTITIES[one.quantity].title,
        clause=OWN_LIMIT,
        absolute=one.absolute,
    )


def _once(sources: tuple[SourceFile, ...]) -> tuple[SourceFile, ...]:
    return tuple({source.path: source for source in sources}.values())
