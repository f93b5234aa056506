"""A choice of binders in the terminal."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from resile.records.choice import Choice
from resile.report.choice_words import ALWAYS_TEST, answer_sentences, percent
from resile.report.paper.choosing.choice_tables import (
    binders_table,
    labels_table,
    next_tests_table,
    plans_table,
    sites_table,
    suppositions_table,
)
from resile.report.terminal.grids import (
    finding_lines,
    heading_line,
    page_table,
    sheet_of,
    small_line,
    title_line,
)

if TYPE_CHECKING:
    from rich.console import Group


def render_choice(choice: Choice, *, full: bool = False) -> Group:
    """Give the choice for a terminal.

    Parameters
    ----------
    choice : Choice
        The choice.
    full : bool
        Also every binder for every grade, and every label.

    Returns
    -------
    rich.console.Group
        The answer first, then findings and tables.
    """
    first, *others = answer_sentences(choice)
    parts: list[Any] = [title_line(first), *others, *finding_lines(choice.findings)]
    parts += ["", heading_line("Sites"), page_table(sites_table(choice))]
    if full:
        for grade in choice.grades:
            parts += [
                "",
                heading_line(f"Binders for {grade.grade}"),
                page_table(binders_table(choice, grade)),
            ]
        parts += ["", heading_line("Labels of each binder"), page_table(labels_table(choice))]
    if choice.next_tests:
        parts += ["", heading_line("Next test"), page_table(next_tests_table(choice))]
    if choice.plans:
        parts += ["", heading_line("How few products"), page_table(plans_table(choice))]
    if full and choice.suppositions:
        parts += ["", heading_line("What if"), page_table(suppositions_table(choice))]
    if choice.never_needed:
        parts += ["", f"Nowhere the cheapest: {', '.join(choice.never_needed)}."]
    if choice.idle_grades:
        parts += [f"Labels no site needs: {', '.join(choice.idle_grades)}."]
    counted = "with their uncertainty" if choice.measured_with_uncertainty else "as they were judged"
    parts += [
        "",
        small_line(
            f"Specification {choice.specification}; {percent(choice.required_probability)} sure asked for; "
            f"measured results count {counted}. {ALWAYS_TEST}"
        ),
    ]
    return sheet_of([*parts, ""])
