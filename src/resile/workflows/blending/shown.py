"""Answers on blends: a design, a recipe, trials, a plan, a rescue; each shows itself and writes its pages."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from resile.errors import InputError
from resile.records.blending.book import BlendBook
from resile.records.blending.design import BlendDesign, Rescue
from resile.records.blending.portfolio import Portfolio
from resile.records.blending.recipe import NextTrial, Recipe
from resile.version import __version__
from resile.workflows.blending.pictures import (
    desk_of_design,
    dose_curves,
    shown_recipe,
    ternary_of_design,
    trials_of_limit,
)

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
