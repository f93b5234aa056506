"""The sheets of specifications: which there are, and what one of them asks."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from resile.records.specification import Requirement, Specification
from resile.report.numbers import shown_limit, shown_step
from resile.report.paper.models.model import Column
from resile.report.paper.statements.provenance import specification_facts, unchecked_notice
from resile.report.terminal.grids import bullet_line, fact_lines, grid_of, heading_line, sheet_of, title_line
from resile.report.words import CONDITION_WORDS, symbol_of

if TYPE_CHECKING:
    from rich.console import Group

RuleEntry = tuple[str, str, str, str, str, str]


def render_rules(entries: Sequence[RuleEntry]) -> Group:
    """Give the list of specifications.

    Parameters
    ----------
    entries : sequence of (kind, identifier, title, edition, checked, problem)
        An entry with a problem could not be loaded; the problem is shown in place of its title.

    Returns
    -------
    rich.console.Group
        One line a specification; price rules in a table of their own.
    """
    columns = [Column("Name"), Column("Edition"), Column("Checked"), Column("Title")]
    by_kind: dict[str, list[list[Any]]] = {}
    for kind, identifier, title, edition, checked, problem in entries:
        row = [identifier, edition or "–", checked or "no", f"■ {problem}" if problem else title]
        by_kind.setdefault(kind, []).append(row)
    if not by_kind:
        return sheet_of([title_line("No specification was found on the search path.")])
    parts: list[Any] = []
    for kind, rows in by_kind.items():
        parts += [*([""] if parts else []), title_line(f"{kind.capitalize()}s"), grid_of(columns, rows)]
    return sheet_of(parts)


def render_specification(specification: Specification) -> Group:
    """Give one specification: identity, classes, every requirement with clause and evidence.

    Parameters
    ----------
    specification : Specification
        As loaded.

    Returns
    -------
    rich.console.Group
        The unchecked notice first, where one is due.
    """
    notice = unchecked_notice(specification)
    parts: list[Any] = [title_line(f"{specification.identifier}: {specification.title}")]
    parts += [f"▲ caution  {notice}"] if notice else []
    facts = specification_facts(specification)[1:]
    steps = ", ".join(shown_step(temperature) for temperature in specification.high_temperatures_c)
    classes = tuple((f"Class {one.name}".strip(), one.title) for one in specification.classes)
    parts += ["", *fact_lines((*facts, ("High temperatures", f"{steps} °C"), *classes))]
    columns = [Column("Asked"), Column("Residue"), Column("At"), Column("Where"), Column("Evidence")]
    rows: list[list[Any]] = [
        [
            f"{symbol_of(one.quantity)} {limits_in_words(one)}",
            CONDITION_WORDS[one.condition],
            _place(one),
            one.clause,
            one.evidence or "–",
        ]
        for one in specification.requirements
    ]
    parts += ["", heading_line("Requirements"), grid_of(columns, rows)]
    notes = [*(f"{symbol_of(one.quantity)}: {one.note}" for one in specification.requirements if one.note)]
    notes += specification.notes
    if notes:
        parts += ["", heading_line("Notes"), *(bullet_line(note) for note in notes)]
    return sheet_of(parts)


def limits_in_words(requirement: Requirement) -> str:
    """Give the limits of a requirement: one for all classes, or one a class."""
    sign = "≤" if requirement.bound == "maximum" else "≥"
    unit = f" {requirement.unit}" if requirement.unit else ""
    limits = requirement.limits
    if set(limits) == {"*"}:
        return f"{sign} {shown_limit(limits['*'])}{unit}"
    listed = ", ".join(f"{name} {shown_limit(limit)}" for name, limit in limits.items())
    return f"{sign} {listed}{unit}"


def _place(requirement: Requirement) -> str:
    if requirement.temperature == "high":
        return "high temperature"
    if requirement.temperature == "low + 10":
        return "low temperature + 10 °C"
    if requirement.temperature == "intermediate":
        return "(high + low)/2 + 4 °C"
    if isinstance(requirement.temperature, float | int):
        return f"{shown_step(requirement.temperature)} °C"
    return "–"
