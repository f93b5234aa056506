"""The page of a design: recipe and its place among the trials, limits, doses, cost, and what it rests on."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from resile.records.blending.design import BlendDesign, DoseCurve
from resile.records.blending.picture import TernaryPicture
from resile.records.blending.recipe import NextTrial, Recipe
from resile.report.blend_words import ALWAYS_TEST, design_small_print, percent_words, short_limit
from resile.report.figures.blending.dose import figure_dose, figure_dose_probability
from resile.report.figures.blending.left_out import figure_left_out
from resile.report.figures.blending.margins import figure_recipe_margins
from resile.report.figures.blending.pareto import figure_pareto
from resile.report.figures.blending.ternary import figure_ternary
from resile.report.numbers import shown_probability
from resile.report.paper.assemble import BANNER
from resile.report.paper.blends.blend_tables import (
    alternatives_table,
    batch_table,
    dosing_table,
    limits_table,
    pareto_table,
    recipe_table,
    windows_table,
)
from resile.report.paper.blends.trial_tables import next_trials_table, surfaces_table
from resile.report.paper.models.model import Page, Picture, Section, finding_entry
from resile.report.paper.statements.provenance import caution_section
from resile.report.words import heaviest_first

_MOST_DOSES = 3
_MOST_LEFT_OUT = 4


@dataclass(frozen=True, slots=True)
class DesignPictures:
    """What the pictures of a page are drawn from, beside the design.

    Attributes
    ----------
    ternary : TernaryPicture or None
        None where fewer than three components can be dosed.
    curve : DoseCurve or None
        Of the component with the narrowest window.
    trials : tuple of tuple of (str, float, float)
        For each limit of the curve: name, dose and value of the trials.
    next_trials : tuple of NextTrial
        Worth making; empty where not asked for.
    """

    ternary: TernaryPicture | None = None
    curve: DoseCurve | None = None
    trials: tuple[tuple[tuple[str, float, float], ...], ...] = ()
    next_trials: tuple[NextTrial, ...] = ()


def design_page(
    design: BlendDesign, pictures: DesignPictures, *, date: str, package_version: str = ""
) -> Page:
    """Give the page of a design.

    Parameters
    ----------
    design : BlendDesign
        As worked out.
    pictures : DesignPictures
        Lattice and curves.
    date : str
        Date on the page, YYYY-MM-DD.
    package_version : str
        Version of resile.

    Returns
    -------
    Page
        For web page and paper.
    """
    book = design.book
    recipe = design.chosen or design.expected or design.nearest
    sections: list[Section] = []
    if recipe is not None:
        sections += [
            _recipe(design, recipe, pictures.ternary),
            Section(
                key="limits",
                title="Limits",
                pictures=(Picture("margins", figure_recipe_margins(recipe), _MARGINS),),
                tables=(limits_table(recipe),),
            ),
        ]
    doubts = heaviest_first(design.findings)
    sections.append(
        Section(key="findings", title="Findings", findings=tuple(finding_entry(one) for one in doubts))
    )
    if recipe is not None:
        sections += _doses(design, recipe, pictures)
        sections += _cost(design, recipe)
    sections += _trials(design, recipe, pictures.next_trials)
    return Page(
        title=f"Blend for {design.grade or 'own limits'}",
        number=book.title,
        date=date,
        sample=book.title,
        laboratory="",
        banner=BANNER if book.invented else "",
        identity=_identity(design, date),
        answer=design.answer,
        answer_more=(ALWAYS_TEST,),
        sections=(*sections, _basis(design, package_version), caution_section()),
        signatures=(),
    )


_MARGINS = (
    "Each limit with the distance of the recipe to it, and the probability that a batch keeps it. Bars of "
    "more than "
    "six standard deviations are cut off."
)


def _identity(design: BlendDesign, date: str) -> tuple[tuple[str, str], ...]:
    aim = design.book.aim
    return (
        ("Blend book", design.book.title),
        ("Date", date),
        ("Grade", design.grade or "none: own limits alone"),
        ("Specification", aim.specification or "none"),
        *((("Road", aim.site),) if aim.site else ()),
        ("Sought", aim.objective),
        ("Probability asked for", shown_probability(aim.probability)),
        ("Trial blends", str(len(design.book.trials))),
    )


def _recipe(design: BlendDesign, recipe: Recipe, ternary: TernaryPicture | None) -> Section:
    pictures = (
        () if ternary is None else (Picture("ternary", figure_ternary(ternary), _ternary_words(ternary)),)
    )
    return Section(
        key="recipe",
        title="Recipe" if design.chosen is not None else f"Recipe ({recipe.name})",
        pictures=pictures,
        tables=(recipe_table(design.book, recipe), batch_table(recipe))
        if recipe.batch
        else (recipe_table(design.book, recipe),),
        closing=()
        if recipe.batch_probability is None
        else (f"As batched, the whole grade is kept with {shown_probability(recipe.batch_probability)}.",),
    )


def _ternary_words(ternary: TernaryPicture) -> str:
    held = f" Held: {percent_words(ternary.held_percent)}." if ternary.held_percent else ""
    return (
        "Every point is a blend of the three. Shaded by the probability that a batch keeps every limit "
        "that trials "
        "tell of; blank outside dosage bounds and trials. Along each line an expected value meets its "
        "limit. Circles "
        "are trial blends, the diamond is the recipe, triangles are recipes nearly as good, the cross is "
        "today's, "
        f"open squares are trials worth making.{held}"
    )


def _doses(design: BlendDesign, recipe: Recipe, pictures: DesignPictures) -> list[Section]:
    curve = pictures.curve
    if curve is None:
        return []
    dose = recipe.percent.get(curve.component, 0.0)
    window = next((one for one in recipe.windows if one.component == curve.component), None)
    titles = [limit.title for limit in curve.limits]
    places = [titles.index(title) for title in recipe.limiting if title in titles][:_MOST_DOSES]
    drawn = [
        Picture(
            "dose-whole",
            figure_dose_probability(
                curve, dose_percent=dose, required=design.book.aim.probability, window=window
            ),
            f"Probability of the whole grade against the dose of {curve.component}, the others keeping their "
            "ratio. Shaded: the doses at which it is as probable as asked, or, where none is, at which "
            "expected "
            "values keep every limit.",
        )
    ]
    for number, place in enumerate(places, 1):
        trials = pictures.trials[place] if place < len(pictures.trials) else ()
        drawn.append(
            Picture(
                f"dose-{number}",
                figure_dose(curve, place, dose_percent=dose, window=window, trials=trials),
                f"{curve.limits[place].title} ({short_limit(curve.limits[place])}). The band holds 95 % of "
                "batches; "
                "dashed outside the trials. Circles are trials: their other shares differ.",
            )
        )
    tables = (windows_table(recipe), *((dosing_table(design.dosing),) if design.dosing is not None else ()))
    return [
        Section(key="doses", title=f"Dose of {curve.component}", pictures=tuple(drawn), tables=tables),
    ]


def _cost(design: BlendDesign, recipe: Recipe) -> list[Section]:
    tables = [alternatives_table(design)]
    pictures: tuple[Picture, ...] = ()
    currency = design.book.currency
    if design.pareto:
        here = (
            (recipe.probability, recipe.cost_per_tonne)
            if recipe.probability is not None and recipe.cost_per_tonne is not None
            else None
        )
        picture = figure_pareto(
            design.pareto, required=design.book.aim.probability, currency=currency, chosen=here
        )
        pictures = (
            Picture("pareto", picture, "The cheapest recipe for each probability of the whole grade."),
        )
        tables.append(pareto_table(design.pareto, currency))
    return [
        Section(key="cost", title="Other recipes, and their cost", pictures=pictures, tables=tuple(tables))
    ]


def _trials(design: BlendDesign, recipe: Recipe | None, next_trials: Sequence[NextTrial]) -> list[Section]:
    if not design.surfaces:
        return []
    order = [] if recipe is None else list(recipe.limiting)
    asked = {limit.response: limit.title for limit in reversed(design.limits)}

    def rank(place: int) -> int:
        title = asked.get(design.surfaces[place].response, "")
        return order.index(title) if title in order else len(order)

    places = sorted(range(len(design.surfaces)), key=rank)[:_MOST_LEFT_OUT]
    drawn = Picture(
        "left-out",
        figure_left_out([design.surfaces[place] for place in places]),
        "The limits that fail first: each trial against what the others foresee of it. The band is twice "
        "the error "
        "of left-out blends.",
    )
    tables = [surfaces_table(design.surfaces)]
    if next_trials:
        tables.append(next_trials_table(next_trials))
    return [
        Section(
            key="trials",
            title="What the trials tell",
            pictures=(drawn,),
            tables=tuple(tables),
            bullets=tuple(one.reason for one in next_trials),
            bullets_title="Why these trials" if next_trials else "",
        )
    ]


def _basis(design: BlendDesign, version: str) -> Section:
    book = design.book
    facts = [(source.path.replace("\\", "/").rpartition("/")[2], source.sha256) for source in book.sources]
    facts += [("Worked out for", design_small_print(design)), ("Made with", f"resile {version}".strip())]
    return Section(
        key="basis",
        title="What this rests on",
        facts=tuple(facts),
        bullets=book.remarks,
        bullets_title="How the book was read" if book.remarks else "",
    )
