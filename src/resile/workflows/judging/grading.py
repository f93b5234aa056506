"""From results to grade statements: every class a sample satisfies, with margin, doubt and gaps."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from resile.judge.across.findings import findings_across_tests
from resile.judge.grades.grade_claim import GradeClaim, parse_grade_claim
from resile.judge.grades.sample import judge_sample, without_badly_aged
from resile.judge.results.results import reported_class, results_from_determinations
from resile.judge.summaries.impossible import mark_impossible
from resile.readers.layout import Layout
from resile.readers.summary_table import read_summary_table
from resile.records.ageing import AgeingRecord, LongTermAgeingRecord
from resile.records.determination import Determination, Result
from resile.records.finding import Finding, Severity
from resile.records.reading import ReadingAccount, SourceFile
from resile.records.verdict import GradeStatement
from resile.workflows.judging.agreement import Yardstick, agree
from resile.workflows.judging.delta_tc import result_of_difference
from resile.workflows.judging.doubts import summary_doubts
from resile.workflows.judging.prices import price_views_of
from resile.workflows.judging.table_ageing import SampleAgeing, ageing_of_table, join_mass_change
from resile.workflows.judging.whole_grade import complete_statement

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
    ageing : tuple of SampleAgeing
        Ageing records that were given, or stand in a results form.
    """

    statements: tuple[GradeStatement, ...]
    source: SourceFile
    account: ReadingAccount
    findings: tuple[Finding, ...] = ()
    ageing: tuple[SampleAgeing, ...] = ()

    @property
    def ageing_records(self) -> tuple[AgeingRecord | LongTermAgeingRecord, ...]:
        """All ageing records, short-term before long-term."""
        both = (record for one in self.ageing for record in (one.short_term, one.long_term))
        return tuple(record for record in both if record is not None)

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
        from resile.report.machine.ageing import ageing_to_json
        from resile.report.machine.records import account_to_json, finding_to_json, statement_to_json

        return {
            "source": {"path": self.source.path, "sha256": self.source.sha256},
            "samples": [statement_to_json(statement) for statement in self.statements],
            "findings": [finding_to_json(finding) for finding in self.findings],
            "account": account_to_json(self.account),
            "ageing": [ageing_to_json(record) for record in self.ageing_records],
        }

    def to_terminal(self, *, full: bool = True) -> Any:
        """Give a readable sheet for a terminal, findings first; an overview of all samples stands on top.

        Parameters
        ----------
        full : bool
            Whether the sheet of every sample follows the overview.
        """
        from rich.console import Group

        from resile.report.terminal import render_ageing, render_overview, render_statement

        sheets = [render_overview(self.statements, self.findings, self.account, sheet_follows=full)]
        if full:
            sheets += [render_statement(statement) for statement in self.statements]
            sheets += [render_ageing(record) for record in self.ageing_records]
        return Group(*sheets)

    def _repr_html_(self) -> str:
        from resile.report.notebook import statements_html

        return statements_html(self.statements)


def grade_table(
    path: str | Path,
    yardstick: Yardstick | None = None,
    *,
    ageing: Sequence[str | Path] = (),
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
    ageing : sequence of str or Path
        Ageing records of the samples, short-term or long-term, each naming its sample where the table holds
        several. Those in a results form are used as well.
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
        Where the specification has no such grade as claimed, or an ageing record fits no sample.
    """
    table = read_summary_table(Path(path), layout=layout)
    agreed = yardstick if yardstick is not None else agree()
    if claim is not None:
        parse_grade_claim(claim, agreed.specification)
    doubts = summary_doubts(table.determinations, agreed)
    records = ageing_of_table(Path(path), [Path(file) for file in ageing], table.samples)
    statements = []
    for name, base, own in _split(table.determinations, each):
        record = records.get(base, SampleAgeing())
        own, weighed = join_mass_change(own, record.short_term, name, agreed.across)
        told = [
            finding
            for mark, found in doubts.get(base, {}).items()
            if not each or name == _marked(base, mark)
            for finding in found
        ]
        statements.append(
            grade_sample(
                name,
                own,
                agreed,
                ageing_record=record.short_term,
                long_term_record=record.long_term,
                doubts=(*weighed, *told),
                claim=claim,
                both_rules=both_rules,
                allow_extrapolation=allow_extrapolation,
            )
        )
    return Grading(tuple(statements), table.source, table.account, table.findings, tuple(records.values()))


def _split(determinations: Sequence[Determination], each: bool) -> list[tuple[str, str, list[Determination]]]:
    """Give what is judged together: its name, the sample it is of, its determinations."""
    groups: dict[tuple[str, str], list[Determination]] = {}
    for one in determinations:
        name = _marked(one.sample, one.replicate) if each else one.sample
        groups.setdefault((name, one.sample), []).append(replace(one, sample=name))
    return [(name, base, own) for (name, base), own in groups.items()]


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
    judged = judge_determinations(
        sample,
        determinations,
        yardstick,
        ageing_record=ageing_record,
        long_term_record=long_term_record,
        claim=claim,
    )
    results = judged.results
    statement = complete_statement(
        judged,
        without_badly_aged(judged.results, ageing_record, long_term_record),
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


def judge_determinations(
    sample: str,
    determinations: Iterable[Determination],
    yardstick: Yardstick,
    *,
    ageing_record: AgeingRecord | None = None,
    long_term_record: LongTermAgeingRecord | None = None,
    claim: str | None = None,
) -> GradeStatement:
    """Judge one sample without what is computed beside the verdicts: no continuous temperatures, no prices.

    Parameters
    ----------
    sample, determinations, yardstick, ageing_record, long_term_record, claim
        As in `grade_sample`.

    Returns
    -------
    GradeStatement
        With the same verdicts.
    """
    own = mark_impossible(determinations, yardstick.checks)
    results = results_from_determinations(
        own,
        yardstick.precision,
        yardstick.retest_rule,
        basis=yardstick.basis,
        budgets=yardstick.budgets,
        own=yardstick.own,
        tested=yardstick.tested,
    )
    difference = result_of_difference(
        without_badly_aged(tuple(results), ageing_record, long_term_record),
        yardstick.specification,
        yardstick.correlation,
        yardstick.basis,
    )
    return judge_sample(
        sample,
        (*results, *((difference,) if difference is not None else ())),
        yardstick.specification,
        decision_rule=yardstick.decision_rule,
        retest_rule=yardstick.retest_rule,
        ageing_record=ageing_record,
        long_term_record=long_term_record,
        reported_class=reported_class(own, sample),
        claim=_claim(claim, yardstick),
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


def _marked(sample: str, replicate: str) -> str:
    return f"{sample} [{replicate}]" if replicate else sample
