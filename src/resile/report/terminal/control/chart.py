"""Control charts, rules and run lengths in the terminal: signals first, a sentence each."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from resile.records.control.chart import ChangePoint, ControlChart
from resile.records.control.promise import RunLengthPromise
from resile.records.control.run_rule import RunRuleSet
from resile.records.finding import Finding
from resile.report.control_words import (
    KIND_WORDS,
    LOOK,
    change_sentence,
    chart_answer,
    chart_facts,
    left_out,
    suggestion_lines,
)
from resile.report.figures.control.chart_points import signal_mark
from resile.report.numbers import fixed, three_figures
from resile.report.paper.models.model import RIGHT, Column
from resile.report.terminal.grids import (
    bullet_line,
    fact_lines,
    finding_lines,
    grid_of,
    heading_line,
    sheet_of,
    small_line,
    title_line,
    words_of,
)

if TYPE_CHECKING:
    from rich.console import Group


def render_control_chart(
    chart: ControlChart, changes: Sequence[ChangePoint] = (), findings: Sequence[Finding] = ()
) -> Group:
    """Give the sheet of a control chart.

    Parameters
    ----------
    chart : ControlChart
        Points, limits, signals.
    changes : sequence of ChangePoint
        Changes of level, with suggested causes.
    findings : sequence of Finding
        Doubts about the table it was made from.

    Returns
    -------
    rich.console.Group
        Signals, changes, lots left out, doubts, what it rests on.
    """
    parts: list[Any] = [title_line(chart_answer(chart))]
    parts += [_marked(str(number), signal.text) for number, signal in enumerate(chart.signals, 1)]
    beside = chart.beside.signals if chart.beside is not None else ()
    if chart.beside is not None:
        marks = [signal_mark(chart.beside, n) for n in range(1, len(beside) + 1)]
        parts += [_marked(mark, signal.text) for mark, signal in zip(marks, beside, strict=True)]
    if chart.signals or beside:
        parts.append(small_line(LOOK))
    if changes:
        parts += ["", heading_line("Changes of level")]
        parts += [bullet_line(change_sentence(change, chart.property.unit)) for change in changes]
    suggestions = suggestion_lines(changes)
    if suggestions:
        parts += ["", heading_line("What may lie behind it (suggestions)")]
        parts += [bullet_line(line) for line in suggestions]
    out = left_out(chart)
    if out:
        parts += ["", heading_line("Left out")]
        parts += [bullet_line(f"{label} ({when}): {reason}") for label, when, reason in out]
    parts += finding_lines((*findings, *chart.findings))
    parts += ["", heading_line("What it rests on"), *fact_lines(chart_facts(chart))]
    return sheet_of(parts)


def render_run_rules(sets: Sequence[RunRuleSet], promises: Sequence[RunLengthPromise]) -> Group:
    """Give the sheet of run rules, each set with how often it alarms falsely.

    Parameters
    ----------
    sets : sequence of RunRuleSet
        As found on the search path.
    promises : sequence of RunLengthPromise
        Of each set, on a chart of single values.

    Returns
    -------
    rich.console.Group
        One part a set.
    """
    parts: list[Any] = [title_line("Run rules: choose few, each more brings more false alarms.")]
    for rules, promise in zip(sets, promises, strict=True):
        parts += ["", heading_line(rules.identifier), rules.title]
        parts += [bullet_line(f"{rule.name}: {rule.sentence}") for rule in rules.rules]
        parts.append(
            f"All of it on: a false alarm every {fixed(promise.lengths[0], 0)} lots, a shift of one standard "
            f"deviation found after {three_figures(promise.lengths[promise.shifts.index(1.0)])}."
        )
        parts += [small_line(note) for note in rules.notes]
        parts.append(small_line(f"{rules.document}; {rules.evidence}."))
    return sheet_of(parts)


def render_run_length(promise: RunLengthPromise) -> Group:
    """Give the sheet of what a chart promises.

    Parameters
    ----------
    promise : RunLengthPromise
        Run lengths by shift.

    Returns
    -------
    rich.console.Group
        The promise in a sentence, a table by shift, what it rests on.
    """
    rules = f", with {', '.join(promise.run_rules)}" if promise.run_rules else ""
    words = KIND_WORDS.get(promise.chart, promise.chart)
    settings = ", ".join(f"{name.replace('_', ' ')} {value:g}" for name, value in promise.parameters.items())
    drawn = any(promise.standard_errors)
    columns = [Column("Shift, standard deviations of one value", RIGHT), Column("Lots to a signal", RIGHT)]
    rows = [
        [f"{shift:g}" if shift else "none (false alarm)", three_figures(length)]
        for shift, length in zip(promise.shifts, promise.lengths, strict=True)
    ]
    if drawn:
        columns.append(Column("Standard error", RIGHT))
        for row, error in zip(rows, promise.standard_errors, strict=True):
            row.append(three_figures(error))
    parts: list[Any] = [
        title_line(f"A false alarm every {fixed(promise.lengths[0], 0)} lots on average: {words}{rules}."),
        "",
        grid_of(columns, [list(row) for row in rows]),
        "",
        small_line(f"{settings + '; ' if settings else ''}{promise.basis}."),
    ]
    return sheet_of(parts)


def _marked(mark: str, words: str) -> Any:
    from rich.padding import Padding
    from rich.table import Table as Grid

    grid = Grid.grid(padding=(0, 1))
    grid.add_row(words_of(f"{mark}."), words_of(words))
    return Padding(grid, (0, 0, 0, 1))
