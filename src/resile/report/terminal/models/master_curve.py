"""Master curves in the terminal."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from resile.records.models.curve_reading import CurveDerivation
from resile.records.models.master_curve import MasterCurve
from resile.report.paper.models.curve_readings import (
    INTERVAL_NOTE,
    beams_table,
    not_interchangeable,
    readings_table,
    spectrum_sentence,
)
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
    words_of,
)
from resile.report.words import heaviest_first

if TYPE_CHECKING:
    from rich.console import Group


def render_master_curves(curves: Sequence[MasterCurve], derivations: Sequence[CurveDerivation] = ()) -> Group:
    """Give the sheet of master curves.

    Parameters
    ----------
    curves : sequence of MasterCurve
        As fitted.
    derivations : sequence of CurveDerivation
        What follows from each, in their order; may be left out.

    Returns
    -------
    rich.console.Group
        Answer, findings, numbers with intervals, residuals by isotherm.
    """
    parts: list[Any] = []
    for place, curve in enumerate(curves):
        own = derivations[place : place + 1]
        parts += [*([""] if parts else []), title_line(curve_sentence(curve))]
        of_readings = [finding for one in own for finding in one.findings]
        parts += finding_lines(heaviest_first((*curve.findings, *of_readings)))
        parts += ["", *fact_lines(settings_facts(curve))]
        parts += ["", heading_line("Numbers"), page_table(parameter_table(curve)), small_line(INTERVALS)]
        parts += ["", heading_line("Residuals by isotherm"), page_table(isotherm_table(curve))]
        for one in own:
            parts += _follow_lines(one)
    return sheet_of(parts)


def _follow_lines(derivation: CurveDerivation) -> list[Any]:
    lines = ["", heading_line("Read from the curve"), page_table(readings_table(derivation.readings))]
    lines += [small_line(not_interchangeable(derivation)), small_line(INTERVAL_NOTE)]
    if derivation.beams:
        table = beams_table(derivation.beams)
        lines += ["", heading_line(table.caption), page_table(table), small_line(table.note)]
    spectrum = derivation.spectrum
    words = derivation.spectrum_missing if spectrum is None else spectrum_sentence(spectrum)
    return [*lines, "", heading_line("Relaxation spectrum"), words_of(words)]
