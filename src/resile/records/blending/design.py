"""What a design of a blend comes to, beside the recipes themselves."""

from __future__ import annotations

from dataclasses import dataclass

from resile.records.blending.book import BlendBook
from resile.records.blending.limit import BlendLimit
from resile.records.blending.recipe import BatchLine, Recipe
from resile.records.blending.surface import Surface
from resile.records.finding import Finding


@dataclass(frozen=True, slots=True)
class ParetoPoint:
    """The cheapest recipe for one probability of the whole grade.

    Attributes
    ----------
    probability : float
        Probability that a batch keeps every limit.
    cost_per_tonne : float
        Cost of the components.
    percent : dict of str to float
        Share of each component by mass [%].
    """

    probability: float
    cost_per_tonne: float
    percent: dict[str, float]


@dataclass(frozen=True, slots=True)
class DoseStep:
    """One dose of one component, the others keeping their ratio to one another.

    Attributes
    ----------
    dose_percent : float
        Share of the component [%].
    probability : float
        Probability that a batch keeps every limit.
    values : tuple of float
        Expected value for each limit, in the unit of the glossary.
    lower, upper : tuple of float
        Interval that holds the value of a batch with 95 % probability, for each limit.
    margins_standards : tuple of float
        Distance to each limit in standard deviations, above 0 on the good side.
    extrapolated : bool
        True where the blend lies outside the trials of some property.
    """

    dose_percent: float
    probability: float
    values: tuple[float, ...]
    lower: tuple[float, ...]
    upper: tuple[float, ...]
    margins_standards: tuple[float, ...]
    extrapolated: bool = False


@dataclass(frozen=True, slots=True)
class DoseCurve:
    """What a component does to every limit when its dose moves.

    Attributes
    ----------
    component : str
        Its name.
    limits : tuple of BlendLimit
        The limits, in the order of the numbers of each step.
    steps : tuple of DoseStep
        From the lowest dose to the highest.
    """

    component: str
    limits: tuple[BlendLimit, ...]
    steps: tuple[DoseStep, ...]


@dataclass(frozen=True, slots=True)
class DosingEffect:
    """What an error in dosing one component does to the probability of the whole grade.

    Attributes
    ----------
    component : str
        Its name.
    standard_kg : float
        Standard uncertainty of the mass dosed [kg].
    probability : float
        Probability of the whole grade where this component alone is dosed with that uncertainty.
    probability_less, probability_more : float
        Where it is dosed two standard uncertainties short, or over.
    """

    component: str
    standard_kg: float
    probability: float
    probability_less: float
    probability_more: float


@dataclass(frozen=True, slots=True)
class DosingSensitivity:
    """How much the probability of the whole grade owes to the scales.

    Attributes
    ----------
    probability : float
        With exact doses.
    probability_dosed : float
        Mean over the errors of dosing of all components.
    draws : int
        Batches drawn.
    effects : tuple of DosingEffect
        Component by component.
    """

    probability: float
    probability_dosed: float
    draws: int
    effects: tuple[DosingEffect, ...]


@dataclass(frozen=True, slots=True)
class Rescue:
    """What to add to a tank that is off its grade.

    Attributes
    ----------
    additions : tuple of BatchLine
        Mass of each component to add [kg], and the share it makes of what is added.
    added_kg, total_kg : float
        All that is added, and what is in the tank then [kg].
    added_cost : float or None
        Cost of what is added, in the currency of the book.
    recipe : Recipe
        What the tank is then, with every limit.
    findings : tuple of Finding
        Doubts and cautions.
    """

    additions: tuple[BatchLine, ...]
    added_kg: float
    total_kg: float
    added_cost: float | None
    recipe: Recipe
    findings: tuple[Finding, ...] = ()


@dataclass(frozen=True, slots=True)
class BlendDesign:
    """Everything that a design answers.

    Attributes
    ----------
    book : BlendBook
        What it was worked out from.
    grade : str
        Whole grade, as the specification writes it; empty where only own limits hold.
    limits : tuple of BlendLimit
        All of them, also those that no trial tells of.
    surfaces : tuple of Surface
        As fitted to the trials.
    expected : Recipe or None
        Best recipe by expected values alone; about as likely to miss its tightest limit as to keep it.
    chosen : Recipe or None
        Best recipe that keeps every limit with the probability asked for; None where there is none.
    nearest : Recipe or None
        Where there is none: the recipe that comes closest.
    alternatives : tuple of Recipe
        Recipes that cost nearly the same and differ most, the chosen one first.
    pareto : tuple of ParetoPoint
        Cost against probability.
    dosing : DosingSensitivity or None
        What errors of dosing do to the batch.
    cost_tolerance_percent : float
        How much dearer an alternative may be [%].
    seed : int
        Of every draw.
    answer : str
        What came of it, in a sentence or two.
    findings : tuple of Finding
        Doubts and cautions.
    """

    book: BlendBook
    grade: str
    limits: tuple[BlendLimit, ...]
    surfaces: tuple[Surface, ...]
    expected: Recipe | None
    chosen: Recipe | None
    nearest: Recipe | None
    alternatives: tuple[Recipe, ...] = ()
    pareto: tuple[ParetoPoint, ...] = ()
    dosing: DosingSensitivity | None = None
    cost_tolerance_percent: float = 0.0
    seed: int = 0
    answer: str = ""
    findings: tuple[Finding, ...] = ()
