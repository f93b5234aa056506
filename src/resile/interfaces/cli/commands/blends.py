"""Commands on blends: work out a recipe, ask about one, find the next trial, plan tanks, mix by a rule."""

from pathlib import Path
from typing import Annotated

import typer

from resile.interfaces.cli.commands.options import Json

Book = Annotated[
    Path,
    typer.Argument(
        help="Blend book (.toml): components, trials, aim; its tables lie beside it.",
        metavar="BOOK.toml",
        show_default=False,
    ),
]
Seed = Annotated[int, typer.Option(help="Of every draw: the same seed gives the same answer.")]
Batch = Annotated[
    list[Path] | None,
    typer.Option(
        "--batch",
        help="Also write the batch sheet to a .pdf or .html file; may be repeated.",
        show_default=False,
    ),
]
Day = Annotated[
    str | None,
    typer.Option("--date", help="Date on the page, YYYY-MM-DD; today where not given.", show_default=False),
]
SEED = 20

blend = typer.Typer(
    name="blend",
    no_args_is_help=True,
    help="Work out a blend: recipe, limits with probability, cost, next trial, tanks.",
)


@blend.command("start")
def start_blend(
    file: Annotated[Path, typer.Argument(help="File to make.", metavar="NEW.toml", show_default=False)],
) -> None:
    """Write a blend book to fill in, with a comment at every key."""
    from resile.workflows.blending.task import start_book

    typer.echo(f"written: {start_book(file)}")


@blend.command("design")
def design_blend_book(
    book: Book,
    objective: Annotated[
        str | None,
        typer.Option(
            help="What is sought: cost, margin, 'fewest components' or 'smallest change'; that of the book "
            "where not given.",
            show_default=False,
        ),
    ] = None,
    probability: Annotated[
        float | None,
        typer.Option(
            help="That a batch keeps the whole grade, above 0 and below 1; that of the book where not given.",
            show_default=False,
        ),
    ] = None,
    seed: Seed = SEED,
    page: Annotated[
        list[Path] | None,
        typer.Option(
            help="Also write the page to a .html or .pdf file, or the ternary picture to .svg; may be "
            "repeated.",
            show_default=False,
        ),
    ] = None,
    batch: Batch = None,
    date: Day = None,
    full: Annotated[
        bool, typer.Option("--full", help="Also show every dose window, errors of dosing, and the fits.")
    ] = False,
    json: Json = False,
) -> None:
    """Work out the recipe: the cheapest that keeps the whole grade with the probability asked for.

    Exit code 1 where none does: the nearest miss is then shown, and what stands in its way.
    """
    from resile.interfaces.cli.blending import run_design

    run_design(
        book,
        objective=objective,
        probability=probability,
        seed=seed,
        pages=page or [],
        batches=batch or [],
        date=date,
        full=full,
        as_json=json,
    )


@blend.command("predict")
def predict_blend_recipe(
    book: Book,
    shares: Annotated[
        list[str],
        typer.Argument(
            help="Recipe: 'NAME=PERCENT' of each component.", metavar="NAME=PERCENT…", show_default=False
        ),
    ],
    batch: Batch = None,
    date: Day = None,
    json: Json = False,
) -> None:
    """Say what a recipe of your own keeps (exit code 1 where an expected value misses a limit)."""
    from resile.interfaces.cli.blending import run_predict_blend

    run_predict_blend(book, shares, batches=batch or [], date=date, as_json=json)


@blend.command("trial")
def next_blend_trial(
    book: Book,
    count: Annotated[int, typer.Option(help="How many at most.", min=1, max=20)] = 3,
    seed: Seed = SEED,
    json: Json = False,
) -> None:
    """Say which blends to make and test next, with the tests they need."""
    from resile.interfaces.cli.blending import run_trials

    run_trials(book, count=count, seed=seed, as_json=json)


@blend.command("portfolio")
def plan_blend_portfolio(
    book: Book,
    demands: Annotated[
        list[str],
        typer.Argument(
            help="Demand: 'GRADE=TONNES' of each whole grade.", metavar="GRADE=TONNES…", show_default=False
        ),
    ],
    tanks: Annotated[
        int | None,
        typer.Option(help="Tanks there are; recipes beyond them cost a change.", min=1, show_default=False),
    ] = None,
    keeping_cost: Annotated[float, typer.Option(help="Cost of keeping one recipe.", min=0.0)] = 0.0,
    change_cost: Annotated[float, typer.Option(help="Cost of one change of a tank.", min=0.0)] = 0.0,
    most_recipes: Annotated[
        int | None, typer.Option(help="At most so many recipes.", min=1, show_default=False)
    ] = None,
    seed: Seed = SEED,
    page: Annotated[
        list[Path] | None,
        typer.Option(
            help="Also write the page to a .html or .pdf file; may be repeated.", show_default=False
        ),
    ] = None,
    date: Day = None,
    json: Json = False,
) -> None:
    """Plan few recipes for many grades: which to keep, whom they serve, what they cost.

    Exit code 1 where a grade is served by none.
    """
    from resile.interfaces.cli.blending import run_portfolio

    run_portfolio(
        book,
        demands,
        pages=page or [],
        date=date,
        as_json=json,
        tanks=tanks,
        keeping_cost=keeping_cost,
        change_cost=change_cost,
        most_recipes=most_recipes,
        seed=seed,
    )


@blend.command("rescue")
def rescue_blend_tank(
    book: Book,
    tank: Annotated[float, typer.Option(help="How much is in the tank [kg].", show_default=False)],
    capacity: Annotated[float, typer.Option(help="How much it holds [kg].", show_default=False)],
    shares: Annotated[
        list[str] | None,
        typer.Argument(
            help="What is in it: 'NAME=PERCENT' of each component.",
            metavar="NAME=PERCENT…",
            show_default=False,
        ),
    ] = None,
    results: Annotated[
        Path | None,
        typer.Option(help="Table of results of the tank, where its recipe is not known.", show_default=False),
    ] = None,
    seed: Seed = SEED,
    json: Json = False,
) -> None:
    """Say what to add to a tank that is off its grade: the least that brings it back."""
    from resile.interfaces.cli.blending import run_rescue

    run_rescue(book, shares or [], tank=tank, capacity=capacity, results=results, seed=seed, as_json=json)
