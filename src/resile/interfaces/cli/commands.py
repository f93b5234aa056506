"""The commands and their options. Only typer is imported here; the work is imported where it is done."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from resile import __version__

app = typer.Typer(
    name="resile",
    help="From raw rheometer and ageing records of bitumen to a grade that can be defended.",
    no_args_is_help=True,
    pretty_exceptions_enable=False,
    context_settings={"help_option_names": ["-h", "--help"]},
)

Files = Annotated[list[Path], typer.Argument(help="Record files, or folders of them.", show_default=False)]
Json = Annotated[bool, typer.Option("--json", help="Print JSON for machines.")]


def _version(wanted: bool) -> None:
    if wanted:
        typer.echo(f"resile {__version__}")
        raise typer.Exit


@app.callback()
def resile(
    version: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help="Print the version and stop.")
    ] = False,
) -> None:
    """From raw rheometer and ageing records of bitumen to a grade that can be defended."""


Encoding = Annotated[str | None, typer.Option(help="Encoding of the text, e.g. cp1252.")]
Separator = Annotated[str | None, typer.Option(help="comma, semicolon, tab or blanks.")]
DecimalMark = Annotated[str | None, typer.Option(help="'.' or ','.")]
Column = Annotated[
    list[str] | None,
    typer.Option(help="What a column is: HEADING=QUANTITY or NUMBER=QUANTITY, e.g. 3=strain.", show_default=False),
]
StrainUnit = Annotated[str | None, typer.Option(help="Unit of the strain column: %, ‰ or ratio.")]
StressUnit = Annotated[str | None, typer.Option(help="Unit of the stress column: Pa, kPa or MPa.")]
TimeUnit = Annotated[str | None, typer.Option(help="Unit of the time column: s, min or h.")]
HeadingRow = Annotated[int | None, typer.Option(help="Row of the headings, counted from 1.")]
UnitsRow = Annotated[int | None, typer.Option(help="Row of the units, counted from 1.")]
FirstDataRow = Annotated[int | None, typer.Option(help="First row of numbers, counted from 1.")]
Sheet = Annotated[str | None, typer.Option(help="Sheet of a workbook.")]
PlateDiameter = Annotated[float | None, typer.Option(help="Plate diameter in mm, for torque and angle.")]
Gap = Annotated[float | None, typer.Option(help="Gap in mm, for torque and angle.")]
Temperature = Annotated[float | None, typer.Option(help="Test temperature in °C, where the file has none.")]
LayoutFile = Annotated[
    Path | None, typer.Option("--layout", help="A saved layout file; single options here win over it.")
]
