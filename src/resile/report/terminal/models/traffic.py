"""Binders under traffic in the terminal."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from resile.records.models.pulse_train import TrafficComparison
from resile.report.paper.models.recorded_binders import between_axles_sentence, modelled, recorded_table
from resile.report.paper.models.traffic import (
    NO_DEPTH,
    binders_table,
    load_facts,
    traffic_sentence,
    untold,
)
from resile.report.terminal.grids import (
    bullet_line,
    fact_lines,
    finding_lines,
    heading_line,
    page_table,
    sheet_of,
    small_line,
    title_line,
)

if TYPE_CHECKING:
    from rich.console import Group

_SHORTER = {
    "Hot hours of the site": "Hot hours",
    "Strain beyond the tests": "Beyond tests",
    "Late strain left for the next axle": "Left for next axle",
    "Standing in a long row": "Standing",
}


def render_traffic(comparison: TrafficComparison) -> Group:
    """Give the sheet of a comparison.

    Parameters
    ----------
    comparison : TrafficComparison
        As computed.

    Returns
    -------
    rich.console.Group
        Answer, index of each binder, load, findings, evidence.
    """
    table = binders_table(comparison)
    parts: list[Any] = [title_line(traffic_sentence(comparison)), NO_DEPTH]
    parts += ["", heading_line("Permanent shear strain"), page_table(table, shorter=_SHORTER)]
    parts += [
        small_line(f"{table.caption} {table.note}"),
        *(bullet_line(words) for words in untold(comparison)),
    ]
    if modelled(comparison):
        own = recorded_table(comparison)
        parts += ["", heading_line("Between one axle and the next"), between_axles_sentence(comparison)]
        parts += ["", page_table(own, shorter=_SHORTER), small_line(own.note)]
    parts += ["", heading_line("Load and hours"), *fact_lines(load_facts(comparison))]
    parts += finding_lines(comparison.findings)
    parts += ["", heading_line("What such an index is worth")]
    parts += [
        bullet_line(f"{one.statement} {one.weakness} ({one.source}; {one.evidence})")
        for one in comparison.evidence
    ]
    return sheet_of(parts)
