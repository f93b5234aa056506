"""Commands on production beside its charts: capability, target, quick tests, sampling."""

from pathlib import Path
from typing import Annotated, Any

import typer

from resile.interfaces.cli.commands.options import Json
from resile.interfaces.cli.commands.watch import (
    AtLeast,
    AtMost,
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

Test = Annotated[
    str,
    typer.Option(
        help="Scatter of the test: 5% of the value, 0.02 in the unit, repeatability or reproducibility.",
        show_default=False,
    ),
]


@watch.command("capability")
@with_layout_options(TABLES)
def watch_capability(
    table: Table,
    how: dict[str, Any],
    quantity: Property,
    at_most: AtMost = None,
    at_least: AtLeast = None,
    product: Product = "",
    residue: Residue = "",
    temperature: Temperature = None,
    scale: Scale = "",
    date_order: DateOrder = "",
    test: Test = "",
    natural_limit: Annotated[
        float | None,
        typer.Option(
            help="Bound by nature on the other side, such as 0 or 100, in the unit of the property.",
            show_default=False,
        ),
    ] = None,
    confidence: Annotated[float, typer.Option(help="Of the intervals.")] = 0.95,
    page: Page = None,
    date: Day = None,
    json: Json = False,
) -> None:
    """Say how far the lots of a product stay within a limit, with intervals."""
    from resile.interfaces.cli.production import run_capability

    asked = {"product": product, "condition": residue, "temperature_c": temperature, "scale": scale}
    asked |= {"at_most": at_most, "at_least": at_least}
    run_capability(
        (table, how, date_order),
        quantity,
        asked,
        test=test,
        natural_limit=natural_limit,
        confidence=confidence,
        pages=page or [],
        date=date,
        as_json=json,
    )


@watch.command("target")
@with_layout_options(TABLES)
def watch_target(
    how: dict[str, Any],
    quantity: Property,
    at_most: AtMost = None,
    at_least: AtLeast = None,
    plant: Annotated[
        str,
        typer.Option(
            help="Scatter of the plant from load to load, without that of the test: 12% or 0.05.",
            show_default=False,
        ),
    ] = "",
    results: Annotated[
        Path | None,
        typer.Option(help="Table of production to take the scatter of the plant from.", show_default=False),
    ] = None,
    test: Test = "reproducibility",
    own_test: Annotated[
        str,
        typer.Option(
            help="Scatter of the test within --results, taken off what is found there; repeatability where "
            "--test is a published one.",
            show_default=False,
        ),
    ] = "",
    share: Annotated[float, typer.Option(help="Share of loads, above 0 and below 1.")] = 0.95,
    aim: Annotated[str, typer.Option(help="What they are to do: conforms, passes or both.")] = "both",
    rule: Annotated[str, typer.Option(help="Decision rule for results: a name or a file.")] = "simple",
    margin_cost: Annotated[
        float | None,
        typer.Option(help="Cost a tonne of moving the mean one step to the good side.", show_default=False),
    ] = None,
    step: Annotated[
        float | None,
        typer.Option(
            help="The step: per cent of the value on a log scale (10), else in the unit (1).",
            show_default=False,
        ),
    ] = None,
    failure_cost: Annotated[
        float | None, typer.Option(help="Cost a tonne of a load that fails.", show_default=False)
    ] = None,
    claim_cost: Annotated[
        float, typer.Option(help="Cost a tonne of a load that passes and does not conform.")
    ] = 0.0,
    additive: Annotated[
        float | None,
        typer.Option(help="Additive that a step takes, in per cent of the binder.", show_default=False),
    ] = None,
    product: Product = "",
    residue: Residue = "",
    temperature: Temperature = None,
    scale: Scale = "",
    date_order: DateOrder = "",
    page: Page = None,
    date: Day = None,
    json: Json = False,
) -> None:
    """Give the mean to aim at, so that a share of loads conforms and passes, with risks and costs."""
    from resile.interfaces.cli.production import run_target

    asked = {"product": product, "condition": residue, "temperature_c": temperature, "scale": scale}
    asked |= {"at_most": at_most, "at_least": at_least}
    run_target(
        quantity,
        asked,
        money=(margin_cost, step, failure_cost, claim_cost, additive),
        plant=plant,
        results=None if results is None else (results, how, date_order),
        test=test,
        own_test=own_test,
        share=share,
        aim=aim,
        decision_rule=rule,
        pages=page or [],
        date=date,
        as_json=json,
    )


@watch.command("quick")
@with_layout_options(TABLES)
def watch_quick(
    table: Table,
    how: dict[str, Any],
    quick: Annotated[
        list[str],
        typer.Argument(
            help="Quick properties: complex_modulus, phase_angle, softening_point …; with @TEMPERATURE where "
            "the table holds several (complex_modulus@64).",
            metavar="QUICK…",
            show_default=False,
        ),
    ],
    quantity: Annotated[
        str,
        typer.Option(
            "--property", "-p", help="Slow property that is predicted, such as jnr_3.2.", show_default=False
        ),
    ],
    at_most: AtMost = None,
    at_least: AtLeast = None,
    anchored_until: Annotated[
        str,
        typer.Option(
            help="Last day of the lots that are fitted, YYYY-MM-DD; later lots with both results "
            "tell of drift.",
            show_default=False,
        ),
    ] = "",
    probability: Annotated[float, typer.Option(help="Asked for before a hint says: likely within.")] = 0.95,
    product: Product = "",
    residue: Residue = "",
    temperature: Temperature = None,
    scale: Scale = "",
    date_order: DateOrder = "",
    page: Page = None,
    date: Day = None,
    json: Json = False,
) -> None:
    """Fit quick tests of one product and say which lots to test first: a hint, never a verdict."""
    from resile.interfaces.cli.production import run_quick

    asked = {"product": product, "condition": residue, "temperature_c": temperature, "scale": scale}
    asked |= {"at_most": at_most, "at_least": at_least}
    run_quick(
        (table, how, date_order),
        quantity,
        quick,
        asked,
        anchored_until=anchored_until,
        least_probability=probability,
        pages=page or [],
        date=date,
        as_json=json,
    )


@watch.command("sampling")
def watch_sampling(
    plan: Annotated[
        str,
        typer.Argument(
            help="Sampling plan: a name (see: resile rules) or a file.", metavar="PLAN", show_default=False
        ),
    ],
    table: Annotated[
        Path | None,
        typer.Argument(
            help="List of lots in the order of production: lot, outcome, and perhaps opened, "
            "taken, tank, extra.",
            metavar="[LIST]",
            show_default=False,
        ),
    ] = None,
    loads: Annotated[
        Path | None,
        typer.Option(
            help="Gather a list of loads (load, date, tonnes, perhaps tank, added) into lots instead.",
            show_default=False,
        ),
    ] = None,
    severity: Annotated[
        str,
        typer.Option(
            help="Severity it begins with: tightened, normal or relaxed; that of the plan where not given.",
            show_default=False,
        ),
    ] = "",
    consent: Annotated[
        list[str] | None,
        typer.Option(
            help="Lot after which those responsible agreed to a milder severity; may be repeated.",
            show_default=False,
        ),
    ] = None,
    product: Product = "",
    page: Page = None,
    date: Annotated[
        str | None,
        typer.Option(
            "--date", help="Day for which it is asked, YYYY-MM-DD; today where not given.", show_default=False
        ),
    ] = None,
    json: Json = False,
) -> None:
    """Say how often lots are sampled now and why, and what is due; or gather loads into lots."""
    from resile.interfaces.cli.production import run_sampling

    run_sampling(
        plan,
        table,
        loads=loads,
        severity=severity,
        consented=consent or [],
        product=product,
        pages=page or [],
        date=date,
        as_json=json,
    )
