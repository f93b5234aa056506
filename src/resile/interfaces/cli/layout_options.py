"""The options by which any command that reads records can be told how a file is to be understood."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Annotated, Any, overload

import typer

from resile.interfaces.cli.option_groups import Command, with_options

PANEL = "How the file is to be understood (found in the file where not given)"


def _option(kind: Any, text: str, *names: str) -> Any:
    return Annotated[kind | None, typer.Option(*names, help=text, rich_help_panel=PANEL, show_default=False)]


OPTIONS: dict[str, Any] = {
    "layout": _option(Path, "A saved layout file; single options win over it."),
    "encoding": _option(str, "Encoding of the text, for example cp1252."),
    "separator": _option(str, "comma, semicolon, tab or blanks."),
    "decimal_mark": _option(str, "'.' or ','."),
    "thousands_mark": _option(str, "',', '.', \"'\" or a blank."),
    "heading_row": _option(int, "Row of the headings, counted from 1."),
    "units_row": _option(int, "Row of the units, counted from 1."),
    "first_data_row": _option(int, "First row of numbers, counted from 1."),
    "column": _option(
        list[str],
        "What a column is: HEADING=QUANTITY or NUMBER=QUANTITY, with :UNIT if need be (3=strain:%).",
    ),
    "sheet": _option(str, "Sheet of a workbook."),
    "time_unit": _option(str, "Unit of the time: s, min or h."),
    "stress_unit": _option(str, "Unit of the stress: Pa, kPa or MPa."),
    "strain_unit": _option(str, "Unit of the strain: %, ‰ or ratio."),
    "plate_diameter": _option(float, "Plate diameter in mm, for torque and angle."),
    "gap": _option(float, "Gap in mm, for torque and angle."),
    "temperature": _option(float, "Test temperature in °C, where the file has none."),
}


WEATHER: dict[str, Any] = {
    **{
        name: OPTIONS[name]
        for name in (
            "layout",
            "encoding",
            "separator",
            "decimal_mark",
            "thousands_mark",
            "heading_row",
            "sheet",
        )
    },
    "column": _option(
        list[str],
        "What a column is: HEADING=MEANING or NUMBER=MEANING, with date, year, month, day, "
        "day_of_year, maximum, "
        "minimum or site as meaning (4=maximum).",
    ),
}
"""Those that make sense for a daily weather record."""

TABLES: dict[str, Any] = {
    name: OPTIONS[name]
    for name in ("layout", "encoding", "separator", "decimal_mark", "thousands_mark", "column", "sheet")
}
"""Those that make sense for a table of results."""


@overload
def with_layout_options(offered: Command) -> Command: ...


@overload
def with_layout_options(offered: dict[str, Any]) -> Callable[[Command], Command]: ...


def with_layout_options(offered: dict[str, Any] | Command) -> Command | Callable[[Command], Command]:
    """Give a command the layout options; it receives them as one mapping named ``how``.

    Parameters
    ----------
    offered : callable or dict
        A command with a keyword ``how``, all its other parameters its own; or the options to offer, which
        gives the decorator.

    Returns
    -------
    callable
        The same command, with the options in its signature, as typer reads it.
    """
    if callable(offered):
        return with_options("how", OPTIONS)(offered)
    return with_options("how", offered)
