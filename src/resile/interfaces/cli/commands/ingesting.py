"""Commands that bring samples and record files into the laboratory's record."""

from typing import Annotated, Any

import typer

from resile.interfaces.cli.commands.options import Json, Record
from resile.interfaces.cli.commands.records import Records
from resile.interfaces.cli.layout_options import with_layout_options


def receive(
    number: Annotated[
        str,
        typer.Argument(
            help="Number of the sample; the next one of the laboratory where not given.", metavar="[NUMBER]"
        ),
    ] = "",
    product: Annotated[
        str, typer.Option(help="Product, by name; a new one is kept on the way.", show_default=False)
    ] = "",
    customer: Annotated[
        str, typer.Option(help="Customer, by name; a new one is kept on the way.", show_default=False)
    ] = "",
    tank: Annotated[str, typer.Option(help="Tank it was taken from, by name.", show_default=False)] = "",
    lot: Annotated[str, typer.Option(help="Lot or batch.", show_default=False)] = "",
    claim: Annotated[str, typer.Option(help="Grade that the sender claims.", show_default=False)] = "",
    received: Annotated[
        str, typer.Option(help="Day of receipt, YYYY-MM-DD; today where not given.", show_default=False)
    ] = "",
    can: Annotated[
        list[str] | None,
        typer.Option(help="What is written on a can; may be repeated.", show_default=False),
    ] = None,
    split: Annotated[
        bool, typer.Option("--split", help="Split it into A (tested) and B (retained).")
    ] = False,
    record: Record = "",
    json: Json = False,
) -> None:
    """Receive a sample into the laboratory's record."""
    from resile.interfaces.cli.ingesting import run_receive

    told = {
        "number": number,
        "product": product,
        "customer": customer,
        "tank": tank,
        "lot": lot,
        "claimed_grade": claim,
        "received": received,
    }
    run_receive(record, told, cans=can or [], split=split, as_json=json)


@with_layout_options
def keep(
    files: Records,
    how: dict[str, Any],
    sample: Annotated[
        str, typer.Option(help="Number of the sample the files belong to.", show_default=False)
    ] = "",
    specimen: Annotated[str, typer.Option(help="Number of the specimen.", show_default=False)] = "",
    condition: Annotated[
        str,
        typer.Option(
            help="Residue: original, short_term_aged, long_term_aged or recovered.", show_default=False
        ),
    ] = "",
    instrument: Annotated[str, typer.Option(help="Instrument, by name.", show_default=False)] = "",
    operator: Annotated[str, typer.Option(help="Who tested.", show_default=False)] = "",
    tested: Annotated[str, typer.Option(help="Day of the test, YYYY-MM-DD.", show_default=False)] = "",
    remember: Annotated[
        str,
        typer.Option(
            help="Remember how the files are read under this name, for the next ones of their kind.",
            show_default=False,
        ),
    ] = "",
    record: Record = "",
    json: Json = False,
) -> None:
    """Keep record files in the laboratory's record, with the runs and results they give.

    A file that cannot be read yet is kept byte for byte; the same file is never kept twice.
    """
    from resile.interfaces.cli.ingesting import run_keep

    told = {
        "sample": sample,
        "specimen": specimen,
        "condition": condition,
        "instrument": instrument,
        "operator": operator,
        "tested": tested,
    }
    run_keep(record, files, told, how=how, remember=remember, as_json=json)
