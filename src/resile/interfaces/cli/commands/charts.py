"""Commands on control charts, in the group ``watch``."""

from pathlib import Path
from typing import Annotated, Any

import typer

from resile.interfaces.cli.commands.models import Day, Pages
from resile.interfaces.cli.commands.options import Json
from resile.interfaces.cli.commands.production import watch
from resile.interfaces.cli.layout_options import with_layout_options

__all__ = ["watch"]

Production = Annotated[
    Path,
    typer.Argument(
        help="Table of production (CSV or XLSX): a lot or a replicate a row, with its day.",
        metavar="TABLE",
        show_default=False,
    ),
]
Product = Annotated[str, typer.Option(help="Product, where the table holds several.", show_default=False)]
Residue = Annotated[
    str,
    typer.Option(
        help="Residue, where the table holds several: original, short_term_aged, long_term_aged.",
        show_default=False,
    ),
]
At = Annotated[
    float | None,
    typer.Option(help="Test temperature in °C, where the table holds several.", show_default=False),
]
Since = Annotated[
    str, typer.Option("--set-up-since", help="First day of the set-up, YYYY-MM-DD.", show_default=False)
]
Until = Annotated[
    str,
    typer.Option(
        "--set-up-until",
        help="Last day of the set-up; later lots are watched against limits that stay. Without it every lot "
        "belongs to the set-up.",
        show_default=False,
    ),
]
LeaveOut = Annotated[
    list[str] | None,
    typer.Option(
        "--leave-out",
        metavar="LOT=REASON",
        help="Leave a lot out, with the cause that was found; may be repeated. It stays on the chart.",
        show_default=False,
    ),
]
DateOrder = Annotated[
    str,
    typer.Option(help="day-first or month-first, for days such as 03/04/2026.", show_default=False),
]
Rules = Annotated[
    list[str] | None,
    typer.Option(
        help="Run rules that are on beside the limits: a set, or set/rule (see: resile watch rules); may be "
        "repeated.",
        show_default=False,
    ),
]
Settings = Annotated[
    list[str] | None,
    typer.Option(
        "--set",
        metavar="NAME=NUMBER",
        help="Setting of the chart: weight and width of a weighted average; slack, interval and head_start "
        "of cumulative sums, in standard deviations; may be repeated.",
        show_default=False,
    ),
]
KIND_HELP = (
    "individuals (single values or means of lots), mean-and-range or mean-and-deviation (replicates in every "
    "lot), weighted-average (slow drift), cumulative-sum (small lasting shifts)."
)


@watch.command("chart")
@with_layout_options
def chart(
    table: Production,
    how: dict[str, Any],
    quantity: Annotated[
        str,
        typer.Option("--property", "-p", help="Property, for example jnr_3.2.", show_default=False),
    ],
    kind: Annotated[str, typer.Option("--chart", help=KIND_HELP)] = "individuals",
    rules: Rules = None,
    settings: Settings = None,
    set_up_since: Since = "",
    set_up_until: Until = "",
    leave_out: LeaveOut = None,
    target: Annotated[
        float | None,
        typer.Option(
            help="What production aims at, in the unit of the property; the mean of the set-up where not "
            "given.",
            show_default=False,
        ),
    ] = None,
    scale: Annotated[
        str,
        typer.Option(help="log or linear; log for Jnr where not given.", show_default=False),
    ] = "",
    product: Product = "",
    condition: Residue = "",
    at: At = None,
    date_order: DateOrder = "",
    page: Pages = None,
    date: Day = None,
    json: Json = False,
) -> None:
    """Put a property of a product on a control chart: where to look, what changed, what may lie behind it.

    A signal says "look here"; it says nothing about conformity.
    """
    from resile.interfaces.cli.charting import run_chart

    run_chart(
        table,
        quantity,
        how=how,
        settings=settings or [],
        leave_out=leave_out or [],
        since=set_up_since,
        until=set_up_until,
        series=(product, condition, at),
        pages=page or [],
        date=date,
        as_json=json,
        chart=kind,
        run_rules=tuple(rules or ()),
        target=target,
        scale=scale,
        date_order=date_order,
    )


@watch.command("together")
@with_layout_options
def together(
    table: Production,
    how: dict[str, Any],
    quantities: Annotated[
        list[str] | None,
        typer.Option(
            "--property", "-p", help="Property; may be repeated; all where not given.", show_default=False
        ),
    ] = None,
    set_up_since: Since = "",
    set_up_until: Until = "",
    leave_out: LeaveOut = None,
    false_alarm: Annotated[
        float, typer.Option(help="Chance of a false alarm at one lot.", min=1e-6, max=0.2)
    ] = 0.0027,
    product: Product = "",
    condition: Residue = "",
    at: At = None,
    date_order: DateOrder = "",
    page: Pages = None,
    date: Day = None,
    json: Json = False,
) -> None:
    """Watch several correlated properties as one distance, and say which of them lies apart."""
    from resile.interfaces.cli.charting import run_together

    run_together(
        table,
        quantities or [],
        how=how,
        leave_out=leave_out or [],
        since=set_up_since,
        until=set_up_until,
        series=(product, condition, at),
        pages=page or [],
        date=date,
        as_json=json,
        false_alarm=false_alarm,
        date_order=date_order,
    )


@watch.command("rules")
def rules(json: Json = False) -> None:
    """List the run rules that can be chosen, with their source and how often they alarm falsely."""
    from resile.interfaces.cli.charting import run_rules

    run_rules(as_json=json)


@watch.command("run-length")
def run_length(
    kind: Annotated[str, typer.Option("--chart", help=KIND_HELP)] = "individuals",
    rules: Rules = None,
    settings: Settings = None,
    shift: Annotated[
        list[float] | None,
        typer.Option(
            help="Shift of the level in standard deviations of one value; may be repeated.",
            show_default=False,
        ),
    ] = None,
    replicates: Annotated[int, typer.Option(min=1, help="Results of a lot whose mean is plotted.")] = 1,
    json: Json = False,
) -> None:
    """Say what a chart promises: lots to a false alarm, and to a shift of a given size, on average."""
    from resile.interfaces.cli.charting import run_run_length

    run_run_length(
        chart=kind,
        run_rules=tuple(rules or ()),
        settings=settings or [],
        shifts=shift or [],
        replicates=replicates,
        as_json=json,
    )
