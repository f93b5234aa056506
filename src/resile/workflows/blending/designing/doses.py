"""What happens when the dose of one component moves: windows for the recipe, curves for the pictures."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from resile.compute.blending.design.dose_window import BY_BOUND, BY_TRIALS, dose_reach, recipes_by_dose
from resile.compute.blending.surfaces.trial_hull import outside_trials
from resile.errors import InputError
from resile.records.blending.book import BlendBook
from resile.records.blending.design import DoseCurve, DoseStep
from resile.records.blending.problem import BlendProblem
from resile.records.blending.recipe import DoseWindow
from resile.workflows.blending.designing.desk import RecipeDesk, batch_values, recipe_desk
from resile.workflows.blending.designing.framing import frame_book, shares_of

Floats = NDArray[np.float64]

_LEAST_SHARE = 1e-9


def dose_curve(book: BlendBook, percent: dict[str, float], component: str, *, points: int = 61) -> DoseCurve:
    """Give what the dose of one component does to every limit, the others keeping their ratio.

    Parameters
    ----------
    book : BlendBook
        Trials, aim, bounds.
    percent : dict of str to float
        Recipe to start from [%].
    component : str
        What moves, from its lowest to its highest dose.
    points : int
        Doses.

    Returns
    -------
    DoseCurve
        For pictures.

    Raises
    ------
    ResileError
        Where the component is not of the book, or alone in the recipe.
    """
    desk = recipe_desk(frame_book(book))
    if component not in desk.problem.components:
        raise InputError(
            f"dose: {component!r} is no component of the book; known are {', '.join(desk.problem.components)}"
        )
    x, place = shares_of(book, percent), desk.problem.components.index(component)
    return curve_of(desk, x, place, points=points)


def curve_of(desk: RecipeDesk, shares: Floats, place: int, *, points: int = 61) -> DoseCurve:
    """Give the dose curve of one component; see `dose_curve`."""
    problem = desk.problem
    doses = np.linspace(problem.lower[place], problem.upper[place], points)
    moved = recipes_by_dose(shares, place, doses)
    found = desk.found(moved)
    count = len(problem.limits)
    values, lower, upper = (np.zeros((count, points)) for _ in range(3))
    outside = np.zeros(points, dtype=bool)
    for row, window in enumerate(desk.windows):
        some = batch_values(window, found, row)
        for limit in window.limits:
            values[limit], lower[limit], upper[limit] = some
        if window.surface.points:
            outside |= outside_trials(window.surface, moved)
    steps = tuple(
        DoseStep(
            dose_percent=100.0 * float(dose),
            probability=float(found.whole[n]),
            values=tuple(values[:, n].tolist()),
            lower=tuple(lower[:, n].tolist()),
            upper=tuple(upper[:, n].tolist()),
            margins_standards=tuple(found.margins[:, n].tolist()),
            extrapolated=bool(outside[n]),
        )
        for n, dose in enumerate(doses)
    )
    return DoseCurve(problem.components[place], problem.limits, steps)


def dose_windows(desk: RecipeDesk, x: Floats, probability: float | None) -> tuple[DoseWindow, ...]:
    """Give the dose windows of a recipe.

    Parameters
    ----------
    desk : RecipeDesk
        As `recipe_desk` gives it.
    x : ndarray of float, shape (q,)
        The recipe, as ratios.
    probability : float or None
        Probability of the whole grade of the recipe.

    Returns
    -------
    tuple of DoseWindow
        One for each component in it; none for a recipe outside bounds or trials.
    """
    problem, region = desk.problem, desk.region
    if region is None or not region.holds(x)[0]:
        return ()
    sure = probability is not None and probability >= problem.probability * (1.0 - 1e-9)
    found = []
    for place, name in enumerate(problem.components):
        if x[place] <= _LEAST_SHARE or 1.0 - x[place] <= _LEAST_SHARE:
            continue
        reaches = [
            dose_reach(
                desk.windows,
                region,
                x,
                place,
                lower=problem.lower,
                upper=problem.upper,
                probability=wanted,
                acceptance_test=problem.acceptance_test,
            )
            for wanted in ((None, problem.probability) if sure else (None,))
        ]
        wide, narrow = reaches[0], reaches[-1] if sure else None
        found.append(
            DoseWindow(
                name,
                100.0 * wide.lowest,
                100.0 * wide.highest,
                (_end_words(problem, wide.ends_by[0]), _end_words(problem, wide.ends_by[1])),
                None if narrow is None else 100.0 * narrow.lowest,
                None if narrow is None else 100.0 * narrow.highest,
                ("", "")
                if narrow is None
                else (_end_words(problem, narrow.ends_by[0]), _end_words(problem, narrow.ends_by[1])),
            )
        )
    return tuple(found)


def _end_words(problem: BlendProblem, place: int) -> str:
    if place == BY_BOUND:
        return "dosage bound"
    return "trials" if place == BY_TRIALS else problem.limits[place].title
