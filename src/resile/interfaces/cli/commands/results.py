"""Commands that judge results, and the rules they are judged by."""

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

Specification = Annotated[
    str,
    typer.Option(
        "--specification", "-s", help="Name of a specification, or a file of your own (see: resile rules)."
    ),
]
DecisionRule = Annotated[str, typer.Option(help="Decision rule, agreed before the test.")]
Basis = Annotated[
    str,
    typer.Option(help=BASIS_WORDS),
]
RetestRule = Annotated[str, typer.Option(help="Which determinations count, declared before the test.")]


@with_layout_options
def grade(
    table: Annotated[Path, typer.Argument(help="Table of results: one row a value or a specimen.")],
    how: dict[str, Any],
    ageing: Annotated[
        list[Path] | None,
        typer.Option(
            help="Ageing record, short-term or long-term (TOML, CSV, XLSX), naming its sample where the "
            "table holds several; may be repeated.",
            show_default=False,
        ),
    ] = None,
    specification: Specification = "m332-2014",
    decision_rule: DecisionRule = "simple",
    uncertainty_basis: Basis = "reproducibility",
    retest_rule: RetestRule = "mean-of-all",
    budget: Annotated[
        str, typer.Option(help="Uncertainty budget (name or file), for the bases 'budget' and 'combined'.")
    ] = "binder",
    correlation: Annotated[
        str,
        typer.Option(
            help="What errors share (name or file): laboratory-bias, independent, one-factor or common."
        ),
    ] = "laboratory-bias",
    precision: OwnPrecision = "",
    tested: TestedOn = "",
    claim: Annotated[
        str | None,
        typer.Option(
            help="A class or whole grade claimed, such as 64V, 64V-22 or 'PG 64-22': exit code 1 unless "
            "every sample satisfies it."
        ),
    ] = None,
    both_rules: Annotated[
        bool,
        typer.Option("--both-rules", help="Continuous temperatures by the other interpolation rule as well."),
    ] = False,
    allow_extrapolation: Annotated[
        bool,
        typer.Option(
            "--allow-extrapolation",
            help="Continuous temperatures up to one grade step outside the tests, marked as such.",
        ),
    ] = False,
    each: Annotated[
        bool,
        typer.Option("--each", help="Judge every determination on its own instead of the sample's mean."),
    ] = False,
    full: Annotated[
        bool | None,
        typer.Option("--full/--overview", help="The sheet of every sample, or one line a sample."),
    ] = None,
    price_rule: PriceRule = None,
    price_limit: PriceLimit = None,
    json: Json = False,
) -> None:
    """Judge a table of results against a specification: every class each sample satisfies, with margins."""
    from resile.interfaces.cli.judging import run_grade

    run_grade(
        table,
        ageing=ageing or (),
        specification=specification,
        decision_rule=decision_rule,
        uncertainty_basis=uncertainty_basis,
        retest_rule=retest_rule,
        budget=budget,
        correlation=correlation,
        precision=precision,
        tested=tested,
        each=each,
        claim=claim,
        both_rules=both_rules,
        allow_extrapolation=allow_extrapolation,
        full=full,
        price_rules=price_rule or (),
        price_limit=price_limit,
        how=how,
        as_json=json,
    )


@with_layout_options
def compare(
    tables: Annotated[
        list[Path],
        typer.Argument(
            help="Tables of results that belong together: conclusions may stand in another one than results.",
            show_default=False,
            metavar="TABLE...",
        ),
    ],
    how: dict[str, Any],
    specification: Annotated[
        list[str] | None,
        typer.Option(
            "--specification",
            "-s",
            help="Whose limits count, in this order; may be repeated. m332-2014, then m320, where not given.",
            show_default=False,
        ),
    ] = None,
    json: Json = False,
) -> None:
    """Compare reported conclusions (grades, critical temperatures, pass or fail) with reported results."""
    from resile.interfaces.cli.judging import run_compare

    run_compare(tables, specifications=specification or [], how=how, as_json=json)


def rules(
    name: Annotated[
        str | None,
        typer.Argument(help="Specification to show; all are listed where not given.", show_default=False),
    ] = None,
    template: Annotated[
        Path | None,
        typer.Option(help="Write a specification of your own to fill in to this file.", show_default=False),
    ] = None,
    schema: Annotated[
        str | None,
        typer.Option(
            help="Print the JSON Schema of a kind of file: specification, bench-book, laboratory, order, "
            "certificate, price-rule, binder-kind, traffic-rule, range, blend-book, ageing-record or "
            "sampling-plan.",
            show_default=False,
        ),
    ] = None,
    json: Json = False,
) -> None:
    """List the specifications and rules, show one, check one of your own, or start one from the template."""
    from resile.interfaces.cli.judging import run_rules

    run_rules(name, template=template, schema=schema, as_json=json)
