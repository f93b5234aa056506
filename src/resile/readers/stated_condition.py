"""The state of the binder that a line above the columns of a record names."""

from __future__ import annotations

from collections.abc import Mapping

from resile.readers.conditions import read_condition
from resile.readers.grids.headings import read_heading
from resile.records.determination import Condition


def conditions_in_lines(details: Mapping[str, str]) -> list[Condition]:
    """Give the states of the binder that lines above the columns name, in their order.

    Parameters
    ----------
    details : mapping of str to str
        Lines of the file, as name and text, for example ``{"residue": "RTFO"}``.

    Returns
    -------
    list of Condition
        `Condition.UNKNOWN` for a word that decides nothing.
    """
    named = (text for name, text in details.items() if read_heading([name]).quantity == "condition")
    return [read_condition(text)[0] for text in named]
