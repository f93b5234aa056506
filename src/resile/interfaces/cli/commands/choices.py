"""The command that chooses binders for roads."""

from pathlib import Path
from typing import Annotated

import typer

from resile.interfaces.cli.commands.options import BASIS_WORDS, Json, OwnPrecision, TestedOn


def match(
    sites: Annotated[
        Path,
        typer.Argument(
            help="Table of sites (.csv, .xlsx): name and grade, or what the demand follows from.",
            show_default=False,
        ),
    ],
    binders: Annotated[
        Path,
        typer.Argument(
            help="List of binders (.toml, .csv, .xlsx): name, price, stock, file of results.",
            show_default=False,
            metavar="RANGE",
        ),
    ],
    specification: Annotated[
        str,
        typer.Option(
            "--specification",
            "-s",
            help="Name of a specification, or a file of your own (see: resile rules).",
        ),
    ] = "m332-2014",
    probability: Annotated[
        float, typer.Option(help="How sure a binder must be where it was not tested, above 0 and below 1.")
    ] = 0.95,
    with_uncertainty: Annotated[
        bool,
        typer.Option(
            "--with-uncertainty",
            help="Ask the same of measured results, by their uncertainty; else they count as judged.",
        ),
    ] = False,
    without: Annotated[
        list[str] | None,
        typer.Option(help="What if this binder could not be had; may be repeated.", show_default=False),
    ] = None,
    price: Annotated[
        list[str] | None,
        typer.Option(help="What if: 'BINDER=PRICE' per tonne; may be repeated.", show_default=False),
    ] = None,
    model: Annotated[
        str, typer.Option(help="Pavement model, for sites whose grade is not stated; as for: resile demand.")
    ] = "ltpp",
    decision_rule: Annotated[str, typer.Option(help="Decision rule, agreed before the test.")] = "simple",
    uncertainty_basis: Annotated[str, typer.Option(help=BASIS_WORDS)] = "reproducibility",
    precision: OwnPrecision = "",
    tested: TestedOn = "",
    folder: Annotated[
        Path | None,
        typer.Option(
            "--folder",
            "-f",
            help="Also write page, workbook, CSV and GeoJSON here, and a sheet for each site.",
            show_default=False,
        ),
    ] = None,
    date: Annotated[
        str | None,
        typer.Option(help="Date on the page, YYYY-MM-DD; today where not given.", show_default=False),
    ] = None,
    full: Annotated[bool, typer.Option("--full", help="Show every binder for every grade.")] = False,
    json: Json = False,
) -> None:
    """Choose binders for roads: who serves which site, at what cost, what to test next, how few would do."""
    from resile.interfaces.cli.choosing import run_match

    run_match(
        sites,
        binders,
        specification=specification,
        decision_rule=decision_rule,
        uncertainty_basis=uncertainty_basis,
        precision=precision,
        tested=tested,
        probability=probability,
        model=model,
        with_uncertainty=with_uncertainty,
        without=without or [],
        prices=price or [],
        folder=folder,
        date=date,
        full=full,
        as_json=json,
    )
