"""Several runs side by side as a table: values, spread, and the spread that repeatability allows."""

from __future__ import annotations

from collections.abc import Sequence

from resile.records.repeats import Repeats
from resile.report.numbers import NOT_KNOWN, fixed, shown
from resile.report.paper.models.model import LEFT, RIGHT, Column, Table
from resile.report.words import symbol_of

_OUTCOMES = {True: "within", False: "beyond: repeat", None: "no limit"}


def repeats_table(repeats: Sequence[Repeats], names: Sequence[str]) -> Table:
    """Tabulate values of several runs against the repeatability limit.

    Parameters
    ----------
    repeats : sequence of Repeats
        One a quantity.
    names : sequence of str
        Names of the runs.

    Returns
    -------
    Table
        A row a quantity, a column a run.
    """
    rows = tuple(
        (
            symbol_of(one.quantity),
            *(shown(value, one.quantity) for value in one.values),
            fixed(one.spread_percent, 1) if one.spread_percent is not None else NOT_KNOWN,
            fixed(one.limit_percent, 1) if one.limit_percent is not None else NOT_KNOWN,
            _OUTCOMES[one.within],
            one.note,
        )
        for one in repeats
    )
    return Table(
        "Largest less smallest value, in % of the mean, against the published repeatability of the test.",
        (
            Column("Value", LEFT, 1.0),
            *(Column(name, RIGHT, 1.1) for name in names),
            Column("Spread (%)", RIGHT, 1.0),
            Column("Repeatability limit (%)", RIGHT, 1.3),
            Column("Outcome", LEFT, 1.2),
            Column("Source", LEFT, 2.4),
        ),
        rows,
    )
