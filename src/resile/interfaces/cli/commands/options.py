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
