"""A traffic rule in the terminal."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from resile.records.traffic_rule import TrafficBand, TrafficRule
from resile.report.paper.models.model import Column
from resile.report.terminal.grids import bullet_line, grid_of, heading_line, sheet_of, small_line, title_line

if TYPE_CHECKING:
    from rich.console import Group


def render_traffic_rule(rule: TrafficRule) -> Group:
    """Give a traffic rule as a sheet.

    Parameters
    ----------
    rule : TrafficRule
        As loaded.

    Returns
    -------
    rich.console.Group
        What it gives by axle loads and speed, where it belongs, notes, evidence.
    """
    gives = "the traffic class" if rule.gives == "class" else "the grade steps that the high end is raised by"
    columns = [
        Column("Million axle loads"),
        Column(f"Standing (below {rule.standing_below_kmh:g} km/h)"),
        Column(f"Slow (up to {rule.slow_up_to_kmh:g} km/h)"),
        Column("Free-flowing"),
    ]
    rows: list[list[Any]] = [
        [_begins(band), *(_given(band, speed) for speed in ("standing", "slow", "free"))]
        for band in rule.bands
    ]
    parts: list[Any] = [title_line(f"{rule.identifier}: {rule.title}"), ""]
    parts += [
        bullet_line(f"It gives {gives}."),
        bullet_line(f"It belongs to {', '.join(rule.specifications)}."),
        bullet_line(f"{rule.document}, {rule.edition or 'edition not stated'}; evidence: {rule.evidence}."),
    ]
    parts += ["", grid_of(columns, rows)]
    if rule.notes:
        parts += ["", heading_line("Notes"), *(bullet_line(note) for note in rule.notes)]
    return sheet_of([*parts, "", small_line(f"SHA-256 {rule.sha256}")])


def _begins(band: TrafficBand) -> str:
    return f"{'above' if band.begins_above else 'from'} {band.million:g}"


def _given(band: TrafficBand, speed: str) -> str:
    given = {"standing": band.standing, "slow": band.slow, "free": band.free}[speed]
    return f"{given}, consider more" if speed in band.consider else given
