"""Predictions for other temperatures, and kinds of binder, in the terminal."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

from resile.records.slope_prior import BinderKind, PublishedSlope
from resile.report.numbers import fixed
from resile.report.paper.model import RIGHT, Column
from resile.report.terminal.grids import bullet_line, grid_of, heading_line, sheet_of, title_line
from resile.report.words import CONDITION_WORDS, symbol_of

if TYPE_CHECKING:
    from rich.console import Group

GRADE_STEP_C = 6.0
"""The step that a factor is shown for [°C]."""


def render_binder_kind(kind: BinderKind) -> Group:
    """Give a kind of binder: its slopes as factors by grade step, with source and evidence.

    Parameters
    ----------
    kind : BinderKind
        As loaded.

    Returns
    -------
    rich.console.Group
        The unchecked notice first, where one is due.
    """
    parts: list[Any] = [title_line(f"{kind.identifier}: {kind.title}")]
    if not kind.checked:
        parts.append("▲ caution  This file was not checked against its sources by a second person.")
    columns = [
        Column("Property"),
        Column("Residue"),
        Column("Factor by +6 °C", RIGHT),
        Column("95 % interval", RIGHT),
        Column("Evidence"),
    ]
    rows: list[list[Any]] = [
        [
            symbol_of(slope.quantity),
            CONDITION_WORDS[slope.condition] if slope.condition is not None else "any",
            fixed(factor_by_step(slope.slope_per_c), 2),
            "–".join(fixed(end, 2) for end in factor_interval(slope)),
            slope.evidence or "–",
        ]
        for slope in kind.slopes
    ]
    parts += ["", grid_of(columns, rows), "", heading_line("Sources")]
    parts += [
        bullet_line(f"{symbol_of(quantity)}: {source}")
        for quantity, source in dict.fromkeys((slope.quantity, slope.source) for slope in kind.slopes)
    ]
    parts += ["", heading_line("Notes"), *(bullet_line(note) for note in kind.notes)] if kind.notes else []
    return sheet_of(parts)


def factor_by_step(slope_per_c: float) -> float:
    """Give the factor by which a property changes over one grade step upwards."""
    return math.exp(GRADE_STEP_C * slope_per_c)


def factor_interval(slope: PublishedSlope) -> tuple[float, float]:
    """Give the 95 % interval of the factor, smaller end first."""
    ends = [factor_by_step(slope.slope_per_c + sign * 1.96 * slope.standard_per_c) for sign in (-1, 1)]
    return min(ends), max(ends)
