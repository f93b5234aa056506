"""Few base stocks for many grades: demands, tanks, who gets which."""

from __future__ import annotations

from dataclasses import dataclass

from resile.records.blending.recipe import Recipe
from resile.records.finding import Finding


@dataclass(frozen=True, slots=True)
class GradeDemand:
    """Tonnes of one grade.

    Attributes
    ----------
    grade : str
        Whole grade, as the specification writes it.
    amount_t : float
        Tonnes [t].
    """

    grade: str
    amount_t: float


@dataclass(frozen=True, slots=True)
class TankPlan:
    """Recipes to keep, and the recipe of each demand, as places.

    Attributes
    ----------
    recipes : tuple of int
        Recipes kept.
    recipe_of : tuple of int
        Recipe of each demand; -1 where none serves.
    unserved : tuple of int
        Demands that no recipe serves.
    blend_cost : float
        Cost of the components of all tonnes.
    total_cost : float
        With keeping and changes of tanks.
    tank_changes : int
        Recipes beyond the number of tanks.
    proven : bool
        True where the optimum is proven.
    """

    recipes: tuple[int, ...]
    recipe_of: tuple[int, ...]
    unserved: tuple[int, ...]
    blend_cost: float
    total_cost: float
    tank_changes: int
    proven: bool


@dataclass(frozen=True, slots=True)
class LabelOfTank:
    """A grade that a tank qualifies for.

    Attributes
    ----------
    grade : str
        The grade.
    probability : float
        Probability that a batch keeps all of it that trials tell of.
    margin_standards : float
        Smallest distance to a limit, in standard deviations.
    limiting : str
        Title of the limit with the smallest distance.
    untested : tuple of str
        Limits that no trial tells of.
    qualifies : bool
        True where the probability asked for is reached.
    """

    grade: str
    probability: float
    margin_standards: float
    limiting: str
    untested: tuple[str, ...]
    qualifies: bool


@dataclass(frozen=True, slots=True)
class PortfolioTank:
    """One recipe that is kept.

    Attributes
    ----------
    recipe : Recipe
        With the limits of the hardest grade it serves.
    labels : tuple of LabelOfTank
        All grades of the demand, those that it qualifies for first.
    serves : tuple of GradeDemand
        Demands that it is used for.
    amount_t : float
        Tonnes in all [t].
    """

    recipe: Recipe
    labels: tuple[LabelOfTank, ...]
    serves: tuple[GradeDemand, ...]
    amount_t: float


@dataclass(frozen=True, slots=True)
class PayingPrice:
    """Up to which price a component pays in the portfolio.

    Attributes
    ----------
    component : str
        Its name.
    price_per_tonne : float
        Of today.
    pays_up_to : float or None
        Price up to which the best plan uses it; None where nothing serves all demands without it, or no
        recipe uses it.
    remark : str
        In words.
    """

    component: str
    price_per_tonne: float
    pays_up_to: float | None
    remark: str = ""


@dataclass(frozen=True, slots=True)
class PlanCost:
    """What a number of recipes costs.

    Attributes
    ----------
    recipes : int
        Recipes kept.
    blend_cost, total_cost : float
        Cost of the components, and with keeping and changes of tanks.
    tank_changes : int
        Changes of tanks.
    """

    recipes: int
    blend_cost: float
    total_cost: float
    tank_changes: int


@dataclass(frozen=True, slots=True)
class Portfolio:
    """A plan of tanks for a season.

    Attributes
    ----------
    title, currency : str
        Of the book.
    probability : float
        Probability asked for, for each grade.
    tanks : tuple of PortfolioTank
        The recipes kept.
    unserved : tuple of GradeDemand
        Demands that no recipe serves.
    blend_cost, total_cost : float
        Cost of the components, and with keeping and changes of tanks.
    tank_changes : int
        Changes of tanks.
    proven : bool
        True where the plan is the cheapest of all plans from these recipes.
    by_number : tuple of PlanCost
        The cheapest plan for each number of recipes.
    paying_prices : tuple of PayingPrice
        Additives and polymers.
    findings : tuple of Finding
        Doubts and cautions.
    seed : int
        Of every draw.
    """

    title: str
    currency: str
    probability: float
    tanks: tuple[PortfolioTank, ...]
    unserved: tuple[GradeDemand, ...]
    blend_cost: float
    total_cost: float
    tank_changes: int
    proven: bool
    by_number: tuple[PlanCost, ...] = ()
    paying_prices: tuple[PayingPrice, ...] = ()
    findings: tuple[Finding, ...] = ()
    seed: int = 0
