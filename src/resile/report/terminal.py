"""Readable sheets for a terminal: findings first, then results, verdicts, what is open.

The `render_…` functions give something `rich` prints; `plain_text` gives the same as text for a pipe.
"""

from __future__ import annotations

import io
from typing import TYPE_CHECKING, Any

from resile.records.ageing import AgeingRecord
from resile.records.creep_recovery import CreepRecoveryRun
from resile.records.finding import Finding, Severity
from resile.records.verdict import GradeStatement, Outcome
from resile.report.numbers import fixed, shown, shown_temperature
from resile.report.paper.answer import answer_of_statement, findings_of_statement, run_sentence
from resile.report.paper.assemble import decision_sentences
from resile.report.paper.model import Column, Table, finding_entry
from resile.report.paper.provenance import ageing_facts, bottle_table, unchecked_notice
from resile.report.paper.results import comparison_facts, determinations_table, value_with_uncertainty
from resile.report.paper.runs import cycle_table
from resile.report.paper.verdicts import class_table, judged_lines
from resile.report.words import CONDITION_WORDS, SEVERITY_MARKS, heaviest_first, symbol_of

if TYPE_CHECKING:
    from rich.console import Group, RenderableType

PLAIN_WIDTH = 80
_SEVERITY_STYLES = {Severity.INVALID: "bold red", Severity.CAUTION: "bold yellow", Severity.NOTE: "bold"}
_OUTCOME_STYLES = {
    Outcome.PASS: "green",
    Outcome.CONDITIONAL_PASS: "yellow",
    Outcome.CONDITIONAL_FAIL: "yellow",
    Outcome.FAIL: "red",
}


def plain_text(sheet: RenderableType, *, width: int = PLAIN_WIDTH) -> str:
    """Give a sheet as plain text without colour.

    Parameters
    ----------
    sheet : renderable
        From one of the `render_…` functions.
    width : int
        Columns.

    Returns
    -------
    str
        Lines without trailing blanks, ending with a newline.
    """
    from rich.console import Console

    file = io.StringIO()
    Console(file=file, width=width, color_system=None, force_terminal=False, legacy_windows=False).print(
        sheet
    )
    return "\n".join(line.rstrip() for line in file.getvalue().splitlines()).rstrip() + "\n"


def render_run(run: CreepRecoveryRun, *, cycles: bool = False) -> Group:
    """Give the sheet of one run.

    Parameters
    ----------
    run : CreepRecoveryRun
        A reduced run.
    cycles : bool
        Add the table of every cycle.

    Returns
    -------
    rich.console.Group
        Findings, results and, on request, cycles.
    """
    parts: list[Any] = [_title(run_sentence(run))]
    if run.source is not None:
        parts.append(_small(f"{run.source.path}  SHA-256 {run.source.sha256[:16]}…"))
    parts += _findings(run.findings)
    parts += ["", _heading("Results"), _levels(run), *_facts(comparison_facts(run))]
    conditioning = len(run.conditioning)
    words = (
        f"{conditioning} conditioning cycles were run first."
        if conditioning
        else "No conditioning cycles found."
    )
    if any(level.cycles for level in run.levels):
        parts.append(words)
    table = cycle_table(run) if cycles else None
    if table is not None:
        parts += ["", _heading("Cycles"), _grid(table)]
    return _sheet(parts)


def render_statement(statement: GradeStatement, *, determinations: bool = False) -> Group:
    """Give the sheet of one sample's verdicts.

    Parameters
    ----------
    statement : GradeStatement
        Verdicts of one sample.
    determinations : bool
        Add the table of all determinations.

    Returns
    -------
    rich.console.Group
        Answer, findings, results, classes, requirements, what is open.
    """
    answer, more = answer_of_statement(statement)
    parts: list[Any] = [_title(answer), *more]
    notice = unchecked_notice(statement.specification)
    parts += _findings(findings_of_statement(statement), (notice,) if notice else ())
    parts += ["", _heading("Results"), _results(statement)]
    table = determinations_table(statement.results)
    if determinations and table is not None:
        parts += ["", _heading("Determinations"), _grid(table)]
    parts += ["", _heading("Classes"), _grid(class_table(statement), skip=("Traffic",))]
    parts += ["", _heading("Requirements"), _requirements(statement)]
    parts += [_bullet(words) for words in dict.fromkeys(_remarks(statement))]
    parts += ["", *decision_sentences(statement)]
    if statement.next_tests:
        parts += ["", _heading("Next tests"), *(_bullet(test) for test in statement.next_tests)]
    return _sheet(parts)


def render_ageing(record: AgeingRecord) -> Group:
    """Give the sheet of one short-term ageing record, findings first."""
    mass = record.mass_change_percent
    change = "mass change not stated" if mass is None else f"mass change {fixed(mass, 3, signed=True)} %"
    parts: list[Any] = [
        _title(f"Short-term ageing of {record.sample}: {change}."),
        *_findings(record.findings),
    ]
    parts += ["", _heading("Record"), *_facts(ageing_facts(record))]
    if record.bottles:
        parts += ["", _heading("Bottles"), _grid(bottle_table(record))]
    parts.append(_small("Glass at 163 °C may crack and hot binder burns: gloves, face shield, long sleeves."))
    return _sheet(parts)


def _sheet(parts: list[Any]) -> Group:
    from rich.console import Group

    return Group(*parts)


def _text(words: str, style: str = "") -> Any:
    from rich.text import Text

    return Text(words, style=style)


def _title(words: str) -> Any:
    return _text(words, "bold")


def _heading(words: str) -> Any:
    return _text(words.upper(), "bold")


def _small(words: str) -> Any:
    return _text(words, "dim")


def _bullet(words: str) -> Any:
    from rich.padding import Padding
    from rich.table import Table as Grid

    grid = Grid.grid(padding=(0, 1))
    grid.add_row(_text("–"), _text(words))
    return Padding(grid, (0, 0, 0, 1))


def _findings(findings: tuple[Finding, ...], notices: tuple[str, ...] = ()) -> list[Any]:
    """Severity word and mark, the sentence, what to do; always there, even when there are none."""
    from rich.table import Table as Grid

    grid = Grid.grid(padding=(0, 2, 0, 0))
    grid.add_column(no_wrap=True)
    grid.add_column(ratio=1)
    for notice in notices:
        grid.add_row(_text("▲ caution", _SEVERITY_STYLES[Severity.CAUTION]), _text(notice))
    for finding in heaviest_first(findings):
        entry = finding_entry(finding)
        words = _text(entry.message)
        for more in (entry.advice, entry.details):
            if more:
                words.append(f"\n{more}", "dim" if more is entry.details else "")
        mark = f"{SEVERITY_MARKS[finding.severity]} {finding.severity}"
        grid.add_row(_text(mark, _SEVERITY_STYLES[finding.severity]), words)
    if not findings and not notices:
        return ["", _heading("Findings"), "none: no check raised a doubt"]
    return ["", _heading("Findings"), grid]


def _facts(pairs: tuple[tuple[str, str], ...]) -> list[Any]:
    from rich.table import Table as Grid

    grid = Grid.grid(padding=(0, 2, 0, 0))
    for label, value in pairs:
        grid.add_row(_text(label), _text(value))
    return [grid]


def _grid(table: Table, *, skip: tuple[str, ...] = ()) -> Any:
    """Set a table of the page for the terminal; columns named in `skip` are left out."""
    kept = [place for place, column in enumerate(table.columns) if column.title not in skip]
    columns = [table.columns[place] for place in kept]
    rows = [[row[place] for place in kept] for row in table.rows]
    return _lines(columns, rows, strong=table.strong)


def _lines(columns: list[Column], rows: list[list[Any]], *, strong: tuple[int, ...] = ()) -> Any:
    from rich.box import SIMPLE_HEAD
    from rich.table import Table as Grid

    grid = Grid(box=SIMPLE_HEAD, pad_edge=False, padding=(0, 1, 0, 0), show_edge=False)
    for column in columns:
        grid.add_column(column.title, justify="right" if column.align == "right" else "left", overflow="fold")
    for place, row in enumerate(rows):
        cells = [cell if not isinstance(cell, str) else _text(cell) for cell in row]
        grid.add_row(*cells, style="bold" if place in strong else None)
    return grid


def _levels(run: CreepRecoveryRun) -> Any:
    columns = [
        Column("Stress (kPa)", "right"),
        Column("Recovery (%)", "right"),
        Column("s", "right"),
        Column("Jnr (1/kPa)", "right"),
        Column("s", "right"),
        Column("Trend of Jnr (%)", "right"),
        Column("Cycles", "right"),
    ]
    rows: list[list[Any]] = [
        [
            f"{level.stress_kpa:g}",
            shown(level.percent_recovery, "percent_recovery_3.2"),
            fixed(level.percent_recovery_sd, 2),
            shown(level.jnr, "jnr_3.2"),
            fixed(level.jnr_sd, 4),
            fixed(level.jnr_trend_percent, 1, signed=True),
            str(len(level.cycles)) if level.cycles else "summary",
        ]
        for level in run.levels
    ]
    return _lines(columns, rows)


def _results(statement: GradeStatement) -> Any:
    columns = [
        Column("Property"),
        Column("Residue"),
        Column("Temperature", "right"),
        Column("Value ± U (k = 2)", "right"),
        Column("Unit"),
        Column("Counted"),
    ]
    rows: list[list[Any]] = []
    for result in statement.results:
        counts = result.counted or (True,) * len(result.determinations)
        rows.append(
            [
                symbol_of(result.quantity),
                CONDITION_WORDS[result.condition],
                shown_temperature(result.temperature_c),
                value_with_uncertainty(result),
                result.unit,
                f"{sum(counts)} of {len(counts)}" if counts else "–",
            ]
        )
    return _lines(columns, rows)


def _remarks(statement: GradeStatement) -> list[str]:
    """What was not tested, and the reasons that verdicts carry."""
    remarks = []
    for line in judged_lines(statement):
        reason = f": {line.reason}" if line.reason else ""
        asked = f"{symbol_of(line.verdict.requirement.quantity)} {line.limit}"
        if line.verdict.outcome is Outcome.NOT_TESTED:
            residue = CONDITION_WORDS[line.verdict.requirement.condition]
            remarks.append(f"not tested: {asked} ({residue}){reason}")
        elif reason:
            remarks.append(f"{line.classes}, {asked}{reason}")
    return remarks


def _requirements(statement: GradeStatement) -> Any:
    columns = [
        Column("Class"),
        Column("Asked"),
        Column("Value ± U", "right"),
        Column("Margin", "right"),
        Column("in d2s", "right"),
        Column("Conforms", "right"),
        Column("Outcome"),
    ]
    rows: list[list[Any]] = [
        [
            line.classes,
            f"{symbol_of(line.verdict.requirement.quantity)} {line.limit}",
            line.value,
            line.margin,
            line.repeatabilities,
            line.probability,
            _text(line.outcome, _OUTCOME_STYLES.get(line.verdict.outcome, "")),
        ]
        for line in judged_lines(statement)
        if line.verdict.outcome is not Outcome.NOT_TESTED
    ]
    return _lines(columns, rows)
