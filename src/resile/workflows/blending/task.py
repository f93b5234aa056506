"""Questions to a blend book in a file: design, recipe as given, trials to make, portfolio, rescue."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from importlib import resources
from pathlib import Path
from typing import Any

from resile.errors import InputError
from resile.readers.blends.book import read_blend_book
from resile.records.blending.book import BlendBook
from resile.records.blending.portfolio import GradeDemand
from resile.records.finding import Finding
from resile.workflows.blending.designing.design import SEED, design_blend
from resile.workflows.blending.designing.recipes import predict_blend
from resile.workflows.blending.designing.trial import next_trials
from resile.workflows.blending.planning.portfolio import plan_portfolio
from resile.workflows.blending.planning.tank_rescue import rescue_tank
from resile.workflows.blending.shown import (
    DesignAnswer,
    PortfolioAnswer,
    RecipeAnswer,
    RescueAnswer,
    TrialsAnswer,
)


def design_book(
    path: str | Path, *, objective: str | None = None, probability: float | None = None, seed: int = SEED
) -> DesignAnswer:
    """Work out a recipe from a blend book.

    Parameters
    ----------
    path : str or Path
        The book (.toml).
    objective : str or None
        In place of that of the book.
    probability : float or None
        In place of that of the book, above 0 and below 1.
    seed : int
        Of every draw.

    Returns
    -------
    DesignAnswer
        Recipes, limits, pictures, pages.

    Raises
    ------
    ResileError
        Where the book cannot be used.
    """
    return DesignAnswer(design_blend(_asked(read_blend_book(Path(path)), objective, probability), seed=seed))


def predict_recipe(path: str | Path, percent: Mapping[str, float]) -> RecipeAnswer:
    """Say what a recipe keeps.

    Parameters
    ----------
    path : str or Path
        The book (.toml).
    percent : mapping of str to float
        Share of each component by mass [%]; capitals do not matter.

    Returns
    -------
    RecipeAnswer
        Every limit with value, interval and probability.

    Raises
    ------
    ResileError
        Where a component is not known, shares do not add up to 100, or the book cannot be used.
    """
    from resile.readers.blends.problems import Problems
    from resile.readers.blends.shares import named_percent
    from resile.workflows.blending.designing.limits import aim_limits

    book = read_blend_book(Path(path))
    problems = Problems()
    shares, _ = named_percent(percent, [one.name for one in book.components], "recipe", problems)
    problems.refuse()
    return RecipeAnswer(book, predict_blend(book, shares), aim_limits(book).grade)


def propose_trials(path: str | Path, *, count: int = 3, seed: int = SEED) -> TrialsAnswer:
    """Say which blends to make and test next.

    Parameters
    ----------
    path : str or Path
        The book (.toml).
    count : int
        How many at most.
    seed : int
        Of every draw.

    Returns
    -------
    TrialsAnswer
        The most telling first.

    Raises
    ------
    ResileError
        Where the book cannot be used.
    """
    book = read_blend_book(Path(path))
    return TrialsAnswer(book, next_trials(book, count=count, seed=seed))


def plan_tanks_of_book(path: str | Path, demands: Mapping[str, float], **asked: Any) -> PortfolioAnswer:
    """Plan which recipes to keep for a season.

    Parameters
    ----------
    path : str or Path
        The book (.toml).
    demands : mapping of str to float
        Tonnes by whole grade [t].
    **asked
        As for `resile.workflows.blending.planning.portfolio.plan_portfolio`.

    Returns
    -------
    PortfolioAnswer
        Recipes to keep, what they serve, what they cost.

    Raises
    ------
    ResileError
        Where the book cannot be used, or a grade is not known.
    """
    book = read_blend_book(Path(path))
    named = [GradeDemand(grade, amount) for grade, amount in demands.items()]
    return PortfolioAnswer(plan_portfolio(book, named, **asked), book)


def rescue_tank_of_book(
    path: str | Path,
    percent: Mapping[str, float],
    *,
    tank_kg: float,
    capacity_kg: float,
    results: str | Path | None = None,
    seed: int = SEED,
) -> RescueAnswer:
    """Say what to add to a tank that is off its grade.

    Parameters
    ----------
    path : str or Path
        The book (.toml).
    percent : mapping of str to float
        What is in the tank [%]; empty where it is known by its results.
    tank_kg, capacity_kg : float
        How much is in it, and how much it holds [kg].
    results : str or Path or None
        Table of results of the tank, in place of its recipe.
    seed : int
        Of every draw.

    Returns
    -------
    RescueAnswer
        The least addition, and what the tank is then.

    Raises
    ------
    ResileError
        Where the book or the table cannot be used, both or neither are given, or no addition serves.
    """
    from resile.readers.blends.problems import Problems
    from resile.readers.blends.shares import named_percent
    from resile.readers.summary_table import read_summary_table
    from resile.workflows.blending.planning.tank_content import content_by_results

    book = read_blend_book(Path(path))
    if bool(percent) == (results is not None):
        raise InputError(
            "tank: needed is its recipe, NAME=PERCENT of each component, or its results; not both"
        )
    if results is None:
        problems = Problems()
        shares, _ = named_percent(percent, [one.name for one in book.components], "recipe", problems)
        problems.refuse()
        told: tuple[Finding, ...] = ()
    else:
        table = read_summary_table(Path(results))
        samples = list(dict.fromkeys(one.sample for one in table.determinations))
        if len(samples) != 1:
            raise InputError(
                f"{results}: results of {len(samples)} samples found; needed are those of one tank alone"
            )
        content = content_by_results(book, table.determinations)
        shares, told = content.percent, content.findings
    found = rescue_tank(book, dict(shares), tank_kg=tank_kg, capacity_kg=capacity_kg, seed=seed)
    return RescueAnswer(book, replace(found, findings=(*told, *found.findings)), dict(shares))


def start_book(path: str | Path) -> Path:
    """Write a blend book to fill in; an existing file is not overwritten.

    Parameters
    ----------
    path : str or Path
        File to make.

    Returns
    -------
    Path
        The file.

    Raises
    ------
    InputError
        Where the file exists, or cannot be written.
    """
    target = Path(path)
    content = (resources.files(__package__) / "templates" / "book.toml").read_bytes()
    try:
        with target.open("xb") as file:
            file.write(content)
    except FileExistsError:
        raise InputError(f"{target} exists already; choose another name for your blend book") from None
    except OSError as error:
        raise InputError(f"{target}: cannot be written ({error.strerror})") from error
    return target


def _asked(book: BlendBook, objective: str | None, probability: float | None) -> BlendBook:
    """Give the book with what was asked for here in place of its own aim."""
    changes: dict[str, Any] = {}
    if objective is not None:
        changes["objective"] = objective
    if probability is not None:
        if not 0.0 < probability < 1.0:
            raise InputError(
                f"probability {probability:g}: needed is a number above 0 and below 1, such as 0.95"
            )
        changes["probability"] = probability
    return replace(book, aim=replace(book.aim, **changes)) if changes else book
