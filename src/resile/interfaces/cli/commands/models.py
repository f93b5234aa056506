"""Commands on models of one binder."""

from pathlib import Path
from typing import Annotated, Any

import typer

from resile.interfaces.cli.commands.options import Json
from resile.interfaces.cli.layout_options import with_layout_options

Pages = Annotated[
    list[Path] | None,
    typer.Option(
        "--page",
        help="Also write the page to a .html or .pdf file, or its first picture to .svg; may be repeated.",
        show_default=False,
    ),
]
Day = Annotated[
    str | None,
    typer.Option("--date", help="Date on the page, YYYY-MM-DD; today where not given.", show_default=False),
]

model = typer.Typer(
    name="model",
    no_args_is_help=True,
    help="Fit models to the tests of one binder, and say what follows from them.",
)


@model.command("damage")
@with_layout_options
def damage(
    file: Annotated[
        Path,
        typer.Argument(
            help="Record of a linear amplitude sweep: frequency part and amplitude part.",
            metavar="FILE",
            show_default=False,
        ),
    ],
    how: dict[str, Any],
    exponent: Annotated[
        str,
        typer.Option(
            help="Convention of the damage exponent that leads: inverse-slope (1/m) or "
            "one-plus-inverse-slope (1 + 1/m). The other is shown too."
        ),
    ] = "inverse-slope",
    slope: Annotated[
        float | None,
        typer.Option(
            help="Slope m of log G' against log frequency, where the file has no frequency part.",
            show_default=False,
        ),
    ] = None,
    strain: Annotated[
        list[float] | None,
        typer.Option(
            help="Strain amplitude (%) for which cycles to failure are asked; may be repeated; 2.5 and 5 "
            "where not given.",
            show_default=False,
        ),
    ] = None,
    page: Pages = None,
    date: Day = None,
    json: Json = False,
) -> None:
    """Give damage, fatigue law and cycles to failure of linear amplitude sweeps, with intervals."""
    from resile.interfaces.cli.modelling import run_damage

    run_damage(
        file,
        convention=exponent,
        slope=slope,
        strains=strain,
        pages=page or [],
        date=date,
        how=how,
        as_json=json,
    )
