"""The group of commands on production, and the options that they share."""

from pathlib import Path
from typing import Annotated

import typer

watch = typer.Typer(
    name="watch",
    no_args_is_help=True,
    help="Keep production under control: charts, capability, target, quick tests, sampling.",
)

Table = Annotated[
    Path,
    typer.Argument(
        help="Table of production (.csv, .xlsx): a lot, or a replicate of one, a row, with its day.",
        metavar="TABLE",
        show_default=False,
    ),
]
Property = Annotated[
    str, typer.Option("--property", "-p", help="Property, for example jnr_3.2.", show_default=False)
]
AtMost = Annotated[
    float | None,
    typer.Option(
        "--at-most", help="Limit that must not be exceeded, in the unit of the property.", show_default=False
    ),
]
AtLeast = Annotated[
    float | None,
    typer.Option(
        "--at-least", help="Limit that must be reached, in the unit of the property.", show_default=False
    ),
]
Product = Annotated[str, typer.Option(help="Product, where the table holds several.", show_default=False)]
Residue = Annotated[
    str,
    typer.Option(
        help="Residue, where the table holds several or names none: original, short_term_aged, "
        "long_term_aged.",
        show_default=False,
    ),
]
Temperature = Annotated[
    float | None,
    typer.Option(
        help="Test temperature in °C, where the table holds several or names none.", show_default=False
    ),
]
Scale = Annotated[
    str,
    typer.Option(help="log or linear; the usual one of the property where not given.", show_default=False),
]
DateOrder = Annotated[
    str,
    typer.Option(help="day-first or month-first, for days such as 03/04/2026.", show_default=False),
]
Page = Annotated[
    list[Path] | None,
    typer.Option(
        help="Also write the page to a .html or .pdf file, its picture to .svg, its lots to .xlsx or .csv; "
        "may be repeated.",
        show_default=False,
    ),
]
Day = Annotated[
    str | None,
    typer.Option("--date", help="Date on the page, YYYY-MM-DD; today where not given.", show_default=False),
]
