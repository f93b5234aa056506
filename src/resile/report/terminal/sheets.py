"""The sheets of a run, a grade statement and an ageing record."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from resile.records.ageing import AgeingRecord, LongTermAgeingRecord
from resile.records.creep_recovery import CreepRecoveryRun
from resile.records.verdict import GradeStatement, Outcome
from resile.report.numbers import fixed, shown, shown_temperature
from resile.report.paper.assemble import decision_sentences
from resile.report.paper.models.model import Column
from resile.report.paper.runs.runs import cycle_table
from resile.report.paper.statements.ageing import ageing_facts, bottle_table, pan_table
from resile.report.paper.statements.answer import answer_of_statement, findings_of_statement, run_sentence
from resile.report.paper.statements.provenance import untold_notice
from resile.report.paper.statements.results import (
    comparison_facts,
    determinations_table,
    value_with_uncertainty,
)
from resile.report.paper.statements.verdicts import class_table, judged_lines, reason_lines
from resile.report.terminal.derived import derived_lines
from resile.report.terminal.grids import (
    bullet_line,
    fact_lines,
    finding_lines,
    grid_of,
    heading_line,
    page_table,
    sheet_of,
    small_line,
    title_line,
    words_of,
)
from resile.report.terminal.price import price_lines
from resile.report.terminal.whole_grade import whole_grade_lines
from resile.report.words import CONDITION_WORDS, coverage_words, external_mark, external_note, symbol_of

if TYPE_CHECKING:
    from rich.console import Group

_SHORTER = {
    "Stress (kPa)": "kPa",
    "End of creep (%)": "Creep (%)",
    "End of recovery (%)": "End (%)",
    "Recovery (%)": "R (%)",
}
OUTCOME_STYLES = {
    Outcome.PASS: "green",
    Outcome.CONDITIONAL_PASS: "yellow",
    Outcome.CONDITIONAL_FAIL: "yellow",
    Outcome.FAIL: "red",
}


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
    parts: list[Any] = [title_line(run_sentence(run))]
    if run.source is not None:
        parts.append(small_line(f"{run.source.path}  SHA-256 {run.source.sha256[:16]}…"))
    parts += finding_lines(run.findings)
    parts += ["", heading_line("Results"), _levels(run), *fact_lines(comparison_facts(run))]
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
        parts += ["", heading_line("Cycles"), page_table(table, shorter=_SHORTER)]
    return sheet_of(parts)


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
    parts: list[Any] = [title_line(answer), *more]
    parts += finding_lines(findings_of_statement(statement))
    parts += whole_grade_lines(statement)
    parts += ["", heading_line("Results"), _results(statement)]
    note = external_note(statement.results)
    parts += [small_line(note)] if note else []
    parts += derived_lines(statement)
    table = determinations_table(statement.results)
    if determinations and table is not None:
        parts += ["", heading_line("Determinations"), page_table(table)]
    parts += ["", heading_line("Classes"), page_table(class_table(statement), skip=("Traffic",))]
    parts += ["", heading_line("Requirements"), _requirements(statement)]
    parts += [bullet_line(words) for words in reason_lines(statement)]
    parts += ["", *decision_sentences(statement), _limits_line(statement)]
    parts += price_lines(statement.price_views)
    if statement.next_tests:
        parts += ["", heading_line("Next tests"), *(bullet_line(test) for test in statement.next_tests)]
    return sheet_of(parts)


def _limits_line(statement: GradeStatement) -> str:
    specification = statement.specification
    state = f", checked {specification.checked}" if specification.checked else ""
    untold = ", an unchecked transcription" if untold_notice(statement) else ""
    return f"Limits: {specification.identifier}{state}{untold}, SHA-256 {specification.sha256[:16]}…"


def render_ageing(record: AgeingRecord | LongTermAgeingRecord) -> Group:
    """Give the sheet of one ageing record, findings first."""
    facts = ["", heading_line("Record"), *fact_lines(ageing_facts(record))]
    of = f" of {record.sample}" if record.sample else ""
    if isinstance(record, AgeingRecord):
        mass = record.mass_change_percent
        change = "mass change not stated" if mass is None else f"mass change {fixed(mass, 3, signed=True)} %"
        title = f"Short-term ageing{of}: {change}."
        table = bottle_table(record) if record.bottles else None
        caution = "Glass at 163 °C may crack, hot binder burns: gloves, face shield, long sleeves."
    else:
        title = f"Long-term ageing{of}: {_vessel_words(record)}."
        table = pan_table(record) if record.pans else None
        caution = (
            "Pans at 163 °C burn. The vessel is under pressure until released. Fume and hydrogen sulphide "
            "come off when it is opened and in degassing: fume hood, gloves, face shield, long sleeves."
        )
    parts: list[Any] = [title_line(title), *finding_lines(record.findings), *facts]
    if table is not None:
        parts += ["", heading_line(table.caption.partition(".")[0]), page_table(table)]
    return sheet_of([*parts, small_line(caution)])


def _vessel_words(record: LongTermAgeingRecord) -> str:
    numbers = (
        (record.duration_h, "g", "h"),
        (record.temperature_c, "g", "°C"),
        (record.pressure_mpa, ".2f", "MPa"),
    )
    known = [f"{value:{form}} {unit}" for value, form, unit in numbers if value is not None]
    return ", ".join(known) or "conditions not stated"


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
    return grid_of(columns, rows)


def _results(statement: GradeStatement) -> Any:
    words = coverage_words(statement.results)
    columns = [
        Column("Property"),
        Column("Residue"),
        Column("Temperature", "right"),
        Column(f"Value ± U ({words})" if words == "k = 2" else "Value ± U", "right"),
        Column("Unit"),
        Column("Counted"),
    ]
    rows: list[list[Any]] = []
    for result in statement.results:
        counts = result.counted or (True,) * len(result.determinations)
        rows.append(
            [
                f"{symbol_of(result.quantity)}{external_mark(result)}",
                CONDITION_WORDS[result.condition],
                shown_temperature(result.temperature_c),
                value_with_uncertainty(result),
                result.unit,
                f"{sum(counts)} of {len(counts)}" if counts else "–",
            ]
        )
    return grid_of(columns, rows)


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
            words_of(line.outcome, OUTCOME_STYLES.get(line.verdict.outcome, "")),
        ]
        for line in judged_lines(statement)
        if line.verdict.outcome is not Outcome.NOT_TESTED
    ]
    return grid_of(columns, rows)
