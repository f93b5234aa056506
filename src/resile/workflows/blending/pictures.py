"""What the pictures of a design show: a lattice of three components, dose curves, trials beside them."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from resile.compute.blending.ternary import level_lines, ternary_lattice
from resile.judge.grades.selection import near
from resile.records.blending.design import BlendDesign, DoseCurve
from resile.records.blending.limit import BlendLimit
from resile.records.blending.picture import Shares, TernaryContour, TernaryMark, TernaryPicture
from resile.records.blending.recipe import NextTrial, Recipe
from resile.workflows.blending.designing.desk import RecipeDesk, recipe_desk
from resile.workflows.blending.designing.doses import curve_of
from resile.workflows.blending.designing.framing import frame_book, shares_of
from resile.workflows.blending.designing.surfaces import BookSurfaces

Floats = NDArray[np.float64]

DIVISIONS = 90
_COARSE = 30
_STEP = 5.0
_WORTH_DRAWING = 0.05
_MOST_CONTOURS = 6
_HELD_WITHIN = 1.0
"""A trial is drawn where its other components differ by less than this from those held [%]."""
_BASES = ("base", "reclaimed")


def desk_of_design(design: BlendDesign) -> RecipeDesk:
    """Give the desk of a design again, with the surfaces it was made with."""
    return recipe_desk(frame_book(design.book, surfaces=BookSurfaces(design.surfaces)))


def shown_recipe(design: BlendDesign) -> Recipe | None:
    """Give the recipe a design is about: the chosen one, else the one as expected, else the nearest miss."""
    return design.chosen or design.expected or design.nearest


def ternary_of_design(
    design: BlendDesign, *, desk: RecipeDesk | None = None, trials: Sequence[NextTrial] = ()
) -> TernaryPicture | None:
    """Give the ternary picture of a design.

    Parameters
    ----------
    design : BlendDesign
        With a recipe.
    desk : RecipeDesk, optional
        Where it is at hand already.
    trials : sequence of NextTrial
        Trials that are worth making: drawn too.

    Returns
    -------
    TernaryPicture or None
        None where there is no recipe, or fewer than three components can be dosed.
    """
    recipe = shown_recipe(design)
    if recipe is None:
        return None
    marks = [("recipe", "recipe", recipe.percent)]
    marks += [("alternative", str(n), one.percent) for n, one in enumerate(design.alternatives[1:], 1)]
    if design.book.aim.today_percent:
        marks.append(("today", "today", dict(design.book.aim.today_percent)))
    marks += [
        ("next", "next trial" if n == 1 else f"next {n}", one.percent) for n, one in enumerate(trials, 1)
    ]
    return ternary_picture(desk or desk_of_design(design), recipe.percent, marks)


def ternary_picture(
    desk: RecipeDesk,
    percent: dict[str, float],
    marks: Sequence[tuple[str, str, dict[str, float]]] = (),
    corners: Sequence[str] = (),
) -> TernaryPicture | None:
    """Give the ternary picture about a recipe.

    Parameters
    ----------
    desk : RecipeDesk
        Book, limits, surfaces.
    percent : dict of str to float
        The recipe: components that are no corner are held at its shares [%].
    marks : sequence of (str, str, dict)
        Kind, label and shares of blends to mark beside the trials.
    corners : sequence of str
        Three components; those with the largest shares where not given.

    Returns
    -------
    TernaryPicture or None
        None where fewer than three components can be dosed.
    """
    names = list(desk.problem.components)
    three = list(corners) or _corners(desk, percent)
    if len(three) < 3 or any(name not in names for name in three):
        return None
    places = [names.index(name) for name in three]
    held = {name: share for name, share in percent.items() if name not in three and share > 0.0}
    whole = 100.0 - sum(held.values())
    base = shares_of(desk.frame.book, percent)

    def recipes(points: Floats) -> Floats:
        """Give lattice points [%] as recipes."""
        rows = np.tile(base, (len(points), 1))
        rows[:, places] = points / 100.0
        return rows

    drawn = [TernaryMark(kind, label, _three(shares, three)) for kind, label, shares in marks]
    drawn = [*_trial_marks(desk, three, held), *drawn]
    floor, span = _frame(desk, recipes, whole, drawn)
    points = ternary_lattice(DIVISIONS) * span + np.array(floor)
    found = desk.found(recipes(points))
    allowed = _allowed(desk, recipes(points))
    return TernaryPicture(
        corners=(three[0], three[1], three[2]),
        floor_percent=floor,
        span_percent=span,
        divisions=DIVISIONS,
        probability=tuple(found.whole.tolist()),
        allowed=tuple(bool(one) for one in allowed),
        contours=_contours(desk, base, found.margins, floor, span),
        marks=tuple(drawn),
        held_percent=held,
        required_probability=desk.problem.probability,
    )


def _corners(desk: RecipeDesk, percent: dict[str, float]) -> list[str]:
    """Give the three components with the largest shares; an additive stands on top."""
    kinds = {one.name: one.kind for one in desk.frame.book.components}
    can = [name for name, most in zip(desk.problem.components, desk.problem.upper, strict=True) if most > 0.0]
    largest = sorted(can, key=lambda name: -percent.get(name, 0.0))[:3]
    largest.sort(key=lambda name: (kinds[name] in _BASES, percent.get(name, 0.0)))
    top, *others = largest or [""]
    return [top, *sorted(others, key=desk.problem.components.index)]


def _three(percent: dict[str, float], names: Sequence[str]) -> Shares:
    a, b, c = (float(percent.get(name, 0.0)) for name in names)
    return a, b, c


def _trial_marks(desk: RecipeDesk, three: Sequence[str], held: dict[str, float]) -> list[TernaryMark]:
    marks = []
    for trial in desk.frame.book.trials:
        others = {name: share for name, share in trial.percent.items() if name not in three}
        apart = [abs(others.get(name, 0.0) - held.get(name, 0.0)) for name in {*others, *held}]
        if max(apart, default=0.0) < _HELD_WITHIN:
            marks.append(TernaryMark("trial", trial.name, _three(dict(trial.percent), three)))
    return marks


def _frame(
    desk: RecipeDesk, recipes: object, whole: float, marks: Sequence[TernaryMark]
) -> tuple[Shares, float]:
    """Give the corner of the triangle that is drawn: all marks, and all that is worth shading."""
    assert callable(recipes)
    points = ternary_lattice(_COARSE) * whole
    rows = recipes(points)
    worth = (desk.found(rows).whole >= _WORTH_DRAWING) & _allowed(desk, rows)
    inside = np.concatenate([points[worth], np.array([mark.percent for mark in marks]).reshape(-1, 3)])
    if not len(inside):
        return (0.0, 0.0, 0.0), whole
    least = np.floor(np.maximum(inside.min(axis=0), 0.0) / _STEP) * _STEP
    return (float(least[0]), float(least[1]), float(least[2])), whole - float(least.sum())


def _allowed(desk: RecipeDesk, rows: Floats) -> NDArray[np.bool_]:
    return np.zeros(len(rows), dtype=bool) if desk.region is None else np.asarray(desk.region.holds(rows))


def _contours(
    desk: RecipeDesk, recipe: Floats, margins: Floats, floor: Shares, span: float
) -> tuple[TernaryContour, ...]:
    """Give the lines along which an expected value meets its limit, those nearest to the recipe first."""
    here = desk.found(recipe[None, :]).margins[:, 0]
    found = []
    for place in np.argsort(here, kind="stable"):
        lines = level_lines(margins[place], DIVISIONS, 0.0)
        if not lines:
            continue
        shown = tuple(tuple(_point(point, floor, span) for point in line) for line in lines)
        found.append(TernaryContour(desk.problem.limits[place], shown))
    return tuple(found[:_MOST_CONTOURS])


def _point(shares: Floats, floor: Shares, span: float) -> Shares:
    a, b, c = (float(low + span * share) for low, share in zip(floor, shares, strict=True))
    return a, b, c


def dose_curves(desk: RecipeDesk, recipe: Recipe) -> tuple[DoseCurve, ...]:
    """Give the dose curve of every component of a recipe.

    Parameters
    ----------
    desk : RecipeDesk
        Book, limits, surfaces.
    recipe : Recipe
        Where the doses start from.

    Returns
    -------
    tuple of DoseCurve
        The component with the narrowest window first; none for a recipe of one component.
    """
    shares = shares_of(desk.frame.book, recipe.percent)
    names = desk.problem.components
    width = {one.component: one.highest_percent - one.lowest_percent for one in recipe.windows}
    used = [
        place
        for place in range(len(names))
        if 0.0 < shares[place] < 1.0 - 1e-9 and desk.problem.upper[place] > desk.problem.lower[place]
    ]
    used.sort(key=lambda place: width.get(names[place], 100.0))
    return tuple(curve_of(desk, shares, place) for place in used)


def trials_of_limit(
    desk: RecipeDesk, limit: BlendLimit, component: str
) -> tuple[tuple[str, float, float], ...]:
    """Give name, dose of a component [%] and tested value of the trials that tell of a limit."""
    response = limit.response
    tolerance = desk.frame.aim.temperature_tolerance_c
    return tuple(
        (trial.name, float(trial.percent.get(component, 0.0)), float(one.value))
        for trial in desk.frame.book.trials
        for one in trial.determinations
        if one.value is not None
        and one.quantity == response.quantity
        and one.condition is response.condition
        and near(one.temperature_c, response.temperature_c, tolerance)
    )
