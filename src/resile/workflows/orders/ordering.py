"""A test order from raw records to the page that is signed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from resile.errors import InputError
from resile.readers.layout import read_layout
from resile.readers.order import read_order
from resile.readers.summary_table import read_summary_table
from resile.records.ageing import AgeingRecord, LongTermAgeingRecord
from resile.records.creep_recovery import CreepRecoveryRun
from resile.records.determination import Condition, Determination
from resile.records.laboratory import Laboratory
from resile.records.order import OrderedTable, TestOrder
from resile.records.reading import HeldFile
from resile.records.summary import SummaryTable
from resile.records.verdict import FullGradeVerdict, GradeStatement
from resile.report.document import ReportDocument
from resile.workflows.judging.determinations import components_of_run, determinations_of_run
from resile.workflows.judging.grading import grade_sample, summary_doubts
from resile.workflows.judging.table_ageing import join_mass_change
from resile.workflows.orders.asked import agree_on_order, check_asked, claimed_in
from resile.workflows.orders.form_choices import with_choices
from resile.workflows.orders.issuing import document_of, issued_by, issuer_of, made_elsewhere
from resile.workflows.orders.ordered_records import reduce_ordered_record
from resile.workflows.orders.pages import Seal, document_files, write_document
from resile.workflows.orders.revising import revised
from resile.workflows.reducing.ageing import reduce_ageing_of_order
from resile.workflows.reducing.machine_tests import MachineRun
from resile.workflows.reducing.reduction import Run, run_json, run_sheet
from resile.workflows.reducing.run_groups import group_runs


@dataclass(frozen=True, slots=True)
class OrderReport:
    """What a test order gave; shows itself in a notebook.

    Attributes
    ----------
    order : TestOrder
        As read.
    statement : GradeStatement
        What can be said of the sample.
    runs : tuple of CreepRecoveryRun
        The raw records, reduced, with their signals.
    ageing : AgeingRecord or None
        The ageing record, reduced and checked.
    document : ReportDocument
        All of it, ready for paper.
    machine_runs : tuple of OscillationRun, BeamRun or ViscosityRun
        The raw records of the other tests, reduced.
    long_term_ageing : LongTermAgeingRecord or None
        The record of pressure ageing, reduced and checked.
    """

    order: TestOrder
    statement: GradeStatement
    runs: tuple[CreepRecoveryRun, ...]
    ageing: AgeingRecord | None
    document: ReportDocument
    machine_runs: tuple[MachineRun, ...] = ()
    long_term_ageing: LongTermAgeingRecord | None = None

    @property
    def complies(self) -> bool:
        """True where the class asked for is satisfied, or any where none was; and the whole grade claimed."""
        if self.statement.claimed_grade and not all(g.satisfied for g in _claimed_grades(self.statement)):
            return False
        asked = [
            c
            for c in self.statement.classes
            if self.order.service_class in ("", c.service_class.name)
            and self.order.high_temperature_c in (None, c.temperature_c)
        ]
        return any(c.satisfied for c in asked)

    def to_json(self) -> dict[str, Any]:
        """Give runs and verdicts as the fixed interfaces name them."""
        from resile.report.machine.ageing import ageing_to_json
        from resile.report.machine.document import document_to_json
        from resile.report.machine.records import statement_to_json

        return {
            "order": self.order.number,
            "invented": self.order.invented,
            "complies": self.complies,
            **statement_to_json(self.statement),
            "runs": [run_json(run) for run in (*self.runs, *self.machine_runs)],
            "ageing": ageing_to_json(self.ageing) if self.ageing else None,
            "long_term_ageing": ageing_to_json(self.long_term_ageing) if self.long_term_ageing else None,
            "document": document_to_json(self.document, self.order.source),
        }

    def to_terminal(self, *, full: bool = False) -> Any:
        """Give a readable sheet for a terminal, findings first.

        Parameters
        ----------
        full : bool
            Everything that stands on the page, instead of the answer and what decides it.
        """
        from rich.console import Group

        from resile.report.terminal import render_ageing, render_brief, render_statement
        from resile.report.terminal.revision import render_revision

        revision = [] if self.document.revision is None else [render_revision(self.document.revision)]
        if not full:
            return Group(render_brief(self.statement), *revision)
        parts = [render_statement(self.statement, determinations=True)]
        parts += [run_sheet(run) for run in (*self.runs, *self.machine_runs)]
        parts += [render_ageing(one) for one in (self.ageing, self.long_term_ageing) if one is not None]
        return Group(*parts, *revision)

    def write(self, folder: str | Path, *, seal: Seal | None = None) -> list[Path]:
        """Write the page as HTML, PDF and XLSX, the statement as JSON and the run's picture, into a folder.

        Parameters
        ----------
        folder : str or Path
            Made if need be.
        seal : callable or None
            Signs the page (`resile.workflows.orders.signing.seal_with`); only the signed PDF is then written.

        Raises
        ------
        InputError
            Where a file cannot be written, or would take the place of the report that this one replaces.
        """
        return write_document(self.document, Path(folder), statement=self.to_json(), seal=seal)

    def files(self, folder: str | Path, *, seal: Seal | None = None) -> dict[Path, bytes]:
        """Make what `write` writes, without writing it."""
        return document_files(self.document, Path(folder), statement=self.to_json(), seal=seal)

    def _repr_html_(self) -> str:
        from resile.report.notebook import runs_html, statements_html

        return statements_html((self.statement,)) + runs_html(self.runs, self.document.machine_groups)


def _claimed_grades(statement: GradeStatement) -> list[FullGradeVerdict]:
    return [grade for grade in statement.full_grades if grade.label == statement.claimed_grade]


def report_order(
    path: str | Path,
    *,
    date: str,
    laboratory: str | Path | None = None,
    price_rules: Sequence[str | Path] = (),
    price_limit: float | None = None,
) -> OrderReport:
    """Work through a test order.

    Parameters
    ----------
    path : str or Path
        The order (TOML): sample, files, specification, rules agreed before the test.
    date : str
        Date of issue, YYYY-MM-DD.
    laboratory : str or Path or None
        Settings file of the laboratory that issues the report (TOML): name, address, accreditation, logo.
    price_rules, price_limit
        Price rules of the contract and the limit they count from, as in `agree`; beside those of the order.

    Returns
    -------
    OrderReport
        Runs, verdicts and the document.

    Raises
    ------
    ResileError
        Where the order or one of its files cannot be used: a report that leaves out a file in silence would
        not stand.
    """
    order = with_choices(read_order(Path(path)))
    return report_of_order(
        order,
        date=date,
        issuer=issuer_of(order, laboratory),
        price_rules=price_rules,
        price_limit=price_limit,
        place=str(path),
    )


def report_of_order(
    order: TestOrder,
    *,
    date: str,
    issuer: Laboratory | None = None,
    price_rules: Sequence[str | Path] = (),
    price_limit: float | None = None,
    place: str = "the test order",
) -> OrderReport:
    """Work through a test order that is in hand, read from a file or put together from a record.

    Parameters
    ----------
    order : TestOrder
        Sample, files, specification, rules.
    date : str
        Date of issue, YYYY-MM-DD.
    issuer : Laboratory or None
        Who issues the report.
    price_rules, price_limit
        As in `report_order`.
    place : str
        Where the order stands, for messages.

    Returns
    -------
    OrderReport
        Runs, verdicts and the document.

    Raises
    ------
    ResileError
        As in `report_order`.
    """
    agreed = agree_on_order(order, price_rules, price_limit)
    check_asked(order, agreed.specification, place)
    ageing, long_term = reduce_ageing_of_order(order.ageing, order.long_term_ageing)
    runs: list[Run] = []
    determinations: list[Determination] = []
    beside: list[Determination] = []
    for record in order.records:
        for run in reduce_ordered_record(record, order):
            runs.append(run)
            determinations += determinations_of_run(
                run,
                sample=order.sample.name,
                condition=record.condition,
                replicate=record.specimen,
                laboratory=record.laboratory,
                tested=record.tested,
            )
            beside += components_of_run(run, sample=order.sample.name, condition=record.condition)
    tables = _typed_results(order)
    typed = [d for table in tables for d in table.determinations]
    determinations += typed
    determinations, weighed = join_mass_change(determinations, ageing, order.sample.name, agreed.across)
    determinations = made_elsewhere(determinations, issuer.name if issuer else order.laboratory)
    if not determinations:
        raise InputError(f"{place}: the order names no record, table or ageing record with a result")
    doubts = [*order.doubts, *weighed, *(f for table in tables for f in table.findings)]
    doubts += [f for by in summary_doubts(typed, agreed).values() for found in by.values() for f in found]
    others = tuple(run for run in runs if not isinstance(run, CreepRecoveryRun))
    groups = group_runs(others)
    doubts += [finding for group in groups for finding in group.findings]
    claim, doubt = claimed_in(order, agreed.specification)
    statement = grade_sample(
        order.sample.name,
        determinations,
        agreed,
        ageing_record=ageing,
        long_term_record=long_term,
        doubts=(*doubts, *doubt),
        beside=beside,
        claim=claim,
    )
    creep = [run for run in runs if isinstance(run, CreepRecoveryRun)]
    document = document_of(order, statement, creep, ageing, tables, date, long_term)
    document = issued_by(replace(document, machine_groups=groups), issuer)
    report = OrderReport(order, statement, tuple(creep), ageing, document, others, long_term)
    return replace(report, document=revised(document, report.to_json(), order.replaces))


def _typed_results(order: TestOrder) -> list[SummaryTable]:
    tables = [_typed_table(table, order.sample.name) for table in order.tables]
    for table in tables:
        foreign = sorted(set(table.samples) - {order.sample.name})
        if foreign:
            raise InputError(
                f"{table.source.path}: the table holds results of {', '.join(foreign)}; "
                f"the order is on sample {order.sample.name} alone"
            )
    return tables


def _typed_table(table: Path | HeldFile | OrderedTable, sample: str) -> SummaryTable:
    if not isinstance(table, OrderedTable):
        return read_summary_table(table, sample=sample)
    read = read_summary_table(
        table.path,
        layout=read_layout(table.layout) if table.layout else None,
        sample=sample,
        condition=None if table.condition is Condition.UNKNOWN else table.condition,
    )
    return replace(
        read, determinations=tuple(replace(d, tested=d.tested or table.tested) for d in read.determinations)
    )
