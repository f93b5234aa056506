"""Results the laboratory has of one sample, from an order or a table; the document a grade is written by."""

from __future__ import annotations

from pathlib import Path

from resile.errors import InputError
from resile.records.determination import Result


def specification_for(grade: str) -> str:
    """Give the document that writes grades this way: with a traffic letter behind the number, or without.

    Parameters
    ----------
    grade : str
        For example ``PG 64V-22``.

    Returns
    -------
    str
        ``m332-2014`` or ``m320``.
    """
    bare = "".join(grade.split()).casefold().removeprefix("pg")
    return "m332-2014" if any(letter.isalpha() for letter in bare) else "m320"


def results_of(order: str | Path | None, table: str | Path | None) -> tuple[str, tuple[Result, ...]]:
    """Give the sample and its results, from an order, a table or both.

    Parameters
    ----------
    order : str or Path or None
        Test order.
    table : str or Path or None
        Table of results of one sample.

    Returns
    -------
    tuple of (str, tuple of Result)
        Name of the sample; empty and no results where neither is given.

    Raises
    ------
    InputError
        Where the table holds several samples.
    """
    sample = ""
    results: tuple[Result, ...] = ()
    if order is not None:
        from resile.workflows.orders.ordering import report_order

        statement = report_order(order, date="1970-01-01").statement  # the date is for paper only
        sample, results = statement.sample, statement.results
    if table is not None:
        from resile.workflows.judging.grading import grade_table

        statements = grade_table(table).statements
        if len(statements) != 1:
            names = ", ".join(statement.sample for statement in statements)
            raise InputError(
                f"{table}: results of one sample are needed; the table holds {len(statements)}: {names}"
            )
        sample = sample or statements[0].sample
        results = (*results, *statements[0].results)
    return sample, results
