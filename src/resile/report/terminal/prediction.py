"""Predictions for other temperatures, and kinds of binder, in the terminal."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from resile.records.finding import Finding
from resile.records.prediction import SamplePrediction
from resile.records.slope_prior import BinderKind, PublishedSlope
from resile.report.numbers import fixed
from resile.report.paper.choosing.prediction_tables import (
    NO_TEST,
    classes_table,
    factor_by_step,
    headline,
    limits_table,
    lines_table,
    values_table,
)
from resile.report.paper.models.model import RIGHT, Column
from resile.report.paper.statements.provenance import unchecked_notice
from resile.report.terminal.grids import (
    bullet_line,
    finding_lines,
    grid_of,
    heading_line,
    page_table,
    sheet_of,
    small_line,
    title_line,
)
from resile.report.words import CONDITION_WORDS, symbol_of

if TYPE_CHECKING:
    from rich.console import Group

_SHORTER = {"Governed by": "Governs"}


def render_predictions(samples: Sequence[SamplePrediction], findings: Sequence[Finding] = ()) -> Group:
    """Give the sheet of predictions.

    Parameters
    ----------
    samples : sequence of SamplePrediction
        One or several.
    findings : sequence of Finding
        Doubts about the file as a whole.

    Returns
    -------
    rich.console.Group
        Answer, findings, values, classes, limits, tests.
    """
    parts: list[Any] = []
    for sample in samples:
        parts += [*([""] if parts else []), *_sample_lines(sample)]
    if findings:
        parts += finding_lines(tuple(findings))
    return sheet_of(parts)


def _sample_lines(sample: SamplePrediction) -> list[Any]:
    notice = unchecked_notice(sample.specification)
    head = "; ".join(headline(one) for one in sample.temperatures)
    parts: list[Any] = [title_line(f"{sample.sample}: {head}."), NO_TEST]
    parts += [f"▲ caution  {notice}"] if notice else []
    for one in sample.temperatures:
        parts += ["", one.answer]
    parts += finding_lines(sample.findings)
    values = values_table(sample)
    parts += ["", heading_line("Values"), page_table(values), small_line(values.note)]
    classes = classes_table(sample)
    parts += ["", heading_line("Classes"), page_table(classes, shorter=_SHORTER), small_line(classes.note)]
    limits = limits_table(sample)
    if limits is not None:
        parts += ["", heading_line("Limits met at"), page_table(limits), small_line(limits.note)]
    lines = lines_table(sample)
    return [*parts, "", heading_line("Tests and lines"), page_table(lines), small_line(lines.note)]


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


def factor_interval(slope: PublishedSlope) -> tuple[float, float]:
    """Give the 95 % interval of the factor, smaller end first."""
    ends = [factor_by_step(slope.slope_per_c + sign * 1.96 * slope.standard_per_c) for sign in (-1, 1)]
    return min(ends), max(ends)
