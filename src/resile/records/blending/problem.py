"""A recipe problem as the design works on it: limits with their surfaces, bounds, prices, wishes."""

from __future__ import annotations

from dataclasses import dataclass

from resile.errors import InputError
from resile.records.blending.limit import BlendLimit
from resile.records.blending.surface import Surface

OBJECTIVES = ("cost", "margin", "fewest components", "smallest change")
"""What can be asked of a recipe."""


@dataclass(frozen=True, slots=True)
class ShareGroup:
    """Components whose shares are bounded together, such as all reclaimed binder.

    Attributes
    ----------
    title : str
        Words for a person.
    members : tuple of int
        Places of the components.
    lowest, highest : float
        Bounds of their sum, as ratios.
    """

    title: str
    members: tuple[int, ...]
    lowest: float = 0.0
    highest: float = 1.0


@dataclass(frozen=True, slots=True)
class BlendProblem:
    """Everything a recipe is optimised from.

    Attributes
    ----------
    components : tuple of str
        Names, in the order of the shares.
    limits : tuple of BlendLimit
        Limits that trials tell of.
    surfaces : tuple of Surface
        One for each limit; two limits of one property name the same surface.
    lower, upper : tuple of float
        Bounds of the shares, as ratios: dosage, stock and bans together.
    prices : tuple of float or None
        Per tonne; None where one is missing.
    objective : str
        ``"cost"``, ``"margin"``, ``"fewest components"`` or ``"smallest change"``.
    probability : float
        Probability asked for that a batch keeps every limit.
    most_components : int or None
        At most so many components.
    groups : tuple of ShareGroup
        Shares bounded together.
    today : tuple of float or None
        Shares of today's recipe, as ratios.
    within_trials : bool
        True where a recipe outside the trials is refused.
    acceptance_test : bool
        True where the scatter of one acceptance test counts against conformity too.
    """

    components: tuple[str, ...]
    limits: tuple[BlendLimit, ...]
    surfaces: tuple[Surface, ...]
    lower: tuple[float, ...]
    upper: tuple[float, ...]
    prices: tuple[float, ...] | None = None
    objective: str = "cost"
    probability: float = 0.95
    most_components: int | None = None
    groups: tuple[ShareGroup, ...] = ()
    today: tuple[float, ...] | None = None
    within_trials: bool = True
    acceptance_test: bool = False

    def __post_init__(self) -> None:
        count = len(self.components)
        if not count or {len(self.lower), len(self.upper)} != {count}:
            raise InputError("recipe: needed are one lower and one upper bound for each component")
        if len(self.limits) != len(self.surfaces):
            raise InputError("recipe: needed is one surface for each limit")
        if self.objective not in OBJECTIVES:
            raise InputError(f"objective '{self.objective}': needed is one of {', '.join(OBJECTIVES)}")
        if not 0.5 <= self.probability < 1.0:
            raise InputError(
                f"probability {self.probability:g} of the whole grade: needed is one from 0.5 to below 1"
            )
        if self.objective == "smallest change" and self.today is None:
            raise InputError("objective 'smallest change': needed is the recipe of today")


@dataclass(frozen=True, slots=True)
class Optimum:
    """What an optimisation came to.

    Attributes
    ----------
    shares : tuple of float
        As ratios; they add up to 1. Where not feasible, the nearest miss.
    feasible : bool
        True where every limit (or the probability asked for) is kept.
    objective : float
        Value of the objective, smaller is better.
    probability : float
        Probability that a batch keeps every limit.
    slack : float
        Smallest distance to a limit in standard deviations; below zero for a miss.
    conflicts : tuple of int
        Places of the limits that stop a better recipe, the tightest first.
    found_by : str
        ``"gradient"`` or ``"search"``.
    """

    shares: tuple[float, ...]
    feasible: bool
    objective: float
    probability: float
    slack: float
    conflicts: tuple[int, ...] = ()
    found_by: str = "gradient"
