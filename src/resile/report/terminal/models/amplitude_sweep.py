"""Linear amplitude sweeps in the terminal."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from resile.records.models.amplitude_sweep import AmplitudeSweep
from resile.report.paper.models.amplitude_sweep import (
    NO_SPECIMENS,
    coefficients_table,
    cycles_table,
    fit_table,
    slope_words,
    sweep_sentence,
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


def render_amplitude_sweeps(sweeps: Sequence[AmplitudeSweep]) -> Group:
    """Give the sheet of amplitude sweeps.

    Parameters
    ----------
    sweeps : sequence of AmplitudeSweep
        Of one file.

    Returns
    -------
    rich.console.Group
        Answer, findings, laws by both conventions, what they rest on.
    """
    parts: list[Any] = []
    for sweep in sweeps:
        parts += [*([""] if parts else []), title_line(sweep_sentence(sweep))]
        parts += finding_lines(sweep.findings)
        parts += ["", *fact_lines((("Slope m of log G'", slope_words(sweep)),))]
        if sweep.laws:
            parts += ["", heading_line("Cycles to failure"), page_table(cycles_table(sweep))]
            parts += [small_line(f"The first row leads. {NO_SPECIMENS}")]
            parts += ["", heading_line("Fatigue law"), page_table(coefficients_table(sweep))]
            parts += [
                small_line(
                    "Cycles to failure are A over the B-th power of the strain in %. In brackets: 95 %."
                )
            ]
            parts += ["", heading_line("What they rest on"), page_table(fit_table(sweep))]
    return sheet_of(parts)
