"""Fitted creep models in the terminal: the answer, findings, parts of Jnr, parameters."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from resile.records.models.creep_model import CreepModelFit
from resile.report.paper.models.creep_model import (
    answer_of,
    kind_sentence,
    model_name,
    parameters_table,
    residual_sentence,
    splits_table,
    tried_table,
)
from resile.report.terminal.grids import (
    finding_lines,
    heading_line,
    page_table,
    sheet_of,
    small_line,
    title_line,
    words_of,
)

if TYPE_CHECKING:
    from rich.console import Group

_SHORTER = {"Viscous flow (interval)": "Flow", "Still recovering (interval)": "Still recovering"}


def render_creep_models(fits: Sequence[CreepModelFit]) -> Group:
    """Give the sheet of fitted models.

    Parameters
    ----------
    fits : sequence of CreepModelFit
        One or several.

    Returns
    -------
    rich.console.Group
        One part a run.
    """
    parts: list[Any] = []
    for fit in fits:
        parts += [*([""] if parts else []), title_line(f"{model_name(fit)}: creep and recovery as a model")]
        if fit.source is not None:
            parts.append(small_line(f"{fit.source.path}  SHA-256 {fit.source.sha256[:16]}…"))
        parts += ["", words_of(answer_of(fit)), *finding_lines(fit.findings)]
        parts += [
            "",
            heading_line("What Jnr consists of (1/kPa)"),
            page_table(splits_table(fit), shorter=_SHORTER),
        ]
        parts += ["", heading_line("Springs and dashpots"), words_of(kind_sentence(fit))]
        parts += [words_of(residual_sentence(fit)), page_table(parameters_table(fit))]
        tried = tried_table(fit)
        if tried is not None:
            parts.append(page_table(tried))
    return sheet_of(parts)
