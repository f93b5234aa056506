"""From results to grade statements: every class a sample satisfies, with margin, doubt and gaps."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from resile.judge.across.findings import findings_across_tests
from resile.judge.grade_claim import GradeClaim, parse_grade_claim
from resile.judge.results import reported_class, results_from_determinations
from resile.judge.sample import judge_sample, without_badly_aged
from resile.judge.summaries.impossible import mark_impossible
from resile.readers.layout import Layout
from resile.readers.summary_table import read_summary_table
from resile.records.ageing import AgeingRecord, LongTermAgeingRecord
from resile.records.determination import Determination, Result
from resile.records.finding import Finding, Severity
from resile.records.reading import ReadingAccount, SourceFile
from resile.records.verdict import GradeStatement
from resile.workflows.agreement import Yardstick, agree
from resile.workflows.continuous import result_of_difference
from resile.workflows.doubts import summary_doubts
from resile.workflows.prices import price_views_of
from resile.workflows.whole_grade import complete_statement

__all__ = ["Grading", "Yardstick", "agree", "grade_sample", "grade_table", "summary_doubts"]


@dataclass(frozen=True, slots=True)
class Grading:
    """The statements made from one table; shows itself in a notebook.

    Attributes
    ----------
    statements : tuple of GradeStatement
        One a sample, in the order of the table.
    source, account
        The table and how it was read.
    findings : tuple of Finding
        Doubts about the table as a whole, such as rows that could not be used.
    """

    statements: tuple[GradeStatement, ...]
    source: SourceFile
    account: ReadingAccount
    findings: tuple[Finding, ...] = ()

    def satisfies(self, claim: str) -> bool:
        """Tell whether every sample satisfies a class or whole grade, for example ``64V`` or ``PG 64-22``.

        Parameters
        ----------
        claim : str
            As the specification writes it; capitals, blanks and a leading ``PG`` do not matter. A whole grade
            counts only where it was judged, as it always is where it was claimed.

        Returns
        -------
        bool
            False where any sample does not.
        """
        return all(_satisfies(statement, claim) for statement in self.statements)

    def to_json(self) -> dict[str, Any]:
        """Give the statements as the fixed interface of ``resile grade --json`` names them."""
        from resile.report.machine import account_to_json, finding_to_json, statement_to_json

        return {
            "source": {"path": self.source.path, "sha256": self.source.sha256},
            "samples": [statement_to_json(statement) for statement in self.statements],
            "findings": [finding_to_json(finding) for finding in self.findings],
            "account": account_to_json(self.account),
        }

    def to_terminal(self, *, full: bool = True) -> Any:
        """Give a readable sheet for a terminal, findings first; an overview of all samples stands on top.

        Parameters
        ----------
        full : bool
            Whether the sheet of every sample follows the overview.
        """
        from rich.console import Group

        from resile.report.terminal import render_overview, render_statement

        sheets = [render_overview(self.statements, self.findings, self.account)]
        if full:
            sheets += [render_statement(statement) for statement in self.statements]
        return Group(*sheets)

    def _repr_html_(self) -> str:
        from resile.report.notebook import statements_html

        return statements_html(self.statements)


def grade_table(
    path: str | Path,
    yardstick: Yardstick | None = None,
    *,
    each: bool = False,
    layout: Layout | None = None,
    claim: str | None = None,
    both_rules: bool = False,
    allow_extrapolation: bool = False,
) -> Grading:
    """Judge a table of results.

    Parameters
    ----------
    path : str or Path
        Long table ``sample,condition,temperature_c,quantity,value,unit`` or a wide one with a row a specimen.
    yardstick : Yardstick, optional
        As made by `agree`; its defaults where not given.
    each : bool
        Judge every determination on its own, named ``sample [replicate]``.
    layout : Layout, optional
        How the file is to be understood, where that is not left to the reader.
    claim : str, optional
        Grade to be verified, ``PG 64-22`` or ``64V``; left out to classify.
    both_rules : bool
        Give continuous temperatures by the other interpolation rule as well.
    allow_extrapolation : bool
        Extend a line by up to one grade step where the tests do not bracket the limit; marked where done.

    Returns
    -------
    Grading
        One statement a sample.

    Raises
    ------
    InputError
        Where the specification has no such grade as claimed.
    """
    table = read_summary_table(Path(path), layout=layout)
    agreed = yardstick if yardstick is not None else agree()
    if claim is not None:
        parse_grade_claim(claim, agreed.specification)
    determinations = table.determinations
    doubts = summary_doubts(determinations, agreed)
    if each:
        determinations = tuple(replace(d, sample=_own_name(d)) for d in determinations)
        doubts = {
            f"{sample} [{mark}]" if mark else sample: {mark: found} for (sample, mark), found in _flat(doubts)
        }
    statements = tuple(
        grade_sample(
            sample,
            [d for d in determinations if d.sample == sample],
            agreed,
            doubts=tuple(f for found in doubts.get(sample, {}).values() for f in found),
            claim=claim,
            both_rules=both_rules,
            allow_extrapolation=allow_extrapolation,
        )
        for sample in dict.fromkeys(d.sample for d in determinations)
    )
    return Grading(statements=statements, source=table.source, account=table.account, findings=table.findings)


def grade_sample(
    sample: str,
    determinations: Iterable[Determination],
    yardstick: Yardstick,
    *,
    ageing_record: AgeingRecord | None = None,
    long_term_record: LongTermAgeingRecord | None = None,
    doubts: Sequence[Finding] = (),
    beside: Iterable[Determination] = (),
    claim: str | None = None,
    both_rules: bool = False,
    allow_extrapolation: bool = False,
) -> GradeStatement:
    """Judge one sample.

    Parameters
    ----------
    sample : str
        Name of the sample.
    determinations : iterable of Determination
        All of them, in the order they were made.
    yardstick : Yardstick
        What was agreed before the test.
    ageing_record : AgeingRecord, optional
        Short-term ageing record.
    long_term_record : LongTermAgeingRecord, optional
        Long-term ageing record.
    doubts : sequence of Finding
        Findings that concern the sample as a whole.
    beside : iterable of Determination
        Values that are compared with the others, and not judged.
    claim : str, optional
        Grade to be verified; a whole grade is then always among `full_grades`.
    both_rules, allow_extrapolation : bool
        As in `grade_table`.

    Returns
    -------
    GradeStatement
        Every class at every tested temperature, whole grades and continuous temperatures.
    """
    own = mark_impossible(determinations, yardstick.checks)
    results = results_from_determinations(
        own, yardstick.precision, yardstick.retest_rule, basis=yardstick.basis, budgets=yardstick.budgets
    )
    difference = result_of_difference(
        without_badly_aged(tuple(results), ageing_record, long_term_record),
        yardstick.specification,
        yardstick.correlation,
        yardstick.basis,
    )
    results = (*results, *((difference,) if difference is not None else ()))
    statement = judge_sample(
        sample,
        results,
        yardstick.specification,
        decision_rule=yardstick.decision_rule,
        retest_rule=yardstick.retest_rule,
        ageing_record=ageing_record,
        long_term_record=long_term_record,
        reported_class=reported_class(own, sample),
        claim=_claim(claim, yardstick),
    )
    statement = complete_statement(
        statement,
        without_badly_aged(statement.results, ageing_record, long_term_record),
        correlation=yardstick.correlation,
        both_rules=both_rules,
        allow_extrapolation=allow_extrapolation,
        long_term_record=long_term_record,
    )
    told = {doubt.code for doubt in doubts}
    # A specimen whose letter does not follow from its own numbers has said so already.
    kept = [
        finding
        for finding in statement.findings
        if not (finding.code == "reported-class-differs" and "reported-class-does-not-follow" in told)
    ]
    compared = results_from_determinations(beside, (), yardstick.retest_rule, basis="replicates")
    across = findings_across_tests((*results, *compared), yardstick.across)
    told_once = dict.fromkeys((*_of_left_out(results), *doubts, *across, *kept))
    return replace(
        statement, findings=tuple(told_once), price_views=price_views_of(statement.results, yardstick)
    )


def _claim(text: str | None, yardstick: Yardstick) -> GradeClaim | None:
    return None if text is None else parse_grade_claim(text, yardstick.specification)


def _satisfies(statement: GradeStatement, claim: str) -> bool:
    asked = parse_grade_claim(claim, statement.specification)
    if asked.low_temperature_c is None:
        return asked.label in statement.grades
    return any(grade.satisfied and grade.label == asked.label for grade in statement.full_grades)


def _of_left_out(results: Sequence[Result]) -> list[Finding]:
    """Say why determinations are invalid: a result carries only the findings of those that count."""
    return [
        finding
        for result in results
        for determination, counts in zip(result.determinations, result.counted, strict=True)
        if not counts
        for finding in determination.findings
        if finding.severity is Severity.INVALID
    ]


def _own_name(determination: Determination) -> str:
    mark = determination.replicate
    return f"{determination.sample} [{mark}]" if mark else determination.sample


def _flat(
    doubts: dict[str, dict[str, tuple[Finding, ...]]],
) -> list[tuple[tuple[str, str], tuple[Finding, ...]]]:
    return [((sample, mark), found) for sample, by in doubts.items() for mark, found in by.items()]
