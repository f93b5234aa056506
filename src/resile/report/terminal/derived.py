"""What follows from the results of a sample, in the terminal."""

from __future__ import annotations

from typing import Any

from resile.records.verdict import GradeStatement
from resile.report.paper.models.derived import value_words
from resile.report.terminal.grids import fact_lines, heading_line, small_line
from resile.report.words import CONDITION_WORDS, WORKING_CAUTION


def derived_lines(statement: GradeStatement) -> list[Any]:
    """Give what follows from the results, with rule and source, and the caution beside working temperatures.

    Parameters
    ----------
    statement : GradeStatement
        Verdicts of one sample.

    Returns
    -------
    list of renderables
        Empty where nothing follows.
    """
    if not statement.derived:
        return []
    facts = tuple(
        (
            one.title[0].upper() + one.title[1:],
            f"{value_words(one)} ({CONDITION_WORDS[one.condition]}; {one.rule}; {one.source})",
        )
        for one in statement.derived
    )
    caution = [small_line(WORKING_CAUTION)] if any(one.working for one in statement.derived) else []
    return ["", heading_line("What follows from the results (not judged)"), *fact_lines(facts), *caution]
