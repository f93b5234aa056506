"""Reported conclusions against what the reported results give, over one table or a whole set of tables."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from resile.judge.summaries.reported import (
    MEAN,
    compare_means,
    compare_specimen,
    not_checked,
)
from resile.readers.layout import Layout
from resile.readers.summary_table import read_summary_table
from resile.records.check import SummaryCheck
from resile.records.determination import Determination
from resile.records.finding import Finding
from resile.records.quantity import REPORTED_QUANTITIES
from resile.records.reported import ComparisonSummary, ReportedComparison
from resile.records.specification import Specification
from resile.records.summary import SummaryTable
from resile.specifications.load import load_specification, load_summary_checks
from resile.workflows.judging.reported_temperatures import PROPERTIES, compare_temperature

SPECIFICATIONS = ("m332-2014", "m320")
"""Limits of classes from the first, of all else from whichever has them first."""


@dataclass(frozen=True, slots=True)
class ReportedSheet:
    """Every reported conclusion of a set of tables, compared.

    Attributes
    ----------
    comparisons : tuple of ReportedComparison
        In the order of the tables.
    summaries : tuple of ComparisonSummary
        One a table and quantity.
    tables : tuple of SummaryTable
        As they were read.
    specifications : tuple of str
        Whose limits were used.
    """

    comparisons: tuple[ReportedComparison, ...]
    summaries: tuple[ComparisonSummary, ...]
    tables: tuple[SummaryTable, ...]
    specifications: tuple[str, ...]

    @property
    def findings(self) -> tuple[Finding, ...]:
        """Rows that were not used, then what explains each difference."""
        own = (finding for one in self.comparisons for finding in one.findings)
        return (*(finding for table in self.tables for finding in table.findings), *own)

    @property
    def all_follow(self) -> bool:
        """Whether every conclusion that could be compared follows from the results."""
        return all(one.reproduced for one in self.comparisons if one.checked)

    def to_json(self) -> dict[str, Any]:
        """Give comparisons and summaries for machines."""
        from resile.report.machine.reported import sheet_to_json

        return sheet_to_json(
            self.comparisons, self.summaries, [table.source for table in self.tables], self.specifications
        )

    def to_terminal(self) -> Any:
        """Give the sheet for a terminal: findings, then what was compared."""
        from resile.report.terminal.reported import render_reported

        return render_reported(self.summaries, self.findings, self.specifications)


def compare_tables(
    paths: Sequence[str | Path],
    *,
    specifications: Sequence[str | Path] = SPECIFICATIONS,
    layout: Layout | None = None,
) -> ReportedSheet:
    """Compare every conclusion reported in a set of tables with the results in the same set.

    Parameters
    ----------
    paths : sequence of str or Path
        Tables of results; a conclusion may stand in another table than its results, under the same sample
        and replicate.
    specifications : sequence of str or Path
        Whose limits count, in this order.
    layout : Layout, optional
        How the files are to be understood.

    Returns
    -------
    ReportedSheet
        One comparison a conclusion.
    """
    tables = tuple(read_summary_table(Path(path), layout=layout) for path in paths)
    loaded = [load_specification(name) for name in specifications]
    everything = [d for table in tables for d in table.determinations]
    comparisons = compare_reported(everything, load_summary_checks(), loaded)
    names = tuple(one.identifier for one in loaded)
    return ReportedSheet(comparisons, summarise_comparisons(comparisons), tables, names)


def compare_reported(
    determinations: Sequence[Determination],
    checks: Sequence[SummaryCheck],
    specifications: Sequence[Specification],
) -> tuple[ReportedComparison, ...]:
    """Compare every reported conclusion among determinations with the results among them.

    Parameters
    ----------
    determinations : sequence of Determination
        Of any number of samples.
    checks : sequence of SummaryCheck
        Severities, tolerance and sources of the findings.
    specifications : sequence of Specification
        Whose limits count, in this order.

    Returns
    -------
    tuple of ReportedComparison
        In the order of the determinations.
    """
    found: list[ReportedComparison] = []
    for own in _grouped(determinations, "sample", "condition", "temperature_c", "replicate").values():
        found += compare_specimen(own, checks, specifications)
    for stated in determinations:
        if stated.quantity in PROPERTIES and stated.replicate != MEAN:
            found.append(compare_temperature(stated, determinations, checks, specifications))
    named = [d for d in determinations if d.quantity in REPORTED_QUANTITIES]
    for together in _grouped(named, "sample", "condition", "quantity").values():
        if any(d.replicate == MEAN for d in together):
            found += compare_means(together, checks) or [
                not_checked(d, checks, "no replicates stand beside it") for d in together
            ]
    order = {id(determination): place for place, determination in enumerate(determinations)}
    return tuple(sorted(found, key=lambda one: order[id(one.reported)]))


def summarise_comparisons(comparisons: Iterable[ReportedComparison]) -> tuple[ComparisonSummary, ...]:
    """Count what was compared, by file and quantity.

    Parameters
    ----------
    comparisons : iterable of ReportedComparison
        As made by `compare_reported`.

    Returns
    -------
    tuple of ComparisonSummary
        In the order of first appearance.
    """
    groups: dict[tuple[str, str], list[ReportedComparison]] = {}
    for one in comparisons:
        source = one.reported.source
        name = Path(source.path).name if source is not None else ""
        groups.setdefault((name, one.reported.quantity), []).append(one)
    return tuple(
        ComparisonSummary(
            file=file,
            quantity=quantity,
            published=len(group),
            reproduced=sum(one.reproduced for one in group),
            differing=sum(one.checked and not one.reproduced for one in group),
            unchecked=sum(not one.checked for one in group),
            rules=tuple(dict.fromkeys(one.rule for one in group if one.checked)),
            largest_deviation=max(
                (abs(one.deviation) for one in group if one.reproduced and one.deviation is not None),
                default=None,
            ),
            codes=tuple(dict.fromkeys(f.code for one in group for f in one.findings)),
        )
        for (file, quantity), group in groups.items()
    )


def reported_doubts(
    determinations: Sequence[Determination],
    checks: Sequence[SummaryCheck],
    specifications: Sequence[Specification],
) -> Iterator[tuple[Determination, Finding]]:
    """Give the findings on reported temperatures, outcomes and means; those on derived values are made
    with the checks of the summary itself.
    """
    for one in compare_reported(determinations, checks, specifications):
        quantity = one.reported.quantity
        if quantity in REPORTED_QUANTITIES and quantity != "traffic_class":
            yield from ((one.reported, finding) for finding in one.findings)


def _grouped(
    determinations: Iterable[Determination], *names: str
) -> dict[tuple[object, ...], list[Determination]]:
    groups: dict[tuple[object, ...], list[Determination]] = {}
    for determination in determinations:
        key = tuple(getattr(determination, name) for name in names)
        groups.setdefault(key, []).append(determination)
    return groups
