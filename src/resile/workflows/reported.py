"""Reported conclusions against what the reported results give, over one table or a whole set of tables."""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from resile.compute.statistics.critical_temperature import critical_temperature
from resile.compute.statistics.limit_crossing import interpolated_temperature
from resile.errors import MeasurementError
from resile.judge.selection import BEAM_OFFSET_C, limit_for
from resile.judge.summaries.intervals import printed
from resile.judge.summaries.reported import (
    MEAN,
    compare_means,
    compare_number,
    compare_specimen,
    not_checked,
)
from resile.judge.wording import property_words, residue_words
from resile.readers.layout import Layout
from resile.readers.summary_table import read_summary_table
from resile.records.check import SummaryCheck
from resile.records.determination import Condition, Determination
from resile.records.finding import Finding
from resile.records.quantity import REPORTED_QUANTITIES
from resile.records.reported import ComparisonSummary, Computed, ReportedComparison
from resile.records.specification import Specification
from resile.records.summary import SummaryTable
from resile.specifications.load import load_specification, load_summary_checks
from resile.workflows.continuous import ENDS
from resile.workflows.limit_temperature import INTERPOLATION_RULES

SPECIFICATIONS = ("m332-2014", "m320")
"""Limits of classes from the first, of all else from whichever has them first."""
_PROPERTIES = {
    "reported_high_temperature": ("rutting_parameter",),
    "reported_stiffness_temperature": ("creep_stiffness",),
    "reported_m_value_temperature": ("m_value",),
    "reported_low_temperature": ("creep_stiffness", "m_value"),
    "reported_delta_tc": ("creep_stiffness", "m_value"),
}
_RULES = ("log", "linear")
ByRule = dict[str, Computed]


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
        from resile.report.machine_reported import sheet_to_json

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
        if stated.quantity in _PROPERTIES and stated.replicate != MEAN:
            found.append(_temperature(stated, determinations, checks, specifications))
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


def _temperature(
    stated: Determination,
    determinations: Sequence[Determination],
    checks: Sequence[SummaryCheck],
    specifications: Sequence[Specification],
) -> ReportedComparison:
    crossings: list[ByRule] = []
    for quantity in _PROPERTIES[stated.quantity]:
        points = _points(stated, quantity, determinations)
        if len(points) < 2:
            reason = f"fewer than two results of {property_words(quantity)} of that specimen are given"
            return not_checked(stated, checks, reason)
        limit = _limit(quantity, points[0].condition, specifications)
        if limit is None:
            names = ", ".join(one.identifier for one in specifications)
            residue = residue_words(points[0].condition)
            return not_checked(
                stated, checks, f"{names} sets no limit of {property_words(quantity)} for {residue} binder"
            )
        crossing = _crossings(points, limit)
        if isinstance(crossing, str):
            return not_checked(stated, checks, crossing)
        crossings.append(crossing)
    by_rule, declared = _combined(stated.quantity, crossings)
    return compare_number(stated, by_rule, declared, checks, "the limit, met between two results,")


def _points(
    stated: Determination, quantity: str, determinations: Sequence[Determination]
) -> list[Determination]:
    """Give the results of the specimen; where the conclusion names no residue, those of the only one."""
    points = [
        d
        for d in determinations
        if d.quantity == quantity
        and (d.sample, d.replicate) == (stated.sample, stated.replicate)
        and d.temperature_c is not None
        and d.value is not None
        and stated.condition in (d.condition, Condition.UNKNOWN)
    ]
    return points if len({d.condition for d in points}) == 1 else []


def _limit(quantity: str, condition: Condition, specifications: Sequence[Specification]) -> float | None:
    for specification in specifications:
        for requirement in specification.requirements:
            limit = limit_for(requirement, specification.classes[0].name)
            accepted = condition in (requirement.condition, *requirement.also_accepts)
            if requirement.quantity == quantity and requirement.temperature in ENDS and accepted:
                return limit
    return None


def _crossings(points: Sequence[Determination], limit: float) -> ByRule | str:
    """Give the temperature at which the limit is met by each rule, over the rounding of the two results."""
    by_rule: ByRule = {}
    for rule in _RULES:
        try:
            critical = critical_temperature(
                [float(d.temperature_c or 0.0) for d in points],
                [float(d.value or 0.0) for d in points],
                limit,
                rule=rule,
            )
        except MeasurementError as error:
            return str(error)
        if critical.temperature_c is None:
            return critical.reason
        ends = []
        for point in critical.points:
            item = next(
                printed(d) for d in points if (d.temperature_c, d.value) == (point.temperature_c, point.value)
            )
            ends.append(item.ends if item is not None else (point.value, point.value))
        first, second = critical.points
        corners = [
            float(
                interpolated_temperature(
                    first.temperature_c, second.temperature_c, one, two, limit, rule=rule
                )
            )
            for one, two in itertools.product(*ends)
        ]
        by_rule[rule] = Computed(critical.temperature_c, min(corners), max(corners))
    return by_rule


def _combined(quantity: str, crossings: Sequence[ByRule]) -> tuple[ByRule, str]:
    """Give what is reported of one or two temperatures, by the rule of the first of them."""
    declared = INTERPOLATION_RULES[_PROPERTIES[quantity][0]]
    first = crossings[0]
    if len(crossings) == 1:
        return first, declared
    slope = crossings[1][INTERPOLATION_RULES["m_value"]]
    return {rule: _of_two(quantity, one, slope) for rule, one in first.items()}, declared


def _of_two(quantity: str, stiffness: Computed, slope: Computed) -> Computed:
    if quantity == "reported_delta_tc":
        return Computed(
            stiffness.value - slope.value, stiffness.lowest - slope.highest, stiffness.highest - slope.lowest
        )
    ends = ("value", "lowest", "highest")
    warmest = [max(getattr(stiffness, end), getattr(slope, end)) - BEAM_OFFSET_C for end in ends]
    return Computed(*warmest)
