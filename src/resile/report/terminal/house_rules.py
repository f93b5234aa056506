"""Rules of the house in the terminal: heating and retention."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from resile.records.house_rule import HeatingRule, RetentionRule
from resile.report.paper.models.model import Column
from resile.report.terminal.grids import bullet_line, grid_of, heading_line, sheet_of, small_line, title_line

if TYPE_CHECKING:
    from rich.console import Group


def render_house_rule(rule: HeatingRule | RetentionRule) -> Group:
    """Give a heating or retention rule as a sheet.

    Parameters
    ----------
    rule : HeatingRule or RetentionRule
        As loaded.

    Returns
    -------
    rich.console.Group
        Its limits, or how long it keeps; notes, evidence.
    """
    parts: list[Any] = [title_line(f"{rule.identifier}: {rule.title}"), ""]
    if isinstance(rule, RetentionRule):
        event = "receipt" if rule.starts == "received" else "the issue of the certificate"
        parts.append(bullet_line(f"{rule.days} days, counted from {event}."))
        parts += [bullet_line(f"Reminds {rule.remind_days} days before."), bullet_line(f"{rule.source}.")]
    else:
        columns = [Column("What"), Column("Binder"), Column("Needed"), Column("Beyond it"), Column("Source")]
        rows: list[list[Any]] = [
            [one.title, one.binder, _ends(one), "refused" if one.refuses else "flagged", one.source]
            for one in rule.limits
        ]
        parts.append(grid_of(columns, rows))
    if rule.notes:
        parts += ["", heading_line("Notes"), *(bullet_line(note) for note in rule.notes)]
    return sheet_of([*parts, "", small_line(f"SHA-256 {rule.sha256}")])


def _ends(limit: Any) -> str:
    ends = [
        f"{words} {end:g} {limit.unit}".strip()
        for words, end in (("at least", limit.lowest), ("at most", limit.highest))
        if end is not None
    ]
    return ", ".join(ends)
