"""The answer of a creep model to a programme, in the terminal."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from resile.records.models.step_programme import ProgrammeAnswer
from resile.report.paper.models.creep_model import kind_sentence, model_name
from resile.report.paper.models.creep_programme import (
    NO_MEASUREMENT,
    doubt_sentence,
    programme_sentence,
    steps_table,
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


def render_programme(answer: ProgrammeAnswer) -> Group:
    """Give the sheet of an answer.

    Parameters
    ----------
    answer : ProgrammeAnswer
        The answer.

    Returns
    -------
    rich.console.Group
        Answer, doubts, steps.
    """
    parts: list[Any] = [
        title_line(f"{model_name(answer.fit)}: the model under a programme"),
        "",
        words_of(programme_sentence(answer)),
        words_of(NO_MEASUREMENT),
        *finding_lines(answer.findings),
        "",
        heading_line("Steps"),
        words_of(f"Shift with temperature: {answer.shift.words}."),
        page_table(steps_table(answer)),
        small_line(doubt_sentence(answer)),
        "",
        words_of(kind_sentence(answer.fit)),
    ]
    return sheet_of(parts)
