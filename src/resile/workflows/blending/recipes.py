"""A recipe with everything that is known of it: every limit, cost, dose windows, batch sheet, cautions."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from resile.compute.blending.design.batch import batch_choices
from resile.compute.blending.design.conformity import (
    Conformity,
    KeptWindow,
    conformity_of,
    kept_windows,
    student_quantile,
)
from resile.compute.blending.design.dose_window import BY_BOUND, BY_TRIALS, dose_reach, recipes_by_dose
from resile.compute.blending.design.region import RecipeRegion, region_of
from resile.compute.blending.surfaces.trial_hull import outside_trials
from resile.errors import InputError
from resile.judge.conformity import meets
from resile.records.blending.book import BlendBook
from resile.records.blending.design import DoseCurve, DoseStep
from resile.records.blending.limit import BlendLimit
from resile.records.blending.problem import BlendProblem
from resile.records.blending.recipe import BatchLine, DoseWindow, Recipe, RecipeLine
from resile.records.finding import Finding, Severity
from resile.workflows.blending.cautions import recipe_cautions
from resile.workflows.blending.framing import Frame, frame_book, shares_of

Floats = NDArray[np.float64]

COVERED = 0.95
"""Probability of the interval shown for the value of a batch."""
_LEAST_SHARE = 1e-9


@dataclass(frozen=True, slots=True)
class RecipeDesk:
    """A frame with what every recipe of it needs.

    Attributes
    ----------
    frame : Frame
        Book, limits, surfaces, problem.
    windows : tuple of KeptWindow
        Limits by property.
    region : RecipeRegion or None
        Where recipes may lie.
    """

    frame: Frame
    windows: tuple[KeptWindow, ...]
    region: RecipeRegion | None

    @property
    def problem(self) -> BlendProblem:
        """What is asked."""
        return self.frame.problem

    def found(self, shares: Floats) -> Conformity:
        """Give how sure recipes are; shape (m, q)."""
        return conformity_of(self.windows, shares, acceptance_test=self.problem.acceptance_test)


def recipe_desk(frame: Frame) -> RecipeDesk:
    """Make a frame ready for recipes."""
    return RecipeDesk(
        frame, kept_windows(frame.problem.limits, frame.problem.surfaces), region_of(frame.problem)
    )


def predict_blend(book: BlendBook, percent: dict[str, float], *, name: str = "as given") -> Recipe:
    """Say what a recipe keeps: the check that every recipe of a design has to pass too.

    Parameters
    ----------
    book : BlendBook
        Trials, aim, plant.
    percent : dict of str to float
        Share of each component by mass [%]; they add up to 100.
    name : str
        What to call it.

    Returns
    -------
    Recipe
        Every limit with value, interval and probability; dose windows; batch sheet; cautions.

    Raises
    ------
    ResileError
        Where a component is not known, or the book cannot be used.
    """
    desk = recipe_desk(frame_book(book))
    shares = shares_of(book, percent)
    recipe = recipe_of(desk, shares, name=name)
    return replace(recipe, findings=(*recipe.findings, *desk.frame.findings))


def recipe_of(desk: RecipeDesk, shares: Sequence[float] | Floats, *, name: str) -> Recipe:
    """Put together what is known of a recipe.

    Parameters
    ----------
    desk : RecipeDesk
        As `recipe_desk` gives it.
    shares : sequence of float, length q
        As ratios.
    name : str
        What to call it.

    Returns
    -------
    Recipe
        With windows, batch and cautions.
    """
    x = np.asarray(shares, dtype=float)
    problem = desk.problem
    found = desk.found(x[None, :])
    lines = recipe_lines(desk, x, found)
    percent = desk.frame.percent(x)
    probability = float(found.whole[0]) if desk.windows else None
    batch, batch_probability, told = _batch(desk, x, probability)
    return Recipe(
        name=name,
        percent=percent,
        lines=lines,
        cost_per_tonne=None if problem.prices is None else float(x @ np.array(problem.prices)),
        probability=probability,
        untested=tuple(limit.title for limit in desk.frame.untested),
        windows=_windows(desk, x, probability),
        batch=batch,
        batch_probability=batch_probability,
        limiting=_limiting(lines),
        findings=(*_outside(desk, x, lines), *told, *recipe_cautions(desk.frame.book, percent, lines)),
    )


def recipe_lines(desk: RecipeDesk, shares: Floats, found: Conformity | None = None) -> tuple[RecipeLine, ...]:
    """Give every limit of the aim for one recipe, those that no trial tells of without a value.

    Parameters
    ----------
    desk : RecipeDesk
        As `recipe_desk` gives it.
    shares : ndarray of float, shape (q,)
        As ratios.
    found : Conformity, optional
        Where it is known already.

    Returns
    -------
    tuple of RecipeLine
        In the order of the limits.
    """
    known = found or desk.found(shares[None, :])
    told: dict[int, RecipeLine] = {}
    for row, window in enumerate(desk.windows):
        value, lower, upper = _values(window, known, row)
        outside = bool(outside_trials(window.surface, shares[None, :])[0]) if window.surface.points else False
        for place in window.limits:
            told[desk.frame.places[place]] = RecipeLine(
                limit=desk.problem.limits[place],
                value=float(value[0]),
                lower=float(lower[0]),
                upper=float(upper[0]),
                probability=float(known.each[place, 0]),
                margin_standards=float(known.margins[place, 0]),
                extrapolated=outside,
            )
    return tuple(told.get(place, RecipeLine(limit)) for place, limit in enumerate(desk.frame.aim.limits))


def keeps_every_limit(recipe: Recipe) -> bool:
    """Tell whether the expected values keep every limit that trials tell of, compared as a result is.

    Parameters
    ----------
    recipe : Recipe
        With its lines.

    Returns
    -------
    bool
        False where one is missed.
    """
    return all(line.value is None or line_is_kept(line) for line in recipe.lines)


def line_is_kept(line: RecipeLine) -> bool:
    """Tell whether the expected value of a line keeps its limit; False where no trial tells."""
    if line.value is None:
        return False
    value = abs(line.value) if line.limit.absolute else line.value
    return meets(value, line.limit.value, line.limit.bound)


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
        some = _values(window, found, row)
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


def _values(window: KeptWindow, found: Conformity, row: int) -> tuple[Floats, Floats, Floats]:
    """Give expected value and interval of a batch in the unit of the glossary."""
    half = student_quantile(0.5 + 0.5 * COVERED, float(found.degrees_of_freedom[row])) * found.standard[row]
    ends = found.mean[row], found.mean[row] - half, found.mean[row] + half
    if window.surface.scale == "logarithm":
        with np.errstate(over="ignore"):
            return np.exp(ends[0]), np.exp(ends[1]), np.exp(ends[2])
    return ends


def _limiting(lines: Sequence[RecipeLine]) -> tuple[str, ...]:
    known = [line for line in lines if line.probability is not None]
    known.sort(key=lambda line: (line.probability, line.margin_standards))
    return tuple(line.limit.title for line in known)


def _windows(desk: RecipeDesk, x: Floats, probability: float | None) -> tuple[DoseWindow, ...]:
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


def _batch(
    desk: RecipeDesk, x: Floats, probability: float | None
) -> tuple[tuple[BatchLine, ...], float | None, list[Finding]]:
    """Round to the steps of the plant so that the grade still holds where it held; tell where that fails."""
    book, problem = desk.frame.book, desk.problem
    steps = [one.increment_kg or book.aim.increment_kg for one in book.components]
    choices = batch_choices(x, book.aim.tank_kg, steps)
    shares = choices / choices.sum(axis=1, keepdims=True)
    within = np.all(
        (shares >= np.array(problem.lower) - 1e-9) & (shares <= np.array(problem.upper) + 1e-9), axis=1
    )
    found = desk.found(shares)
    place = 0
    if probability is not None and probability >= problem.probability:
        sure = found.whole >= problem.probability
        for wanted in (sure & within, sure):
            if wanted.any():
                place = int(np.argmax(wanted))
                break
    elif within.any():
        place = int(np.argmax(within))
    rounded = float(found.whole[place]) if desk.windows else None
    lines = tuple(
        BatchLine(one.name, float(mass), 100.0 * float(share))
        for one, mass, share in zip(book.components, choices[place], shares[place], strict=True)
    )
    return lines, rounded, _batch_told(desk, choices[place], probability, rounded)


def _batch_told(
    desk: RecipeDesk, masses: Floats, probability: float | None, rounded: float | None
) -> list[Finding]:
    aim, wanted = desk.frame.book.aim, desk.problem.probability
    found = []
    off = float(masses.sum()) - aim.tank_kg
    if abs(off) > 1e-6:
        found.append(
            Finding(
                code="batch-total-off",
                severity=Severity.NOTE,
                message=f"In the steps of the plant the batch comes to {masses.sum():g} kg, "
                f"not {aim.tank_kg:g} kg.",
                rule="the masses of a batch add up to the tank",
                value=off,
                limit=0.0,
                unit="kg",
                source="own rule",
                advice="Choose a tank that is a multiple of the largest step.",
            )
        )
    if probability is not None and rounded is not None and rounded < wanted <= probability:
        found.append(
            Finding(
                code="batch-rounding-costs-probability",
                severity=Severity.CAUTION,
                message=f"Rounded to the steps of the plant the whole grade has {100.0 * rounded:.1f} %; "
                f"{100.0 * wanted:g} % were asked for.",
                rule="the rounded batch keeps the probability asked for",
                value=100.0 * rounded,
                limit=100.0 * wanted,
                unit="%",
                source="own rule",
                advice="Dose in smaller steps, make a larger batch, or ask for a little more when designing.",
            )
        )
    return found


def _outside(desk: RecipeDesk, x: Floats, lines: Sequence[RecipeLine]) -> list[Finding]:
    problem = desk.problem
    found = []
    beyond = [line.limit.title for line in lines if line.extrapolated]
    if beyond:
        found.append(
            Finding(
                code="recipe-outside-trials",
                severity=Severity.CAUTION,
                message=f"The recipe lies outside the trials of {'; '.join(beyond)}: "
                "the surfaces are extrapolated there.",
                rule="a recipe lies within the trials that tell of it",
                value=float(len(beyond)),
                limit=0.0,
                source="own rule",
                advice="Make a trial blend beyond it before relying on these numbers.",
            )
        )
    lower, upper = np.array(problem.lower), np.array(problem.upper)
    over = [
        n
        for n, low, high, share in zip(problem.components, lower, upper, x, strict=True)
        if share < low - 1e-6 or share > high + 1e-6
    ]
    if over:
        found.append(
            Finding(
                code="dose-outside-bounds",
                severity=Severity.CAUTION,
                message=f"Outside dosage bounds, stock or a ban: {', '.join(over)}.",
                rule="every share lies within its dosage bounds and the stock; what is banned is left out",
                value=float(len(over)),
                limit=0.0,
                source="the blend book",
                advice="Change the recipe, or the bounds where they are wrong.",
            )
        )
    return found


def limits_words(limits: Sequence[BlendLimit]) -> str:
    """Name limits for a sentence."""
    return "; ".join(limit.title for limit in limits)
