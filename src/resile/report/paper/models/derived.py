"""Numbers that follow from the results, as a table: shown with rule and source, not judged."""

from __future__ import annotations

from collections.abc import Sequence

from resile.records.derived import DerivedNumber
from resile.report.numbers import fixed
from resile.report.paper.models.model import LEFT, RIGHT, Column, Table
from resile.report.words import CONDITION_WORDS, WORKING_CAUTION


def derived_table(numbers: Sequence[DerivedNumber]) -> Table | None:
    """Tabulate numbers that follow from the results.

    Parameters
    ----------
    numbers : sequence of DerivedNumber
        Of one sample.

    Returns
    -------
    Table or None
        None where there are none; the caution for modified binder stands under working temperatures.
    """
    if not numbers:
        return None
    return Table(
        "What follows from the results. Not judged.",
        (
            Column("Number", LEFT, 1.7),
            Column("Residue", LEFT, 1.4),
            Column("Value", RIGHT, 1.6),
            Column("Rule", LEFT, 3.6),
            Column("Source", LEFT, 2.4),
        ),
        tuple(
            (one.title, CONDITION_WORDS[one.condition], value_words(one), one.rule, one.source)
            for one in numbers
        ),
        WORKING_CAUTION if any(one.working for one in numbers) else "",
    )


def value_words(number: DerivedNumber) -> str:
    """Show a temperature range to 0.1 °C and an index to two decimals: its forms differ by 0.01."""
    if number.working:
        return f"{fixed(number.lowest, 1)} to {fixed(number.highest, 1)} {number.unit}"
    return fixed(number.lowest, 2)
