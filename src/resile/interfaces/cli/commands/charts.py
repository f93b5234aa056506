"""Commands on control charts, in the group ``watch``."""

from typing import Annotated, Any

import typer

from resile.interfaces.cli.commands.options import Json
from resile.interfaces.cli.commands.watch import (
    DateOrder,
    Day,
    Page,
    Product,
    Property,
    Residue,
    Scale,
    Table,
    Temperature,
    watch,
)
from resile.interfaces.cli.layout_options import TABLES, with_layout_options

__all__ = ["watch"]

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
@with_layout_options(TABLES)
def chart(
    table: Table,
    how: dict[str, Any],
    quantity: Property,
    kind: Annotated[str, typer.Option("--chart", help=KIND_HELP)] = "individuals",
    rules: Rules = None,
    settings: Settings = None,
    set_up_since: Since = "",
    set_up_until: Until = "",
    leave_out: LeaveOut = None,
    anew_after: Annotated[
        list[str] | None,
        typer.Option(
            metavar="LOT",
            help="Begin sums or averages anew after this lot: its signal was looked into; may be repeated.",
            show_default=False,
        ),
    ] = None,
    target: Annotated[
        float | None,
        typer.Option(
            help="What production aims at, in the unit of the property; the mean of the set-up where not "
            "given.",
            show_default=False,
        ),
    ] = None,
    scale: Scale = "",
    product: Product = "",
    residue: Residue = "",
    temperature: Temperature = None,
    date_order: DateOrder = "",
    page: Page = None,
    date: Day = None,
    json: Json = False,
) -> None:
    """Put a property of a product on a control chart: where to look, what changed, what may lie behind it.

    A signal says "look here"; it says nothing about conformity.
    """
    from resile.interfaces.cli.charting import run_chart

    asked = {"product": product, "condition": residue, "temperature_c": temperature}
    run_chart(
        (table, how, date_order),
        quantity,
        {**asked, "scale": scale, "target": target},
        set_up=(set_up_since, set_up_until, leave_out or []),
        settings=settings or [],
        pages=page or [],
        date=date,
        as_json=json,
        chart=kind,
        run_rules=tuple(rules or ()),
        anew_after=tuple(anew_after or ()),
    )


@watch.command("together")
@with_layout_options(TABLES)
def together(
    table: Table,
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
    residue: Residue = "",
    temperature: Temperature = None,
    date_order: DateOrder = "",
    page: Page = None,
    date: Day = None,
    json: Json = False,
) -> None:
    """Watch several correlated properties as one distance, and say which of them lies apart."""
    from resile.interfaces.cli.charting import run_together

    asked: dict[str, Any] = {"product": product, "condition": residue, "temperature_c": temperature}
    run_together(
        (table, how, date_order),
        quantities or [],
        set_up=(set_up_since, set_up_until, leave_out or []),
        pages=page or [],
        date=date,
        as_json=json,
        false_alarm=false_alarm,
        **asked,
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
