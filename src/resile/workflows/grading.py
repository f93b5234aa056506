"""From results to grade statements: every class a sample satisfies, with margin, doubt and gaps."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from resile.compute.statistics.budget import jnr_budget
from resile.judge.results import reported_class, results_from_determinations
from resile.judge.sample import judge_sample
from resile.judge.summaries.consistency import findings_for_summary
from resile.judge.summaries.impossible import mark_impossible
from resile.readers.layout import Layout
from resile.readers.summary_table import read_summary_table
from resile.records.ageing import AgeingRecord
from resile.records.check import SummaryCheck
from resile.records.determination import Condition, Determination, Result
from resile.records.finding import Finding, Severity
from resile.records.reading import ReadingAccount, SourceFile
from resile.records.specification import (
    DecisionRule,
    PrecisionStatement,
    RetestRule,
    Specification,
)
from resile.records.uncertainty import UncertaintyBudget
from resile.records.verdict import GradeStatement
from resile.specifications.budgets import load_budget
from resile.specifications.load import (
    load_all_precision,
    load_decision_rule,
    load_retest_rule,
    load_specification,
    load_summary_checks,
)

BUDGET_QUANTITIES = ("jnr_0.1", "jnr_3.2")


@dataclass(frozen=True, slots=True)
class Yardstick:
    """What was agreed before the test: specification, rules, and what the uncertainty rests on.

    Attributes
    ----------
    specification, decision_rule, retest_rule
        Loaded and checked.
    basis : str
        Basis of the uncertainty.
    precision : tuple of PrecisionStatement
        Published precision.
    checks : tuple of SummaryCheck
        Rules by which a summary is checked against itself.
    budget : UncertaintyBudget or None
        For the basis ``"budget"``.
    """

    specification: Specification
    decision_rule: DecisionRule
    retest_rule: RetestRule
    basis: str
    precision: tuple[PrecisionStatement, ...]
    checks: tuple[SummaryCheck, ...]
    budget: UncertaintyBudget | None = None


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
        """Tell whether every sample satisfies the class of that label, for example ``64V``."""
        return all(claim in statement.grades for statement in self.statements)

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


def agree(
    specification: str | Path = "m332-2014",
    *,
    decision_rule: str = "simple",
    uncertainty_basis: str = "reproducibility",
    retest_rule: str = "mean-of-all",
    budget: str | Path = "creep_recovery",
) -> Yardstick:
    """Load what the verdict will rest on, before anything is judged.

    Parameters
    ----------
    specification : str or Path
        Name of a specification, or a file of one's own.
    decision_rule, retest_rule : str
        Names of the rules.
    uncertainty_basis : str
        ``"reproducibility"``, ``"repeatability"``, ``"replicates"`` or ``"budget"``.
    budget : str or Path
        Name or file of the uncertainty budget; used for the basis ``"budget"`` only.

    Returns
    -------
    Yardstick
        All of it, checked.
    """
    return Yardstick(
        specification=load_specification(specification),
        decision_rule=load_decision_rule(decision_rule, basis=uncertainty_basis),
        retest_rule=load_retest_rule(retest_rule),
        basis=uncertainty_basis,
        precision=load_all_precision(),
        checks=load_summary_checks(),
        budget=replace(jnr_budget(**load_budget(budget)), quantities=BUDGET_QUANTITIES)
        if uncertainty_basis == "budget"
        else None,
    )


def grade_table(
    path: str | Path,
    yardstick: Yardstick | None = None,
    *,
    each: bool = False,
    layout: Layout | None = None,
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

    Returns
    -------
    Grading
        One statement a sample.
    """
    table = read_summary_table(Path(path), layout=layout)
    agreed = yardstick if yardstick is not None else agree()
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
    doubts: Sequence[Finding] = (),
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
    doubts : sequence of Finding
        Findings that concern the sample as a whole.

    Returns
    -------
    GradeStatement
        Every class at every tested temperature.
    """
    own = mark_impossible(determinations, yardstick.checks)
    results = results_from_determinations(
        own, yardstick.precision, yardstick.retest_rule, basis=yardstick.basis, budget=yardstick.budget
    )
    statement = judge_sample(
        sample,
        results,
        yardstick.specification,
        decision_rule=yardstick.decision_rule,
        retest_rule=yardstick.retest_rule,
        ageing_record=ageing_record,
        reported_class=reported_class(own, sample),
    )
    told = {doubt.code for doubt in doubts}
    # A specimen whose letter does not follow from its own numbers has said so already.
    kept = [
        finding
        for finding in statement.findings
        if not (finding.code == "reported-class-differs" and "reported-class-does-not-follow" in told)
    ]
    told_once = dict.fromkeys((*_of_left_out(results), *doubts, *kept))
    return replace(statement, findings=tuple(told_once))


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


def summary_doubts(
    determinations: Sequence[Determination], yardstick: Yardstick
) -> dict[str, dict[str, tuple[Finding, ...]]]:
    """Check every typed or supplied summary against itself and its replicates.

    Parameters
    ----------
    determinations : sequence of Determination
        Of any number of samples.
    yardstick : Yardstick
        Holds the checks and the specification.

    Returns
    -------
    dict of str to dict of str to tuple of Finding
        By sample and replicate.
    """
    specimens: dict[tuple[str, Condition, float | None, str], list[Determination]] = {}
    for determination in determinations:
        key = (
            determination.sample,
            determination.condition,
            determination.temperature_c,
            determination.replicate,
        )
        specimens.setdefault(key, []).append(determination)
    found: dict[str, dict[str, tuple[Finding, ...]]] = {}
    for key, own in specimens.items():
        peers = [
            d for other, group in specimens.items() if other[:3] == key[:3] and other != key for d in group
        ]
        raised = findings_for_summary(
            own, yardstick.checks, specification=yardstick.specification, peers=peers
        )
        by_replicate = found.setdefault(key[0], {})
        by_replicate[key[3]] = (*by_replicate.get(key[3], ()), *raised)
    return found


def _own_name(determination: Determination) -> str:
    mark = determination.replicate
    return f"{determination.sample} [{mark}]" if mark else determination.sample


def _flat(
    doubts: dict[str, dict[str, tuple[Finding, ...]]],
) -> list[tuple[tuple[str, str], tuple[Finding, ...]]]:
    return [((sample, mark), found) for sample, by in doubts.items() for mark, found in by.items()]
