"""Comparisons of reported conclusions for machines."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from resile.records.reading import SourceFile
from resile.records.reported import ComparisonSummary, ReportedComparison
from resile.report.machine.records import finding_to_json


def sheet_to_json(
    comparisons: Sequence[ReportedComparison],
    summaries: Sequence[ComparisonSummary],
    sources: Sequence[SourceFile],
    specifications: Sequence[str],
) -> dict[str, Any]:
    """Give what was compared as `resile compare --json` prints it.

    Parameters
    ----------
    comparisons : sequence of ReportedComparison
        One a conclusion.
    summaries : sequence of ComparisonSummary
        One a file and quantity.
    sources : sequence of SourceFile
        The tables.
    specifications : sequence of str
        Whose limits were used.

    Returns
    -------
    dict
        Plain values.
    """
    return {
        "specifications": list(specifications),
        "sources": [{"path": source.path, "sha256": source.sha256} for source in sources],
        "summaries": [summary_to_json(one) for one in summaries],
        "comparisons": [comparison_to_json(one) for one in comparisons],
    }


def summary_to_json(summary: ComparisonSummary) -> dict[str, Any]:
    """Give one line of the counts."""
    return {
        "file": summary.file,
        "quantity": summary.quantity,
        "published": summary.published,
        "reproduced": summary.reproduced,
        "differing": summary.differing,
        "unchecked": summary.unchecked,
        "rules": list(summary.rules),
        "largest_deviation": summary.largest_deviation,
        "codes": list(summary.codes),
    }


def comparison_to_json(one: ReportedComparison) -> dict[str, Any]:
    """Give one conclusion beside what the results give."""
    stated, computed = one.reported, one.computed
    return {
        "sample": stated.sample,
        "condition": stated.condition.value,
        "replicate": stated.replicate,
        "temperature_c": stated.temperature_c,
        "quantity": stated.quantity,
        "unit": stated.unit,
        "place": stated.place,
        "text": stated.text,
        "reported": stated.value,
        "computed": None if computed is None else computed.value,
        "lowest": None if computed is None else computed.lowest,
        "highest": None if computed is None else computed.highest,
        "computed_text": one.computed_text,
        "deviation": one.deviation,
        "rule": one.rule,
        "checked": one.checked,
        "reproduced": one.reproduced,
        "findings": [finding_to_json(finding) for finding in one.findings],
    }
