"""The command that checks a supplier's certificate."""

from pathlib import Path
from typing import Annotated, Any

import typer

from resile.interfaces.cli.commands.options import (
    BASIS_WORDS,
    Json,
    OwnPrecision,
    PriceLimit,
    PriceRule,
    TestedOn,
)
from resile.interfaces.cli.layout_options import with_layout_options


@with_layout_options
def certificate(
    file: Annotated[
        Path,
        typer.Argument(
            help="Supplier's certificate, typed or imported (CSV, XLSX, TOML).",
            metavar="CERTIFICATE",
            show_default=False,
        ),
    ],
    how: dict[str, Any],
    own: Annotated[
        Path | None,
        typer.Option(help="Own results: a test order (TOML) or a table of one sample.", show_default=False),
    ] = None,
    specification: Annotated[
        str | None,
        typer.Option(
            "--specification",
            "-s",
            help="In force: a name, or a file of your own; that of the order, or the one the grade is "
            "written by, where not given.",
            show_default=False,
        ),
    ] = None,
    claim: Annotated[
        str | None,
        typer.Option(
            help="Grade that has to be shown, e.g. 'PG 64V-22'; the one on the certificate where not given.",
            show_default=False,
        ),
    ] = None,
    decision_rule: Annotated[
        str | None, typer.Option(help="Decision rule, agreed before the test.", show_default=False)
    ] = None,
    uncertainty_basis: Annotated[
        str | None,
        typer.Option(help=BASIS_WORDS, show_default=False),
    ] = None,
    precision: OwnPrecision = "",
    tested: TestedOn = "",
    retest_rule: Annotated[
        str | None,
        typer.Option(help="Which determinations count, declared before the test.", show_default=False),
    ] = None,
    sample: Annotated[str, typer.Option(help="Which batch, where the certificate holds several.")] = "",
    batch: Annotated[str, typer.Option(help="Batch on the delivery note.")] = "",
    tank: Annotated[str, typer.Option(help="Tank on the delivery note.")] = "",
    delivered: Annotated[
        str | None, typer.Option(help="Date of delivery, YYYY-MM-DD.", show_default=False)
    ] = None,
    earlier: Annotated[
        list[Path] | None,
        typer.Option(
            help="Another certificate of this product: values repeated from it are told; may be repeated.",
            show_default=False,
        ),
    ] = None,
    price_rule: PriceRule = None,
    price_limit: PriceLimit = None,
    folder: Annotated[
        Path | None,
        typer.Option(
            "--folder", "-f", help="Also write the sheet here (HTML, PDF, XLSX).", show_default=False
        ),
    ] = None,
    date: Annotated[
        str | None,
        typer.Option(help="Date of the check, YYYY-MM-DD; today where not given.", show_default=False),
    ] = None,
    json: Json = False,
) -> None:
    """Check a supplier's certificate line by line, against the specification in force and own results."""
    from resile.interfaces.cli.checking import run_certificate

    run_certificate(
        file,
        own=own,
        specification=specification,
        claim=claim,
        decision_rule=decision_rule,
        uncertainty_basis=uncertainty_basis,
        precision=precision,
        tested=tested,
        retest_rule=retest_rule,
        sample=sample,
        batch=batch,
        tank=tank,
        delivered=delivered,
        earlier=earlier or (),
        price_rules=price_rule or (),
        price_limit=price_limit,
        folder=folder,
        date=date,
        how=how,
        as_json=json,
    )
