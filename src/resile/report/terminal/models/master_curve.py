"""Master curves in the terminal."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from resile.records.models.master_curve import MasterCurve
from resile.report.paper.models.master_curve import (
    INTERVALS,
    curve_sentence,
    isotherm_table,
    parameter_table,
    settings_facts,
)
from resile.report.terminal.grids import (
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


def render_master_curves(curves: Sequence[MasterCurve]) -> Group:
    """Give the sheet of master curves.

    Parameters
    ----------
    curves : sequence of MasterCurve
        As fitted.

    Returns
    -------
    rich.console.Group
        Answer, findings, numbers with intervals, residuals by isotherm.
    """
    parts: list[Any] = []
    for curve in curves:
        parts += [*([""] if parts else []), title_line(curve_sentence(curve))]
        parts += finding_lines(curve.findings)
        parts += ["", *fact_lines(settings_facts(curve))]
        parts += ["", heading_line("Numbers"), page_table(parameter_table(curve)), small_line(INTERVALS)]
        parts += ["", heading_line("Residuals by isotherm"), page_table(isotherm_table(curve))]
    return sheet_of(parts)
