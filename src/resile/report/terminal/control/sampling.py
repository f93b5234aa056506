"""A sampling plan, and lots made of loads, in the terminal."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from resile.records.control.sampling import LotOfLoads, SamplingPlan
from resile.report.paper.control.sampling import plan_sections
from resile.report.paper.models.model import Column
from resile.report.terminal.grids import grid_of, sheet_of, small_line, title_line
from resile.report.terminal.page_sheet import section_lines

if TYPE_CHECKING:
    from rich.console import Group


def render_sampling_plan(plan: SamplingPlan) -> Group:
    """Give a sampling plan as a sheet.

    Parameters
    ----------
    plan : SamplingPlan
        As loaded.

    Returns
    -------
    rich.console.Group
        Levels, switching, notes, evidence.
    """
    parts: list[Any] = [title_line(f"{plan.identifier}: {plan.title}")]
    for section in plan_sections(plan):
        parts += section_lines(section)
    return sheet_of([*parts, "", small_line(f"SHA-256 {plan.sha256}")])


def render_lots_of_loads(lots: Sequence[LotOfLoads], title: str) -> Group:
    """Give lots with their loads as a sheet.

    Parameters
    ----------
    lots : sequence of LotOfLoads
        In order.
    title : str
        Plan and severity in words.

    Returns
    -------
    rich.console.Group
        One row a lot.
    """
    ended = {"size": "full", "days": "too old", "added": "product added", "": "may still grow"}
    rows: list[list[Any]] = [
        [
            one.lot,
            one.opened,
            f"{one.quantity_t:g}",
            str(len(one.loads)),
            ", ".join(one.loads),
            ended[one.ended_by],
        ]
        for one in lots
    ]
    columns = [
        Column("Lot"),
        Column("Begun"),
        Column("Mass (t)", "right"),
        Column("Loads", "right"),
        Column("Numbers"),
        Column("Ended"),
    ]
    count = f"{len(lots)} {'lot' if len(lots) == 1 else 'lots'}"
    return sheet_of([title_line(f"{count}: {title}"), grid_of(columns, rows)])
