"""Answers of an archive as tables of texts, for terminal, page and paper."""

from __future__ import annotations

from typing import Any

from resile.records.archive_answers import AnswerTable, Trend
from resile.report.archive_words import brief_notes, in_words, trend_title
from resile.report.numbers import fixed, three_figures
from resile.report.paper.models.model import LEFT, RIGHT, Column, Table


def answer_table(found: AnswerTable) -> Table:
    """Give an answer as texts.

    Parameters
    ----------
    found : AnswerTable
        Columns and rows.

    Returns
    -------
    Table
        Numbers to three figures, to the right.
    """
    told = in_words(found, brief=True)
    numeric = [
        all(isinstance(row[place], int | float | None) for row in told.rows) and bool(told.rows)
        for place in range(len(told.columns))
    ]
    columns = tuple(
        Column(name, RIGHT if right else LEFT) for name, right in zip(told.columns, numeric, strict=True)
    )
    rows = tuple(tuple(cell_words(value) for value in row) for row in told.rows)
    more = "There are more; ask for less at once, or give more with --rows." if found.cut else ""
    note = " ".join(one for one in (brief_notes(found), more) if one)
    return Table(told.title or "Answer", columns, rows, note=note)


def cell_words(value: Any) -> str:
    """Give one value of an answer in words."""
    if value is None or value == "":
        return "–"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int):
        return f"{value:,}".replace(",", "\N{NARROW NO-BREAK SPACE}")
    if isinstance(value, float):
        return three_figures(value) if value else "0"
    return ", ".join(map(str, value)) if isinstance(value, list | tuple) else str(value)


def trend_table(trend: Trend) -> Table:
    """Give the months of a trend as texts.

    Parameters
    ----------
    trend : Trend
        As answered.

    Returns
    -------
    Table
        One row a month.
    """
    unit = f" ({trend.unit})" if trend.unit else ""
    mean = "Geometric mean" if trend.scale == "log" else "Mean"
    heads = ("Results", f"{mean}{unit}", f"Lowest{unit}", f"Highest{unit}")
    columns = [Column("Month"), *(Column(name, RIGHT) for name in heads)]
    if trend.label:
        heads = ("Compared", f"Fail {trend.label}", "Fail (%)", f"Nearest margin{unit}")
        columns += [Column(name, RIGHT) for name in heads]
    rows = []
    for one in trend.months:
        cells = [
            one.month,
            str(one.results),
            *(three_figures(v) for v in (one.mean, one.lowest, one.highest)),
        ]
        if trend.label:
            share = 100.0 * (one.failing or 0) / one.compared if one.compared else None
            cells += [
                str(one.compared or 0),
                str(one.failing or 0),
                "–" if share is None else fixed(share, 1),
            ]
            cells.append("–" if one.nearest_margin is None else cell_words(one.nearest_margin))
        rows.append(tuple(cells))
    note = _undated_words(trend.undated)
    return Table(trend_title(trend), tuple(columns), tuple(rows), note=note)


def _undated_words(count: int) -> str:
    if not count:
        return ""
    return f"{count} results have no day and are left out." if count > 1 else "One result has no day."
