"""Results that show themselves in a notebook."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from resile.records.creep_recovery import CreepRecoveryRun
from resile.records.run_group import RunGroup
from resile.records.verdict import GradeStatement
from resile.report.document import ReportDocument
from resile.report.figures import figure_cycle, figure_margin
from resile.report.markup import TEMPLATES, environment, picture_html
from resile.report.paper.models.model import FindingEntry, Picture, Table, finding_entry
from resile.report.paper.runs.runs import magnified_cycle
from resile.report.paper.statements.answer import answer_of_statement, findings_of_statement, run_sentence
from resile.report.paper.statements.results import results_table, run_results_table
from resile.report.paper.statements.verdicts import verdict_table
from resile.report.words import heaviest_first


@dataclass(frozen=True, slots=True)
class _Sheet:
    answer: str
    more: tuple[str, ...]
    findings: tuple[FindingEntry, ...]
    tables: tuple[Table, ...]
    drawings: tuple[str, ...]


def runs_html(runs: Sequence[CreepRecoveryRun], groups: Sequence[RunGroup] = ()) -> str:
    """Show runs: sentence, findings, means, one cycle magnified; other tests with tables and pictures.

    Parameters
    ----------
    runs : sequence of CreepRecoveryRun
        Reduced runs.
    groups : sequence of RunGroup
        Runs of oscillation, bending beam and rotational viscosity.

    Returns
    -------
    str
        A fragment of HTML that needs no script and no network.
    """
    sheets = [_run_sheet(run, place) for place, run in enumerate(runs, start=1)]
    return _set([*sheets, *_group_sheets(groups)])


def statements_html(statements: Sequence[GradeStatement]) -> str:
    """Show grade statements: answer, findings, results, verdicts, margins.

    Parameters
    ----------
    statements : sequence of GradeStatement
        One a sample.

    Returns
    -------
    str
        A fragment of HTML that needs no script and no network.
    """
    return _set([_statement_sheet(one, place) for place, one in enumerate(statements, start=1)])


def _run_sheet(run: CreepRecoveryRun, place: int) -> _Sheet:
    chosen = magnified_cycle(run)
    drawings: tuple[str, ...] = ()
    if chosen is not None:
        drawings = (picture_html(Picture(f"notebook-cycle-{place}", figure_cycle(run, *chosen), "")),)
    return _Sheet(
        answer=run_sentence(run),
        more=(),
        findings=tuple(finding_entry(finding) for finding in heaviest_first(run.findings)),
        tables=(run_results_table(run),),
        drawings=drawings,
    )


def _group_sheets(groups: Sequence[RunGroup]) -> list[_Sheet]:
    from resile.report.paper.runs.machine_runs import machine_sections

    document = ReportDocument(
        number="notebook", date="", sample="", runs=(), machine_groups=tuple(groups), package_version=""
    )
    sheets = []
    for group, section in zip(groups, machine_sections(document), strict=True):
        findings = [finding for run in group.runs for finding in run.findings] + list(group.findings)
        sheets.append(
            _Sheet(
                answer=section.title,
                more=section.paragraphs,
                findings=tuple(finding_entry(finding) for finding in heaviest_first(tuple(findings))),
                tables=section.tables,
                drawings=tuple(picture_html(picture) for picture in section.pictures),
            )
        )
    return sheets


def _statement_sheet(statement: GradeStatement, place: int) -> _Sheet:
    answer, more = answer_of_statement(statement)
    margin = Picture(f"notebook-margin-{place}", figure_margin(statement), "")
    return _Sheet(
        answer=answer,
        more=more,
        findings=tuple(finding_entry(finding) for finding in findings_of_statement(statement)),
        tables=(results_table(statement.results), verdict_table(statement)),
        drawings=(picture_html(margin),),
    )


def _set(sheets: list[_Sheet]) -> str:
    style = (TEMPLATES / "notebook.css").read_text(encoding="utf-8")
    text: str = environment().get_template("notebook.html.j2").render(sheets=sheets, style=style)
    return text
