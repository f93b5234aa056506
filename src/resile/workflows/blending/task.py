"""Blends from a book: design, recipe as given, trials to make, portfolio; each shows and writes itself."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from importlib import resources
from pathlib import Path
from typing import TYPE_CHECKING, Any

from resile.errors import InputError
from resile.readers.blends.book import read_blend_book
from resile.records.blending.book import BlendBook
from resile.records.blending.design import BlendDesign, Rescue
from resile.records.blending.portfolio import GradeDemand, Portfolio
from resile.records.blending.recipe import NextTrial, Recipe
from resile.records.finding import Finding
from resile.version import __version__
from resile.workflows.blending.designing.design import SEED, design_blend
from resile.workflows.blending.designing.recipes import predict_blend
from resile.workflows.blending.designing.trial import next_trials
from resile.workflows.blending.pictures import (
    desk_of_design,
    dose_curves,
    shown_recipe,
    ternary_of_design,
    trials_of_limit,
)
from resile.workflows.blending.planning.portfolio import plan_portfolio
from resile.workflows.blending.planning.tank_rescue import rescue_tank

if TYPE_CHECKING:
    from resile.report.paper.blends.blends import DesignPictures
    from resile.report.paper.models.model import Page


@dataclass(frozen=True, slots=True)
class DesignAnswer:
    """A design with everything it shows; shows itself in a notebook.

    Attributes
    ----------
    design : BlendDesign
        As worked out.
    """

    design: BlendDesign

    def to_json(self) -> dict[str, Any]:
        """Give the design for machines."""
        from resile.report.machine.blends import design_to_json

        return design_to_json(self.design)

    def to_terminal(self, *, full: bool = False) -> Any:
        """Give the design as a readable sheet."""
        from resile.report.terminal.blends import render_design

        return render_design(self.design, full=full)

    def pictures(self, trials: Sequence[NextTrial] = ()) -> DesignPictures:
        """Give what the pictures are drawn from."""
        from resile.report.paper.blends.blends import DesignPictures

        recipe = shown_recipe(self.design)
        if recipe is None:
            return DesignPictures(next_trials=tuple(trials))
        desk = desk_of_design(self.design)
        curve = next(iter(dose_curves(desk, recipe)), None)
        beside = (
            ()
            if curve is None
            else tuple(trials_of_limit(desk, limit, curve.component) for limit in curve.limits)
        )
        ternary = ternary_of_design(self.design, desk=desk, trials=trials)
        return DesignPictures(ternary, curve, beside, tuple(trials))

    def page(self, *, date: str, trials: Sequence[NextTrial] = ()) -> Page:
        """Give the page of the design.

        Parameters
        ----------
        date : str
            Date on the page, YYYY-MM-DD.
        trials : sequence of NextTrial
            Trials worth making, where they are to be on it.

        Returns
        -------
        Page
            For screen and paper.
        """
        from resile.report.paper.blends.blends import design_page

        return design_page(self.design, self.pictures(trials), date=date, package_version=__version__)

    def batch_sheet(self, *, date: str) -> Page:
        """Give the sheet for one batch.

        Parameters
        ----------
        date : str
            Date of printing, YYYY-MM-DD.

        Returns
        -------
        Page
            One page, with blanks.

        Raises
        ------
        InputError
            Where no recipe keeps the probability asked for: a plant is not to blend a recipe that does not.
        """
        chosen = self.design.chosen
        if chosen is None:
            raise InputError(
                f"{self.design.book.title}: no recipe keeps what was asked for, so there is no batch "
                "sheet; for a "
                "recipe of your own: resile blend predict … --batch"
            )
        return sheet_of_recipe(self.design.book, chosen, grade=self.design.grade, date=date)

    def write(self, targets: Sequence[Path], *, date: str) -> list[Path]:
        """Write the page to .html or .pdf files, or the ternary picture to .svg.

        Parameters
        ----------
        targets : sequence of Path
            The ending decides the form.
        date : str
            Date on the page, YYYY-MM-DD.

        Returns
        -------
        list of Path
            The files written.

        Raises
        ------
        InputError
            For another ending, or a file the design rests on.
        """
        if not targets:
            return []
        from resile.report.render import render_svg

        page = self.page(date=date)
        first = next((one for section in page.sections for one in section.pictures), None)
        more: dict[str, Callable[[], bytes]] = (
            {} if first is None else {".svg": lambda: render_svg(first.spec).encode()}
        )
        return write_page(page, targets, self.design.book, more=more)


@dataclass(frozen=True, slots=True)
class RecipeAnswer:
    """What a recipe that somebody asked about keeps.

    Attributes
    ----------
    book : BlendBook
        Where it was predicted from.
    recipe : Recipe
        With every limit.
    grade : str
        Whole grade of the book.
    """

    book: BlendBook
    recipe: Recipe
    grade: str = ""

    def to_json(self) -> dict[str, Any]:
        """Give the recipe for machines."""
        from resile.report.machine.blends import recipe_answer_to_json

        return recipe_answer_to_json(self.book, self.recipe)

    def to_terminal(self) -> Any:
        """Give the recipe as a readable sheet."""
        from resile.report.terminal.blends import render_recipe

        return render_recipe(self.book, self.recipe)


@dataclass(frozen=True, slots=True)
class TrialsAnswer:
    """Blends worth making next.

    Attributes
    ----------
    book : BlendBook
        Trials so far.
    trials : tuple of NextTrial
        The most telling first.
    """

    book: BlendBook
    trials: tuple[NextTrial, ...]

    def to_json(self) -> dict[str, Any]:
        """Give the trials for machines."""
        from resile.report.machine.blends import next_trials_to_json

        return next_trials_to_json(self.book, self.trials)

    def to_terminal(self) -> Any:
        """Give the trials as a readable sheet."""
        from resile.report.terminal.blends import render_next_trials

        return render_next_trials(self.book, self.trials)


@dataclass(frozen=True, slots=True)
class PortfolioAnswer:
    """A plan of tanks.

    Attributes
    ----------
    portfolio : Portfolio
        As planned.
    book : BlendBook
        It was planned from.
    """

    portfolio: Portfolio
    book: BlendBook

    def to_json(self) -> dict[str, Any]:
        """Give the plan for machines."""
        from resile.report.machine.blends import portfolio_to_json

        return portfolio_to_json(self.portfolio)

    def to_terminal(self) -> Any:
        """Give the plan as a readable sheet."""
        from resile.report.terminal.blends import render_portfolio

        return render_portfolio(self.portfolio)

    def page(self, *, date: str) -> Page:
        """Give the page of the plan, dated."""
        from resile.report.paper.blends.blend_portfolio import portfolio_page

        return portfolio_page(self.portfolio, self.book, date=date, package_version=__version__)


@dataclass(frozen=True, slots=True)
class RescueAnswer:
    """What to add to a tank.

    Attributes
    ----------
    book : BlendBook
        Components and trials.
    rescue : Rescue
        The least addition.
    percent : dict of str to float
        What the tank was taken as [%].
    """

    book: BlendBook
    rescue: Rescue
    percent: dict[str, float]

    def to_json(self) -> dict[str, Any]:
        """Give the addition for machines."""
        from resile.report.machine.blends import rescue_to_json

        return rescue_to_json(self.book, self.rescue, self.percent)

    def to_terminal(self) -> Any:
        """Give the addition as a readable sheet."""
        from resile.report.terminal.blends import render_rescue

        return render_rescue(self.book, self.rescue)


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


def sheet_of_recipe(book: BlendBook, recipe: Recipe, *, grade: str, date: str) -> Page:
    """Give the batch sheet of a recipe; see `DesignAnswer.batch_sheet`."""
    from resile.report.paper.blends.batch_sheet import batch_sheet

    return batch_sheet(book, recipe, grade=grade, date=date)


def write_page(
    page: Page,
    targets: Sequence[Path],
    book: BlendBook,
    *,
    more: Mapping[str, Callable[[], bytes]] | None = None,
) -> list[Path]:
    """Write a page; the ending decides the form.

    Parameters
    ----------
    page : Page
        Texts and pictures.
    targets : sequence of Path
        Files ending in .html or .pdf, or in what `more` makes.
    book : BlendBook
        Its files are not written over.
    more : mapping of str to callable, optional
        Other endings.

    Returns
    -------
    list of Path
        The files written.

    Raises
    ------
    InputError
        For another ending, or a file of the book.
    """
    from resile.report.page import html_of_page, pdf_of_page
    from resile.workflows.orders.pages import write_file

    makers: dict[str, Callable[[], bytes]] = {
        ".html": lambda: html_of_page(page, version=__version__).encode(),
        ".pdf": lambda: pdf_of_page(page),
        **(more or {}),
    }
    own = {Path(source.path).resolve() for source in book.sources}
    for path in targets:
        if path.suffix.lower() not in makers:
            raise InputError(f"{path}: a page ends in {', '.join(makers)}; found '{path.suffix}'")
        if path.resolve() in own:
            raise InputError(f"{path}: the blend book rests on this file; choose another name")
    return [write_file(path, makers[path.suffix.lower()]()) for path in targets]


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
