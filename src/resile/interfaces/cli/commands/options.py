"""Options that several commands share."""

from typing import Annotated

import typer

Json = Annotated[bool, typer.Option("--json", help="Print JSON for machines.")]
PriceRule = Annotated[
    list[str] | None,
    typer.Option(
        help="Price rule of the contract, shown as a money view apart from the verdict: a name or a file "
        "(see: resile rules); may be repeated.",
        show_default=False,
    ),
]
PriceLimit = Annotated[
    float | None,
    typer.Option(
        help="Limit that a price rule counts from, where the specification has none.", show_default=False
    ),
]
Record = Annotated[
    str,
    typer.Option(
        "--record",
        help="The laboratory's record: a file, or the URL of a PostgreSQL database; where not given, what "
        "RESILE_RECORD says, or the usual place in the user's data folder.",
        show_default=False,
    ),
]
BASIS_WORDS = (
    "What the uncertainty rests on: reproducibility, repeatability, replicates, budget, combined or own (the "
    "laboratory's own precision); several with commas, and the first that gives one is taken."
)
OwnPrecision = Annotated[
    str,
    typer.Option("--precision", help="The laboratory's own precision (name or file), for the basis 'own'."),
]
TestedOn = Annotated[
    str,
    typer.Option("--tested", help="Day of the tests, YYYY-MM-DD: own precision holds for a time."),
]
